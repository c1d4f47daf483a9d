// Package baseline holds what the exports of a case say, value by value, under names that are the
// same in all exports, and reports what changed.
//
// Things of two exports count as the same thing if both have the same counterpart in the second
// entry. Only where the second entry lacks the thing are the exports matched directly. Identifiers,
// the order of unordered lists and how styles share out ballots are not values: each precinct's
// ballot is compared as printed.
package baseline

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Fields that no check claims: where both entries state one, the sweep reports it.
const (
	Closing   finding.Field = "Closing"
	District  finding.Field = "District"
	Members   finding.Field = "Members"
	Number    finding.Field = "Number"
	Rotates   finding.Field = "Rotates"
	Subtitle  finding.Field = "Subtitle"
	Summary   finding.Field = "Summary"
	Unknown   finding.Field = "Unknown"
	Variation finding.Field = "Variation"
	WorkName  finding.Field = "WorkName" // of a contest: SP 1500-100, Contest.Name
)

// Things that no finding is about directly.
const (
	district  finding.Thing = "district"
	reference finding.Thing = "reference" // one that points at nothing, or at the wrong kind
	unused    finding.Thing = "unused style"
)

// field is a field of a thing; for wording, in one language.
type field struct {
	name     finding.Field
	language string
}

// shape says how a value is compared: as one text; as a set, whose members are compared one by one;
// or as an order, which counts only for the elements that both sides have.
type shape int

const (
	text shape = iota
	set
	order
)

// value is the stated value of one field. A field that is not stated has no value.
type value struct {
	shape shape
	list  []string // one element for a text
}

func one(words string) value           { return value{text, []string{words}} }
func setOf(members []string) value     { return value{set, sorted(members)} }
func (v value) equal(o value) bool     { return v.shape == o.shape && slices.Equal(v.list, o.list) }
func sorted(list []string) []string    { return slices.Sorted(slices.Values(list)) }
func names(list []string) string       { return strings.Join(list, ", ") }
func key(parts ...string) string       { return strings.Join(parts, "\x1f") }
func plain(s string) string            { return wording.Normal(s) }
func has(list []string, s string) bool { return slices.Contains(list, s) }

// members turns a list into a set for many look-ups.
func members(list []string) map[string]bool {
	out := make(map[string]bool, len(list))
	for _, x := range list {
		out[x] = true
	}
	return out
}

// fields are the stated values of a thing.
type fields map[field]value

func (f fields) set(name finding.Field, v value) { f[field{name: name}] = v }

func (f fields) text(name finding.Field, t model.Text) {
	for _, p := range t {
		f[field{name, strings.ToLower(p.Language)}] = one(plain(p.Words))
	}
}

func (f fields) stated(name finding.Field, t model.Stated[model.Text]) {
	if t.Known {
		f.text(name, t.Value)
	}
}

// thing identifies a thing that has values: its kind, and its name in all exports.
type thing struct {
	kind finding.Thing
	id   string
}

func compareThings(a, b thing) int {
	return cmp.Or(cmp.Compare(rank(a.kind), rank(b.kind)), natural.Compare(a.id, b.id))
}

// sorted lists the fields in a fixed order.
func (f fields) sorted() []field {
	return slices.SortedFunc(maps.Keys(f), func(a, b field) int {
		return cmp.Or(cmp.Compare(a.name, b.name), cmp.Compare(a.language, b.language))
	})
}

// longBallot is the number of contests from which a ballot gets an index.
const longBallot = 100

// Values are the values of one export or of the second entry. They never change, but only one
// goroutine at a time may use them.
type Values struct {
	things  map[thing]fields
	ballots map[face]*ballot
	// loose are contests that are on no ballot.
	loose map[string]*contest
	// on marks the contests that are on a ballot; first holds the contents of each on one of its
	// ballots.
	on    map[string]bool
	first map[string]*contest
	// called holds the names of things for people.
	called map[thing]string
	// keyedAs are the precincts of the second entry whose ballots a precinct's are compared with.
	keyedAs map[string][]string
	// language is the compared language, in lower case. tables is set if the export is tables.
	language string
	tables   bool

	// Caches, made on demand.
	faces    map[string][]face // by precinct
	prints   map[string]*holders
	siblings *siblings
	from     *differ // to this export
}

// Of reads the values of the export in a pairing. Things that the second entry lacks take their
// names from earlier, which may be nil.
func Of(pg *pairing.Pairing, earlier ...*Named) (*Values, *Named) {
	n := nameThings(pg)
	for _, e := range earlier {
		if e != nil {
			n.follow(e)
		}
	}
	n.settle()
	v := n.values()
	n.settled()
	return v, n
}

// OfSecond reads the values of a second entry, under its own names.
func OfSecond(side *pairing.Side) (*Values, *Named) {
	n := OwnNames(side)
	v := n.values()
	n.settled()
	return v, n
}

// values reads the values of the side, under the names in n.
func (n *Named) values() *Values {
	e := n.side.Election
	v := &Values{things: map[thing]fields{}, ballots: map[face]*ballot{}, loose: map[string]*contest{},
		on: map[string]bool{}, first: map[string]*contest{}, called: map[thing]string{}, keyedAs: n.keyedAs,
		language: strings.ToLower(n.side.Language), tables: e.Origins.Format == model.Tables}
	put := func(kind finding.Thing, id, called string) fields {
		t := thing{kind, id}
		if v.things[t] == nil {
			v.things[t], v.called[t] = fields{}, called
		}
		return v.things[t]
	}
	facts := put(finding.Election, "", "the election")
	facts.stated(finding.Name, e.Facts.Name)
	facts.stated(finding.Jurisdiction, e.Facts.Jurisdiction)
	if e.Facts.Date.Known {
		facts.set(finding.Date, one(e.Facts.Date.Value))
	}
	n.looseValues(e.Origins.Held, put)
	for i, p := range e.Parties {
		f := put(finding.Party, n.parties[i], n.side.PartyName[i])
		f.stated(finding.Name, p.Name)
		f.stated(finding.Abbreviation, p.Abbreviation)
		n.held(f, e.Origins.Party(i).Held)
	}
	for i, s := range e.Sites {
		f := put(finding.Site, n.sites[i], n.side.SiteName[i])
		f.text(finding.Name, s.Name)
		n.held(f, e.Origins.Site(i).Held)
	}
	for i := range e.Districts {
		d := &e.Districts[i]
		f := put(district, n.districts[i], n.side.Words(d.Name))
		f.text(finding.Name, d.Name)
		f.set(finding.Kind, one(d.Kind))
		n.held(f, e.Origins.District(i).Held)
		f.set(finding.Precincts, setOf(n.precinctList(d.Precincts)))
	}
	n.precinctValues(put)
	n.unitValues(put)
	for _, d := range e.Origins.Dangling {
		class, _, _ := strings.Cut(d.From, " ")
		to := "nothing"
		if d.Found != "" {
			to = "a thing of the wrong kind (" + d.Found + ")"
		}
		f := put(reference, key(class, d.Field, d.Found), fmt.Sprintf("references to %s in %s.%s", to, class, d.Field))
		f.set(finding.Whole, one(fmt.Sprint(1+d.More+count(f))))
	}
	n.ballotValues(v, put)
	return v
}

func count(f fields) (n int) {
	if v, ok := f[field{name: finding.Whole}]; ok {
		_, _ = fmt.Sscan(v.list[0], &n)
	}
	return n
}

func (n *Named) precinctList(list []int) []string {
	out := make([]string, len(list))
	for i, p := range list {
		out[i] = n.precincts[p]
	}
	return out
}

func (n *Named) precinctValues(put func(finding.Thing, string, string) fields) {
	e := n.side.Election
	for i := range e.Precincts {
		p := &e.Precincts[i]
		f := put(finding.Precinct, n.precincts[i], n.side.PrecinctName[i])
		f.text(finding.Name, p.Name)
		f.set(Number, one(plain(p.Number)))
		f.set(finding.Kind, one(p.Kind))
		n.held(f, e.Origins.Precinct(i).Held)
		if len(p.Members) > 0 {
			f.set(Members, setOf(n.precinctList(p.Members)))
		}
		if p.Sites.Known {
			var list []string
			for _, s := range p.Sites.Value {
				list = append(list, key(n.sites[s.Site], string(s.Use)))
			}
			f.set(finding.Sites, setOf(list))
		}
	}
}

func (n *Named) unitValues(put func(finding.Thing, string, string) fields) {
	e := n.side.Election
	for i := range e.Units {
		u := &e.Units[i]
		f := put(finding.Unit, n.units[i], n.side.UnitName(i))
		f.set(finding.Name, one(plain(u.Name)))
		n.held(f, e.Origins.Unit(i).Held)
		if u.Site.Known {
			f.set(finding.SiteOf, one(n.sites[u.Site.Value]))
		}
		if u.Use.Known {
			f.set(finding.Use, one(string(u.Use.Value)))
		}
		if u.Precincts.Known {
			f.set(finding.Precincts, setOf(n.precinctList(u.Precincts.Value)))
		}
		if len(u.Unknown) > 0 {
			f.set(Unknown, setOf(u.Unknown))
		}
	}
}
