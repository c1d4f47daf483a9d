package checks_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"counterproof/checks"
	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/checks/internal/planted"
	"counterproof/checks/pairing"
)

// plant makes mistakes of the kinds given, as many as the county has a place for.
func plant(c *planted.County, kinds []*planted.Kind, r *rand.Rand) (*planted.County, []string) {
	claims := &planted.Claims{}
	var names []string
	for _, k := range kinds {
		next, held := c.Clone(), *claims
		if k.Plant(r, next, &held, "") == nil {
			continue
		}
		c, claims = next, &held
		names = append(names, k.Name)
	}
	return c, names
}

// entries are both entries of a county, value by value, under the names that the second
// entry gives things, and what differs between them: before is what was keyed.
type entries struct {
	primary, second *baseline.Values
	// changes are those on the ballot of one precinct each, by what they are about.
	changes map[place][]baseline.Change
	// combined are the combined precincts and their members, parties what parties are
	// called as keyed and in the export.
	combined map[string]bool
	parties  map[[2]string]bool
	units    bool // units were keyed
	titles   map[[2]string]map[finding.Field]string
}

// place is a field of a thing, in any language, on the ballot of a precinct.
type place struct {
	thing    finding.Thing
	id, part string
	field    finding.Field
	precinct string
}

func placeOf(d *baseline.Change) place {
	return place{d.Thing, d.ID, d.Part, d.Field, strings.Join(d.Precincts, "")}
}

func entriesOf(pg *pairing.Pairing, primary, second *baseline.Values) *entries {
	e := &entries{primary: primary, second: second, changes: map[place][]baseline.Change{}, combined: map[string]bool{},
		parties: map[[2]string]bool{}, titles: map[[2]string]map[finding.Field]string{}, units: len(pg.Second.Units) > 0}
	called := map[string][]baseline.Change{}
	for _, d := range baseline.Diff(second, primary) {
		switch {
		case d.Thing == finding.Precinct && d.Field == baseline.Members:
			for _, name := range slices.Concat([]string{d.ID}, d.Before, d.After) {
				e.combined[name] = true
			}
		case d.Thing == finding.Party && d.Field == finding.Name:
			called[d.ID] = append(called[d.ID], d)
			for _, o := range called[d.ID] { // words without a language differ from those with one
				e.parties[[2]string{strings.Join(d.Before, ""), strings.Join(o.After, "")}] = true
				e.parties[[2]string{strings.Join(o.Before, ""), strings.Join(d.After, "")}] = true
			}
		}
		list := d.Precincts
		if len(list) == 0 {
			e.changes[placeOf(&d)] = append(e.changes[placeOf(&d)], d)
		}
		for _, p := range list {
			d.Precincts = []string{p}
			e.changes[placeOf(&d)] = append(e.changes[placeOf(&d)], d)
		}
	}
	return e
}

// agreement is a rule of the design ("What counts as the same") by which values that are
// not equal agree.
type agreement struct {
	words string
	holds func(e *entries, d *baseline.Change) bool
}

var agreements = []agreement{
	{"title and subtitle are joined by a space before they are compared (`BallotTitle` and `BallotSubTitle`, else `Name`)",
		func(e *entries, d *baseline.Change) bool {
			if d.Thing != finding.Contest || !slices.Contains(titleFields, d.Field) {
				return false
			}
			if d.Language != "" && d.Language != e.main(d) {
				return d.Before == nil || d.After == nil // languages are compared where both sides hold them
			}
			x, y := e.title(d, false), e.title(d, true)
			return x == y || x == "" || y == ""
		}},
	{"things that share most of what they say are one thing with a difference: a contest that stands in two versions, " +
		"of which a finding says what they differ in",
		func(_ *entries, d *baseline.Change) bool {
			return d.Thing == finding.Contest && d.Field == finding.Versions
		}},
	{"a precinct matches by identifier, number or name",
		func(_ *entries, d *baseline.Change) bool {
			return d.Thing == finding.Precinct && slices.Contains(precinctFields, d.Field)
		}},
	{"a combined precinct's members count as keyed with it",
		func(e *entries, d *baseline.Change) bool {
			return d.Field == finding.Whole && (d.Thing == finding.Precinct && e.combined[d.ID] ||
				d.Thing == finding.Ballot && e.combined[strings.Join(d.Precincts, "")])
		}},
	{"a party's different name is one `party-name` finding: in a straight-party contest the party is the choice",
		func(e *entries, d *baseline.Change) bool {
			return d.Thing == finding.Choice && d.Field == finding.Name &&
				e.parties[[2]string{strings.Join(d.Before, ""), strings.Join(d.After, "")}]
		}},
	{"`-` agrees with the contest's own primary party",
		func(e *entries, d *baseline.Change) bool {
			if d.Thing != finding.Choice || d.Field != finding.Lines || len(d.Before) > 0 {
				return false
			}
			// Where the entries differ in the party, that is told by itself.
			return slices.ContainsFunc([]*baseline.Values{e.primary, e.second}, func(v *baseline.Values) bool {
				own, _ := v.Stated([]baseline.Key{{Thing: finding.Contest, ID: d.ID, Field: finding.PrimaryParties}})
				return len(own) == 3 && own[2] == "+"+strings.Join(d.After, "\x1d")
			})
		}},
	{"headings are compared where they were keyed: in each language that both sides hold",
		func(_ *entries, d *baseline.Change) bool {
			return d.Field == finding.Headings && sameHeadings(d.Before, d.After)
		}},
	{"cards are compared where they were keyed", // "How it is proven": what was not keyed is named under coverage
		func(e *entries, d *baseline.Change) bool { return d.Thing == finding.Unit && !e.units }},
}

var (
	titleFields    = []finding.Field{finding.Title, baseline.Subtitle, baseline.WorkName}
	precinctFields = []finding.Field{finding.Name, baseline.Number, finding.Kind, baseline.Members}
)

// title is the wording of the contest of a change on the ballot where it is, in the main
// language: as keyed, or as the export has it.
func (e *entries) title(d *baseline.Change, export bool) string {
	v := e.second
	if export {
		v = e.primary
	}
	k := [2]string{d.ID, fmt.Sprint(export)}
	if e.titles[k] == nil {
		e.titles[k] = map[finding.Field]string{}
		list, _ := v.Stated([]baseline.Key{{Thing: finding.Contest, ID: d.ID, Field: finding.Title}})
		for i := len(list) - 3; i >= 0; i -= 3 { // field, language, "+" and the words; sorted by language
			e.titles[k][finding.Field(list[i])] = strings.TrimPrefix(list[i+2], "+")
		}
	}
	of := maps.Clone(e.titles[k])
	for _, field := range titleFields { // the contest may say otherwise on this ballot
		at := placeOf(d)
		at.field = field
		for _, o := range slices.Backward(e.changes[at]) {
			if words := o.Before; !export && words != nil {
				of[field] = strings.Join(words, "")
			} else if words := o.After; export && words != nil {
				of[field] = strings.Join(words, "")
			}
		}
	}
	title, subtitle := of[finding.Title], of[baseline.Subtitle]
	switch {
	case title == "" && subtitle == "":
		return of[baseline.WorkName]
	case title == "" || subtitle == "":
		return title + subtitle
	}
	return title + " " + subtitle
}

// main is the language in which a contest is compared first: the first that the export states its
// title in.
func (e *entries) main(d *baseline.Change) string {
	list, _ := e.primary.Stated([]baseline.Key{{Thing: finding.Contest, ID: d.ID, Field: finding.Title}})
	if len(list) < 3 {
		return ""
	}
	return list[1]
}

// sameHeadings reports whether headings say the same in the first language of each side and in each
// further one that both hold.
func sameHeadings(before, after []string) bool {
	x, y := headingsByLanguage(before), headingsByLanguage(after)
	if x[0].words != y[0].words {
		return false
	}
	for _, a := range x[1:] {
		for _, b := range y[1:] {
			if a.language == b.language && a.words != b.words {
				return false
			}
		}
	}
	return true
}

type languageWords struct{ language, words string }

// headingsByLanguage joins the words of headings in each of their languages, which are at least one.
func headingsByLanguage(headings []string) []languageWords {
	var out []languageWords
	for _, h := range strings.Split(strings.Join(headings, ""), "\x1f") {
		language, words, _ := strings.Cut(h, "\x1e")
		k := slices.IndexFunc(out, func(o languageWords) bool { return o.language == language })
		if k < 0 {
			k, out = len(out), append(out, languageWords{language: language})
		}
		out[k].words += words + " "
	}
	return out
}

// leaves are the values that differ and that both entries state, and what one of them
// lacks of the things that are keyed.
func (e *entries) leaves() []baseline.Change {
	var out []baseline.Change
	for _, list := range e.changes {
		for _, d := range list {
			if d.Before != nil && d.After == nil && d.Language == "" {
				// Words without a language stand for the main language of the export.
				if k := slices.IndexFunc(list, func(o baseline.Change) bool {
					return o.Before == nil &&
						o.Language != ""
				}); k >= 0 {
					d.After = list[k].After
				}
			}
			stated := d.Before != nil && d.After != nil || d.Member != "" || isPresence(&d) ||
				// What an entry calls a contest may stand in other fields, and who is one person is
				// stated by having one position.
				d.Thing == finding.Contest && slices.Contains(titleFields, d.Field) || d.Field == finding.Person
			if stated && !d.Follows && (d.Before == nil || d.After == nil || !slices.Equal(d.Before, d.After)) && !e.agree(&d) {
				out = append(out, d)
			}
		}
	}
	return out
}

func (e *entries) agree(d *baseline.Change) bool {
	return slices.ContainsFunc(agreements, func(a agreement) bool { return a.holds(e, d) })
}

// isPresence is true where a thing that is keyed, or its place on a ballot, is on one side
// only.
func isPresence(d *baseline.Change) bool {
	switch d.Thing {
	case finding.Contest, finding.Choice, finding.Unit, finding.Precinct:
		return d.Field == finding.Whole
	case finding.Ballot:
		return d.Field == finding.Whole || d.Field == finding.Content || d.Field == finding.Order
	}
	return false
}

// unclaimed lists the leaves that no finding accounts for, each with a precinct.
func unclaimed(c *planted.County, findings func([]finding.Finding) []finding.Finding) []string {
	pg := pairing.Of(c.Primary.Election, c.Second.Election, "", nil)
	found := findings(checks.ComparePaired(pg, checks.Options{}).Findings)
	primary, names := baseline.Of(pg)
	second, own := baseline.OfSecond(pg.Second)
	var keys []baseline.Key
	for _, f := range found {
		keys = append(keys, names.Keys(own, f.Claims, f.Precincts)...)
	}
	var out []string
	for _, d := range entriesOf(pg, primary, second).leaves() {
		p := strings.Join(d.Precincts, "")
		if !slices.ContainsFunc(keys, func(k baseline.Key) bool { return primary.Covers(&k, &d, p) }) {
			out = append(out, fmt.Sprintf("%s %q %q %s %s %q on %q: %q → %q", d.Thing, d.ID, d.Part, d.Field, d.Language,
				d.Member, p, d.Before, d.After))
		}
	}
	return out
}

func all(found []finding.Finding) []finding.Finding { return found }

func TestEachDifferingValueIsClaimedOrSwept(t *testing.T) {
	kinds := slices.DeleteFunc(planted.Kinds(), func(k *planted.Kind) bool { return k.Side == "both" })
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64Range(0, 400).Draw(t, "seed")
		shape := planted.ShapeOf(seed)
		shape.Precincts = min(shape.Precincts, 60)
		county := planted.New(seed, shape)
		var chosen []*planted.Kind
		for range rapid.IntRange(1, 6).Draw(t, "mistakes") {
			chosen = append(chosen, rapid.SampledFrom(kinds).Draw(t, "kind"))
		}
		county, names := plant(county, chosen, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "places"), 1)))
		if left := unclaimed(county, all); len(left) > 0 {
			t.Fatalf("seed %d, planted %s: nobody speaks of\n%s", seed, strings.Join(names, " + "), strings.Join(left, "\n"))
		}
	})
}

// oneSided are the faults that one side shows by itself: no value differs for them. Half a
// split without a ballot is one here, since the members of a combined precinct agree by rule.
var oneSided = []finding.Code{"precinct-unserved", "unit-load", "dangling-reference", "style-unused", "style-conflict",
	"district-coverage", "vote-for-range", "party-line-twice", "language-twin"}

// Without findings, mistakes leave values that nobody claims: the property can fail.
func TestMistakesLeaveValuesThatSomebodyHasToClaim(t *testing.T) {
	if testing.Short() {
		t.Skip("goes through all kinds")
	}
	silent := func([]finding.Finding) []finding.Finding { return nil }
	for _, k := range planted.Kinds() {
		if k.Side == "both" || slices.Contains(oneSided, k.Code) || strings.HasPrefix(k.Name, "roster labelled ") {
			continue // the labels of a roster agree by rule, as each pairs its precinct
		}
		switch k.Name {
		case "one candidate without the party that all others of a primary have",
			"contest of all parties' voters marked as one party's":
			continue // neither side states another value: both say nothing, or only the export says anything
		}
		seen := false
		for seed := uint64(0); seed < 40 && !seen; seed++ {
			shape := planted.ShapeOf(seed)
			shape.Precincts = min(shape.Precincts, 60)
			c, names := plant(planted.New(seed, shape), []*planted.Kind{k}, rand.New(rand.NewPCG(seed, 1)))
			seen = len(names) > 0 && len(unclaimed(c, silent)) > 0
		}
		if !seen {
			t.Errorf("%s: in no county a value differs", k.Name)
		}
	}
}
