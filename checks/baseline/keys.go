package baseline

import (
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

// Key names what a finding is about through all exports: a field of a thing or of a
// member of it, and on the ballots of which precincts, where it is on ballots.
type Key struct {
	Thing     finding.Thing `json:"thing"`
	ID        string        `json:"id"`
	Part      string        `json:"part,omitzero"`
	Field     finding.Field `json:"field,omitzero"`
	Precincts []string      `json:"precincts,omitzero"`
}

// Keys are the names of what a finding claims. precincts are those of the finding.
func (n *Named) Keys(second *Named, claims []finding.Claim, precincts []string) []Key {
	var out []Key
	type name struct {
		thing    finding.Thing
		id, part string
		field    finding.Field
	}
	seen := map[name]bool{}
	for _, c := range claims {
		k := Key{Thing: c.Thing, Field: c.Field}
		called := func(of func(*Named) []string) string {
			if c.Second >= 0 && second != nil && c.Second < len(of(second)) {
				return of(second)[c.Second]
			}
			if c.Primary >= 0 && c.Primary < len(of(n)) {
				return of(n)[c.Primary]
			}
			return ""
		}
		part := func() string {
			switch {
			case c.SecondPart >= 0 && second != nil && c.Second >= 0:
				return second.choices[c.Second][c.SecondPart]
			case c.PrimaryPart >= 0 && c.Primary >= 0:
				return n.choices[c.Primary][c.PrimaryPart]
			}
			return ""
		}
		switch c.Thing {
		case finding.Party:
			k.ID = called(func(n *Named) []string { return n.parties })
		case finding.Site:
			k.ID = called(func(n *Named) []string { return n.sites })
		case finding.Unit:
			k.ID = called(func(n *Named) []string { return n.units })
		case finding.Precinct:
			k.ID = called(func(n *Named) []string { return n.precincts })
		case finding.Contest:
			k.ID = called(func(n *Named) []string { return n.contests })
		case finding.Choice:
			k.ID, k.Part = called(func(n *Named) []string { return n.contests }), part()
		case finding.Ballot:
			switch {
			case c.SecondPart >= 0 && second != nil:
				k.Part = second.contests[c.SecondPart]
			case c.PrimaryPart >= 0:
				k.Part = n.contests[c.PrimaryPart]
			}
			k.Precincts = precincts
		}
		if n := (name{k.Thing, k.ID, k.Part, k.Field}); !seen[n] {
			seen[n] = true
			out = append(out, k)
		}
	}
	return out
}

// OwnNames are the names that a second entry gives its things.
func OwnNames(side *pairing.Side) *Named {
	n := &Named{side: side}
	e := side.Election
	for i := range e.Parties {
		n.parties = append(n.parties, unique(e.Origins.Party(i), side.PartyName[i]))
	}
	n.precincts = append(n.precincts, side.PrecinctName...)
	n.sites = append(n.sites, side.SiteName...)
	for i := range e.Units {
		n.units = append(n.units, unitName(side, i))
	}
	for i := range e.Districts {
		n.districts = append(n.districts, key(side.Words(e.Districts[i].Name), e.Districts[i].Kind))
	}
	for i := range e.Contests {
		n.contests = append(n.contests, unique(e.Origins.Contest(i).Origin, side.Title(i)))
		var choices []string
		for j := range e.Contests[i].Choices {
			choices = append(choices, choiceName(j))
		}
		n.choices = append(n.choices, choices)
	}
	n.settle()
	return n
}

// of are the fields that a claim of one accounts for: the same wording may stand in
// another field of an export.
var of = map[finding.Field][]finding.Field{
	finding.Title: {finding.Title, Subtitle, WorkName},
	finding.Text:  {finding.Text, Summary},
}

// sameWording reports whether the same wording may stand in either of two fields.
func sameWording(a, b finding.Field) bool {
	return a == b || slices.ContainsFunc([]finding.Field{finding.Title, finding.Text}, func(g finding.Field) bool {
		return slices.Contains(of[g], a) && slices.Contains(of[g], b)
	})
}

// inOtherWords are fields whose wording the second entry states in another field, if at
// all.
var inOtherWords = []finding.Field{WorkName, Summary}

// compared are the fields of things that a comparison with the second entry looks at; of
// things that are not named here, all.
var compared = map[finding.Thing][]finding.Field{
	finding.Precinct: {finding.Sites},
	finding.Unit:     {finding.SiteOf, finding.Use, finding.Precincts},
	district:         {},
	reference:        {},
	unused:           {},
}

// Covers reports whether a change to these values, on the ballot of a precinct where it is on ballots, is
// one of what a key names.
func (v *Values) Covers(k *Key, c *Change, precinct string) bool {
	return v.covers(k, c, precinct, func() bool { return v.isKeyed(precinct, k.Precincts) })
}

// covers is Covers; keyed reports whether a key on ballots is about the precinct's.
func (v *Values) covers(k *Key, c *Change, precinct string, keyed func() bool) bool {
	plainID := contestID(c.ID)
	field := k.Field == c.Field || slices.Contains(of[k.Field], c.Field)
	switch k.Thing {
	case finding.Ballot:
		if c.Thing != finding.Ballot || !keyed() {
			return false
		}
		switch k.Field {
		case finding.Content:
			return c.Field == finding.Content && (k.Part == "" || contestID(c.Part) == k.Part)
		case finding.Order:
			return c.Field == finding.Order && (contestID(c.Part) == k.Part && c.ID == "" || plainID == k.Part && c.ID != "")
		case finding.Headings:
			return (c.Field == finding.Headings || c.Field == Closing) &&
				(k.Part == "" || c.Part == "" || contestID(c.Part) == k.Part)
		case finding.Parties:
			return c.Field == finding.Whole
		}
		return c.Field == k.Field
	case finding.Precinct:
		switch k.Field {
		case finding.Style:
			return c.Thing == finding.Ballot && v.isKeyed(precinct, []string{k.ID})
		case finding.Whole:
			return c.Member == k.ID || c.Thing == finding.Ballot && v.isKeyed(precinct, []string{k.ID}) ||
				c.Thing == finding.Precinct && c.ID == k.ID
		}
		return c.Thing == finding.Precinct && c.ID == k.ID && field
	case finding.Contest:
		if k.Field == finding.Whole {
			return (c.Thing == finding.Contest || c.Thing == finding.Choice) && plainID == k.ID
		}
		return c.Thing == finding.Contest && plainID == k.ID && field
	case finding.Choice:
		if k.Field == finding.Person && c.Thing == finding.Choice && c.Field == finding.Person && plainID == k.ID {
			return true // who is one person with one position is so with the others
		}
		return c.Thing == finding.Choice && plainID == k.ID && c.Part == k.Part && (k.Field == finding.Whole || field)
	}
	if k.Thing == finding.Party && k.Field == finding.Name && c.Field == finding.Abbreviation {
		field = true // a party of another name goes by another code too
	}
	return c.Thing == k.Thing && c.ID == k.ID && (k.Field == finding.Whole || field)
}

// KeySet finds which of many keys cover a change, without asking each.
type KeySet struct {
	keys []Key
	// at are the keys by what they are about: the thing and its name, and of ballots the
	// contest.
	at map[thing][]int
	// of are the keys by all that they name but precincts.
	of map[string][]int
	// in are the precincts of each key.
	in []map[string]bool
}

// NewKeySet returns the set of these keys, known by their places.
func NewKeySet(keys []Key) *KeySet {
	s := &KeySet{keys, map[thing][]int{}, map[string][]int{}, make([]map[string]bool, len(keys))}
	for i := range keys {
		k := &keys[i]
		of := thing{k.Thing, k.ID}
		if k.Thing == finding.Ballot {
			of.id = k.Part
		}
		s.at[of] = append(s.at[of], i)
		s.of[k.Name()] = append(s.of[k.Name()], i)
	}
	return s
}

// Name is what a key names, but for precincts.
func (k *Key) Name() string { return key(string(k.Thing), k.ID, k.Part, string(k.Field)) }

// Has reports whether a key of the set is the same as another.
func (s *KeySet) Has(k *Key) bool {
	return slices.ContainsFunc(s.of[k.Name()], func(i int) bool { return s.keys[i].Same(k) })
}

// Covering are the places of the keys that cover a change, in their order.
func (s *KeySet) Covering(v *Values, c *Change, precinct string) (out []int) {
	id, names := contestID(c.ID), v.namesOf(precinct)
	about := []thing{{c.Thing, c.ID}}
	switch c.Thing {
	case finding.Contest, finding.Choice:
		about = []thing{{finding.Contest, id}, {finding.Choice, id}}
	case finding.Ballot:
		about = []thing{{finding.Ballot, ""}, {finding.Ballot, contestID(c.Part)}, {finding.Ballot, id}}
		for _, name := range names {
			about = append(about, thing{finding.Precinct, name})
		}
	}
	if c.Member != "" {
		about = append(about, thing{finding.Precinct, c.Member})
	}
	for i, t := range about {
		if slices.Contains(about[:i], t) {
			continue
		}
		for _, k := range s.at[t] {
			if v.covers(&s.keys[k], c, precinct, func() bool { return s.isKeyed(k, names) }) {
				out = append(out, k)
			}
		}
	}
	slices.Sort(out)
	return out
}

// isKeyed reports whether a key is about a precinct by one of its names.
func (s *KeySet) isKeyed(k int, names []string) bool {
	if s.in[k] == nil {
		s.in[k] = members(s.keys[k].Precincts)
	}
	return slices.ContainsFunc(names, func(name string) bool { return s.in[k][name] })
}

// isKeyed reports whether a precinct, or the one as which it was keyed, is in a list.
func (v *Values) isKeyed(precinct string, list []string) bool {
	return has(list, precinct) || slices.ContainsFunc(v.keyedAs[precinct],
		func(name string) bool { return has(list, name) })
}

// namesOf are a precinct and those as which it was keyed.
func (v *Values) namesOf(precinct string) []string {
	names := []string{precinct}
	for _, name := range v.keyedAs[precinct] {
		if name != precinct {
			names = append(names, name)
		}
	}
	return names
}

// contestID is the contest of which a contest that stands twice on a ballot is one.
func contestID(id string) string {
	if i := strings.LastIndex(id, twice); i >= 0 {
		return id[:i]
	}
	return id
}

// Same reports whether two keys name one field, on the same ballots in part at least.
func (k *Key) Same(o *Key) bool {
	return k.Thing == o.Thing && k.ID == o.ID && k.Part == o.Part && k.Field == o.Field &&
		(len(k.Precincts) == 0 || len(o.Precincts) == 0 ||
			slices.ContainsFunc(k.Precincts, func(p string) bool { return slices.Contains(o.Precincts, p) }))
}

// Fewer reports whether a change is to a smaller number, or to none.
func (c *Change) Fewer() bool {
	if len(c.After) == 0 || len(c.Before) == 0 {
		return c.After == nil
	}
	before, errBefore := strconv.Atoi(c.Before[0])
	after, errAfter := strconv.Atoi(c.After[0])
	return errBefore == nil && errAfter == nil && after < before
}

// IsReference reports whether a change is in how many references lead nowhere.
func (c *Change) IsReference() bool { return c.Thing == reference }

// Wants says what a second entry says of a change.
type Wants int

// A second entry states nothing of the value, or something; where it does, Wanted is what
// the change makes of it.
const (
	NotStated Wants = iota
	Otherwise
	Wanted
)

// Wants says what the second entry says of a change to the values of an export, on the
// ballot of a precinct. differs
// reports whether a comparison found the later export to differ from it there.
func (v *Values) Wants(of *Values, c *Change, precinct string, differs func(c *Change, precinct string) bool) Wants {
	told := func(wanted bool) Wants {
		if wanted {
			return Wanted
		}
		return Otherwise
	}
	var f fields
	switch c.Thing {
	case finding.Ballot:
		return v.wantsOnBallot(of, c, precinct, differs)
	case finding.Contest, finding.Choice:
		m := v.contest(contestID(c.ID))
		if c.Thing == finding.Contest && c.Field == finding.Whole {
			return told((m != nil) == (c.After != nil))
		}
		if m == nil {
			return told(c.After == nil)
		}
		if f = m.fields; c.Thing == finding.Choice {
			f = m.choices[c.Part]
			if c.Field == finding.Whole {
				return told((f != nil) == (c.After != nil))
			}
		}
	default:
		f = v.things[thing{c.Thing, c.ID}]
		if c.Field == finding.Whole {
			if list, ok := compared[c.Thing]; ok && len(list) == 0 {
				return NotStated
			}
			return told((f != nil) == (c.After != nil))
		}
	}
	if list, ok := compared[c.Thing]; ok && !slices.Contains(list, c.Field) {
		return NotStated
	}
	return wantsField(f, of, c, precinct, differs)
}

// repeats reports whether a change of an export's contest makes it say in one field what it
// says in another.
func (v *Values) repeats(c *Change) bool {
	m := v.contest(contestID(c.ID))
	if m == nil || c.Thing != finding.Contest || c.After == nil {
		return false
	}
	for name, says := range m.fields {
		if name.name != c.Field && name.language == c.Language && sameWording(name.name, c.Field) &&
			slices.Equal(says.list, c.After) {
			return true
		}
	}
	return false
}

// wantsField says what the fields of a thing of the second entry want of a change to an
// export. Wording in another language than the one that is compared, the second entry
// states only under its tag.
func wantsField(f fields, of *Values, c *Change, precinct string,
	differs func(c *Change, precinct string) bool) Wants {
	var stated []value
	for name, v := range f {
		if sameWording(name.name, c.Field) && (name.language == c.Language || name.language == "" &&
			(c.Language == of.language || c.After != nil && slices.Equal(v.list, c.After))) {
			stated = append(stated, v)
		}
	}
	switch {
	case c.Field == finding.Person && f != nil:
		// Who has one position only is stated by having no other.
		if has(f[field{name: finding.Person}].list, c.Member) == has(c.After, c.Member) {
			return Wanted
		}
		return Otherwise
	case len(stated) == 0:
		return NotStated
	case c.Member != "":
		// Of a set that the second entry states, each member is wanted or not.
		if slices.ContainsFunc(stated, func(v value) bool { return has(v.list, c.Member) }) == has(c.After, c.Member) {
			return Wanted
		}
	case slices.ContainsFunc(stated, func(v value) bool { return c.After != nil && slices.Equal(v.list, c.After) }):
		return Wanted
	case slices.Contains(inOtherWords, c.Field) && !of.repeats(c):
		return NotStated // stated in another field, and this is not that wording
	}
	if differs(c, precinct) {
		return Otherwise
	}
	return Wanted
}

func (v *Values) wantsOnBallot(of *Values, c *Change, precinct string,
	differs func(c *Change, precinct string) bool) Wants {
	var ballots []*ballot
	for _, f := range v.facesOf(of.namesOf(precinct)) {
		ballots = append(ballots, v.ballots[f])
	}
	contest := contestID(c.Part)
	if c.ID != "" && c.Field == finding.Order {
		contest = contestID(c.ID)
	}
	at := func() *placement {
		for _, b := range ballots {
			if p := b.at(contest); p != nil {
				return p
			}
		}
		return nil
	}
	switch {
	case c.Field == finding.Whole:
		if (len(ballots) > 0) == (c.After != nil) {
			return Wanted
		}
		return Otherwise
	case len(ballots) == 0:
		return NotStated
	case c.Field == finding.Content:
		// Standing there twice is never wanted by standing there once.
		if (at() != nil && contest == c.Part) == (c.After != nil) {
			return Wanted
		}
		return Otherwise
	case c.Field == finding.Headings:
		if p := at(); p == nil || p.headings.list == nil || otherLanguages(c.Before, of.language) !=
			otherLanguages(c.After, of.language) {
			return NotStated
		}
	case c.Field == finding.Label, c.Field == Closing:
		if !slices.ContainsFunc(ballots, func(b *ballot) bool { _, ok := b.fields[field{name: c.Field}]; return ok }) {
			return NotStated
		}
	}
	if differs(c, precinct) {
		return Otherwise
	}
	return Wanted
}

// contest is what is said of a contest, on whichever ballot; nil where there is none.
func (v *Values) contest(id string) *contest {
	if c := v.loose[id]; c != nil {
		return c
	}
	return v.first[id]
}

// Subject is what a fault that an export shows by itself is about, as people call it: a
// contest or a unit, else precincts.
type Subject struct {
	Contest, Unit string
	Precincts     []string
}

// Concerns reports whether a change, on the ballot of a precinct, is to a thing that a
// subject names as the second entry does, or as this export does where that lacks it.
func (v *Values) Concerns(second *Values, s *Subject, c *Change, precinct string) bool {
	n := namer{second, v, v}
	switch {
	case s.Contest != "":
		id := c.Part
		if c.Thing != finding.Ballot || c.ID != "" {
			id = c.ID
		}
		return (c.Thing == finding.Ballot || c.Thing == finding.Contest || c.Thing == finding.Choice) &&
			n.call(finding.Contest, contestID(id)) == s.Contest
	case s.Unit != "":
		return c.Thing == finding.Unit && n.call(finding.Unit, c.ID) == s.Unit
	case c.Thing == finding.Ballot:
		return has(s.Precincts, n.call(finding.Precinct, precinct))
	case c.Thing == finding.Precinct:
		return has(s.Precincts, n.call(finding.Precinct, c.ID))
	}
	return c.Thing == finding.Unit && c.Field == finding.Precincts && has(s.Precincts, n.call(finding.Precinct, c.Member))
}

// ComesOrGoes reports whether a change is that a thing, or a contest on a ballot, came or
// went.
func (c *Change) ComesOrGoes() bool { return c.Field == finding.Whole || c.Field == finding.Content }

// Unloads reports whether a change takes a precinct off the card of a unit.
func (c *Change) Unloads() bool {
	return c.Thing == finding.Unit && c.Field == finding.Precincts && c.Member != "" && !has(c.After, c.Member)
}

// SameField reports whether two changes are to one value, on the ballot of a precinct where
// it is on ballots.
func (c *Change) SameField(x *Change, precinct string) bool {
	return x.Thing == c.Thing && x.ID == c.ID && x.Part == c.Part && x.Field == c.Field && x.Language == c.Language &&
		x.Member == c.Member && (precinct == "" || has(c.Precincts, precinct))
}

// SameWording reports whether two changes are to fields of a contest in which the same
// wording may stand.
func (c *Change) SameWording(x *Change, precinct string) bool {
	return c.Thing == finding.Contest && x.Thing == c.Thing && x.ID == c.ID && sameWording(x.Field, c.Field) &&
		(precinct == "" || has(c.Precincts, precinct))
}

// SameValue reports whether two changes to one value make it the same.
func (c *Change) SameValue(x *Change) bool {
	if c.Member != "" {
		return has(c.After, c.Member) == has(x.After, c.Member)
	}
	return (x.After == nil) == (c.After == nil) && (slices.Equal(x.After, c.After) || c.Field == finding.Order)
}

// Stated are the values of single fields that keys name, in all languages; false where a
// key names more than a field of a thing.
func (v *Values) Stated(keys []Key) ([]string, bool) {
	var out []string
	for _, k := range keys {
		var f fields
		switch k.Thing {
		case finding.Contest, finding.Choice:
			m := v.contest(k.ID)
			if m == nil {
				return nil, false
			}
			if f = m.fields; k.Thing == finding.Choice {
				f = m.choices[k.Part]
			}
		case finding.Ballot, finding.Precinct:
			return nil, false
		default:
			f = v.things[thing{k.Thing, k.ID}]
		}
		if k.Field == finding.Whole || k.Field == finding.Versions {
			return nil, false
		}
		for _, name := range f.sorted() {
			if name.name == k.Field || slices.Contains(of[k.Field], name.name) {
				out = append(out, string(name.name), name.language, stated(f[name].list))
			}
		}
	}
	return out, true
}
