package baseline

import (
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

// Key says what a finding is about, with names that are the same in all exports: a field of a thing
// or of its member, and, if it is on ballots, the precincts that get them.
type Key struct {
	Thing finding.Thing `json:"thing"`
	ID    string        `json:"id"`
	Part  string        `json:"part,omitzero"`
	Field finding.Field `json:"field,omitzero"`
	// Language is that of a finding on a wording in a further language, in lower case. A
	// key without one covers the wording in every language.
	Language  string   `json:"language,omitzero"`
	Precincts []string `json:"precincts,omitzero"`
}

// Keys returns the keys of a finding's claims. precincts are the finding's precincts.
func (n *Named) Keys(second *Named, claims []finding.Claim, precincts []string) []Key {
	var out []Key
	type name struct {
		thing    finding.Thing
		id, part string
		field    finding.Field
		language string
	}
	seen := map[name]bool{}
	for _, c := range claims {
		k := Key{Thing: c.Thing, Field: c.Field, Language: strings.ToLower(c.Language)}
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
		if n := (name{k.Thing, k.ID, k.Part, k.Field, k.Language}); !seen[n] {
			seen[n] = true
			out = append(out, k)
		}
	}
	return out
}

// OwnNames names the things of a second entry by themselves.
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

// of lists the fields that a claim about one field also covers: an export may state the same
// wording in another field.
var of = map[finding.Field][]finding.Field{
	finding.Title: {finding.Title, Subtitle, WorkName},
	finding.Text:  {finding.Text, Summary},
	finding.Name:  {finding.Name, Number}, // the label of a precinct may be its number
}

// sameWording reports whether two fields may state the same wording.
func sameWording(a, b finding.Field) bool {
	shared := []finding.Field{finding.Title, finding.Text, finding.Name}
	return a == b || slices.ContainsFunc(shared, func(g finding.Field) bool {
		return slices.Contains(of[g], a) && slices.Contains(of[g], b)
	})
}

// inOtherWords are fields whose wording the second entry, if it has it at all, states in another
// field.
var inOtherWords = []finding.Field{WorkName, Summary}

// compared lists the fields that are compared with the second entry. A kind of thing that is
// missing here is compared in all its fields.
var compared = map[finding.Thing][]finding.Field{
	finding.Precinct: {finding.Name, Number, finding.Sites},
	finding.Unit:     {finding.SiteOf, finding.Use, finding.Precincts},
	district:         {},
	reference:        {},
	unused:           {},
}

// Covers reports whether a key covers a change to these values. For a value on ballots, precinct is
// the one whose ballot changed.
func (v *Values) Covers(k *Key, c *Change, precinct string) bool {
	return v.covers(k, c, precinct, func() bool { return v.isKeyed(precinct, k.Precincts) })
}

// covers is Covers; keyed reports whether a key on ballots applies to the precinct.
func (v *Values) covers(k *Key, c *Change, precinct string, keyed func() bool) bool {
	if k.Language != "" && k.Language != c.Language && c.Thing != finding.Ballot {
		return false
	}
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
			return true // if A is one person with B, then B is one person with A
		}
		return c.Thing == finding.Choice && plainID == k.ID && c.Part == k.Part && (k.Field == finding.Whole || field)
	}
	if k.Thing == finding.Party && k.Field == finding.Name && c.Field == finding.Abbreviation {
		field = true // another party name goes with another abbreviation
	}
	return c.Thing == k.Thing && c.ID == k.ID && (k.Field == finding.Whole || field)
}

// KeySet finds the keys that cover a change without trying each key.
type KeySet struct {
	keys []Key
	// at holds the places of the keys by thing and name; keys on ballots go by their contest.
	at map[thing][]int
	// of holds the places of the keys by everything that they name except precincts.
	of map[string][]int
	// in holds the precincts of each key.
	in []map[string]bool
}

// NewKeySet returns the set of these keys. A key is identified by its index in the list.
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

// Name is everything that a key names except precincts.
func (k *Key) Name() string { return key(string(k.Thing), k.ID, k.Part, string(k.Field), k.Language) }

// Has reports whether a key of the set is the Same as k.
func (s *KeySet) Has(k *Key) bool {
	return slices.ContainsFunc(s.of[k.Name()], func(i int) bool { return s.keys[i].Same(k) })
}

// Covering returns the indexes of the keys that cover a change, in ascending order.
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

// isKeyed reports whether key k applies to a precinct that has these names.
func (s *KeySet) isKeyed(k int, names []string) bool {
	if s.in[k] == nil {
		s.in[k] = members(s.keys[k].Precincts)
	}
	return slices.ContainsFunc(names, func(name string) bool { return s.in[k][name] })
}

// isKeyed reports whether a list holds a precinct or a name under which it was keyed.
func (v *Values) isKeyed(precinct string, list []string) bool {
	return has(list, precinct) || slices.ContainsFunc(v.keyedAs[precinct],
		func(name string) bool { return has(list, name) })
}

// namesOf returns a precinct and the names under which it was keyed.
func (v *Values) namesOf(precinct string) []string {
	names := []string{precinct}
	for _, name := range v.keyedAs[precinct] {
		if name != precinct {
			names = append(names, name)
		}
	}
	return names
}

// contestID returns the contest's own name for any copy of it, if a ballot prints it more than
// once.
func contestID(id string) string {
	if i := strings.LastIndex(id, twice); i >= 0 {
		return id[:i]
	}
	return id
}

// Same reports whether two keys name the same field and share at least one ballot, if they are
// about ballots.
func (k *Key) Same(o *Key) bool {
	return k.Thing == o.Thing && k.ID == o.ID && k.Part == o.Part && k.Field == o.Field &&
		k.Language == o.Language && (len(k.Precincts) == 0 || len(o.Precincts) == 0 ||
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

// IsReference reports whether the change is in the number of references that point at nothing.
func (c *Change) IsReference() bool { return c.Thing == reference }

// Subject is the subject of a fault that the export shows by itself, in names for people: a contest
// or a unit, otherwise precincts.
type Subject struct {
	Contest, Unit string
	Precincts     []string
}

// Concerns reports whether a change, on the ballot of a precinct, is to the subject's thing. The
// subject uses the second entry's name of the thing, or the export's where the second entry lacks
// it.
func (v *Values) Concerns(second *Values, s *Subject, c *Change, precinct string) bool {
	n := namer{second: second, before: v, after: v}
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

// ComesOrGoes reports whether the change adds or removes a thing, or a contest on a ballot.
func (c *Change) ComesOrGoes() bool { return c.Field == finding.Whole || c.Field == finding.Content }

// Unloads reports whether the change removes a precinct from the card of a unit.
func (c *Change) Unloads() bool {
	return c.Thing == finding.Unit && c.Field == finding.Precincts && c.Member != "" && !has(c.After, c.Member)
}

// SameField reports whether two changes are to the same value; for a value on ballots, on the
// ballot of the precinct.
func (c *Change) SameField(x *Change, precinct string) bool {
	return x.Thing == c.Thing && x.ID == c.ID && x.Part == c.Part && x.Field == c.Field && x.Language == c.Language &&
		x.Member == c.Member && (precinct == "" || has(c.Precincts, precinct))
}

// SameWording reports whether two changes are to fields of one contest that may state the same
// wording.
func (c *Change) SameWording(x *Change, precinct string) bool {
	return c.Thing == finding.Contest && x.Thing == c.Thing && x.ID == c.ID && sameWording(x.Field, c.Field) &&
		(precinct == "" || has(c.Precincts, precinct))
}

// SameValue reports whether two changes give their field the same value.
func (c *Change) SameValue(x *Change) bool {
	if c.Member != "" {
		return has(c.After, c.Member) == has(x.After, c.Member)
	}
	return (x.After == nil) == (c.After == nil) && (slices.Equal(x.After, c.After) || c.Field == finding.Order)
}
