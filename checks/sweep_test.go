package checks

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// smallCounty is an invented election in which every field is stated, so that
// every field can be altered.
func smallCounty() *model.Election {
	text := func(s string) model.Text { return model.Plain(s) }
	e := &model.Election{
		Facts: model.Facts{Name: model.Say(text("Spring election")), Date: model.Say("2027-04-06"),
			Jurisdiction: model.Say(text("Lower Fennick"))},
		Parties: []model.Party{
			{Name: model.Say(text("Heron Party")), Abbreviation: model.Say(text("HER"))},
			{Name: model.Say(text("Quarry Party")), Abbreviation: model.Say(text("QUA"))},
			{Name: model.Say(text("Orchard Party")), Abbreviation: model.Say(text("ORC"))},
		},
		Sites: []model.Site{{Name: text("Fennick Mill")}, {Name: text("Weir House")}},
	}
	for i, name := range []string{"1-01", "1-02", "2-01", "2-02"} {
		e.Precincts = append(e.Precincts, model.Precinct{Name: text(name), Kind: "precinct",
			Sites: model.Say([]model.SiteUse{{Site: i / 2, Use: model.UseElectionDay}})})
	}
	add := func(title string, kind model.Kind, voteFor int, names ...string) {
		c := model.Contest{
			Title: model.Say(text(title)), Kind: model.Say(kind), Variation: model.Say("n-of-m"), VoteFor: model.Say(voteFor),
			PrimaryParties: model.Say([]int{}), Rotates: model.Say(false), Text: model.Say(text("The question of " + title)),
		}
		for i, n := range names {
			c.Choices = append(c.Choices, model.Choice{Name: model.Say(text(n)), Lines: model.Say([]int{i % 2}), Person: n})
		}
		c.Choices = append(c.Choices, model.Choice{WriteIn: true})
		e.Contests = append(e.Contests, c)
	}
	add("Warden of the Weir", model.KindCandidate, 1, "Odile Tarn", "Basil Crewe", "Odile Tarn")
	e.Contests[0].Choices[2].Lines = model.Say([]int{2})
	add("Reeve of Fennick", model.KindCandidate, 2, "Ansel Moor", "Petra Vane", "Ravi Holm")
	add("Lower Ward Steward", model.KindCandidate, 1, "Iris Pell", "Tobias Wren")
	add("Upper Ward Steward", model.KindCandidate, 1, "Lena Oakes", "Marek Flood")
	headings := func(list ...string) model.Stated[[]model.Text] {
		out := []model.Text{}
		for _, h := range list {
			out = append(out, text(h))
		}
		return model.Say(out)
	}
	for s := range 2 {
		e.Styles = append(e.Styles, model.Style{
			Label: model.Say(fmt.Sprintf("Style %d", s+1)), Precincts: []int{2 * s, 2*s + 1}, Closing: headings("End of ballot"),
			Content: []model.Placement{
				{Contest: 0, Headings: headings("VILLAGE"), Order: model.Say([]int{0, 1, 2, 3})},
				{Contest: 1, Headings: headings(), Order: model.Say([]int{0, 1, 2, 3})},
				{Contest: 2 + s, Headings: headings("WARD"), Order: model.Say([]int{0, 1, 2})},
			},
		})
		e.Units = append(e.Units, model.Unit{Name: fmt.Sprintf("U%d", s+1), Site: model.Say(s),
			Use: model.Say(model.UseElectionDay), Precincts: model.Say([]int{2 * s, 2*s + 1})})
	}
	return e
}

// leftOut are the fields that are not compared, and why.
var leftOut = map[string]string{
	"Election.Origins":   "where things come from says nothing about the ballot",
	"Election.Districts": "the second entry draws no districts; district-coverage looks at the export's",
	"Contest.District":   "as above",
	"Contest.Name":       "a working name, compared only where no title is printed",
	"Contest.Summary":    "compared with the keyed text, which may be either",
	"Contest.Subtitle":   "joined to the title",
	"Precinct.Kind":      "serves to find the precinct",
	"Precinct.Number":    "serves to find the precinct",
	"Precinct.Members":   "serves to find the precinct",
	"Unit.Unknown":       "names that match no precinct; covered by its own test",
	"Style.Precincts":    "compared as what each precinct's ballot holds",
	"Phrase.Language":    "names the language; what is said in it is covered by its own test",
	"Party.Order":        "only the second entry states it; covered by its own test",
	"Stated.Known":       "what is not stated is not compared",
	"Choice.Person":      "compared as a grouping; covered by its own test",
	"Style.Parties":      "none in this election; covered by its own test",
}

// alterations visits every field of an election with a function that alters it.
func alterations(v reflect.Value, path string, visit func(path string, alter func())) {
	switch v.Kind() {
	case reflect.Struct:
		t := v.Type()
		name := t.Name()
		if strings.HasPrefix(name, "Stated[") {
			name = "Stated"
		}
		for i := range t.NumField() {
			if leftOut[name+"."+t.Field(i).Name] != "" {
				continue
			}
			alterations(v.Field(i), path+"."+t.Field(i).Name, visit)
		}
	case reflect.Slice:
		if v.Len() > 0 {
			visit(path+" (last left out)", func() { v.Set(v.Slice(0, v.Len()-1)) })
		}
		for i := range v.Len() {
			alterations(v.Index(i), fmt.Sprintf("%s[%d]", path, i), visit)
		}
	case reflect.String:
		if v.String() != "" {
			visit(path, func() { v.SetString(v.String() + "x") })
		}
	case reflect.Int:
		visit(path, func() {
			if v.Int() == 0 {
				v.SetInt(1)
			} else {
				v.SetInt(v.Int() - 1)
			}
		})
	case reflect.Bool:
		visit(path, func() { v.SetBool(!v.Bool()) })
	}
}

func TestNoFieldOfAnElectionEscapes(t *testing.T) {
	require.Empty(t, Compare(smallCounty(), smallCounty(), Options{}).Findings, "an election agrees with itself")
	var paths []string
	alterations(reflect.ValueOf(smallCounty()).Elem(), "", func(path string, _ func()) { paths = append(paths, path) })
	require.Greater(t, len(paths), 150, "the walk should reach every field")
	for _, want := range paths {
		if strings.HasPrefix(want, ".Parties (last") || strings.HasPrefix(want, ".Sites (last") ||
			strings.HasPrefix(want, ".Precincts (last") || strings.HasPrefix(want, ".Contests (last") {
			continue // things that others point at cannot just be left out
		}
		if strings.HasPrefix(want, ".Parties[") && strings.HasSuffix(want, "(last left out)") {
			continue // a party without a name is one whose name was not stated
		}
		if strings.Contains(want, ".Choices (last") || strings.HasSuffix(want, ".Order.Value (last left out)") {
			continue // write-in positions: write-in, and the test of orders below
		}
		t.Run(want, func(t *testing.T) {
			for side := range 2 {
				altered := smallCounty()
				alterations(reflect.ValueOf(altered).Elem(), "", func(path string, alter func()) {
					if path == want {
						alter()
					}
				})
				r := Compare(altered, smallCounty(), Options{})
				if side == 1 {
					r = Compare(smallCounty(), altered, Options{})
				}
				assert.NotEmpty(t, r.Findings, "side %d: a changed %s must be found", side, want)
			}
		})
	}
}

// Without any check, the sweep alone must see a difference in what is paired.
func TestTheSweepSeesWhatChecksForget(t *testing.T) {
	for name, alter := range map[string]func(*model.Election){
		"vote for":     func(e *model.Election) { e.Contests[1].VoteFor.Value = 3 },
		"title":        func(e *model.Election) { e.Contests[1].Title = model.Say(model.Plain("Reeve of Fenwick")) },
		"kind":         func(e *model.Election) { e.Contests[1].Kind.Value = model.KindRetention },
		"variation":    func(e *model.Election) { e.Contests[1].Variation.Value = "rcv" },
		"text":         func(e *model.Election) { e.Contests[1].Text = model.Say(model.Plain("Another question")) },
		"a party line": func(e *model.Election) { e.Contests[1].Choices[0].Lines.Value = []int{2} },
		"a name":       func(e *model.Election) { e.Contests[1].Choices[0].Name = model.Say(model.Plain("Ansel Moore")) },
		"a person":     func(e *model.Election) { e.Contests[0].Choices[2].Person = "another" },
		"a heading": func(e *model.Election) {
			e.Styles[0].Content[0].Headings.Value = []model.Text{
				model.Plain("TOWN")}
		},
		"a closing line": func(e *model.Election) { e.Styles[0].Closing.Value = nil },
		"election date":  func(e *model.Election) { e.Facts.Date.Value = "2027-04-07" },
		"party name":     func(e *model.Election) { e.Parties[0].Name = model.Say(model.Plain("Herons")) },
	} {
		t.Run(name, func(t *testing.T) {
			altered := smallCounty()
			alter(altered)
			ds, r := compared(altered, smallCounty())
			r.run(unclassified, ds)
			assert.NotEmpty(t, r.found, "the sweep should report what no finding claims")
			for _, f := range r.found {
				assert.EqualValues(t, "unclassified", f.Check)
			}
		})
	}
}

func compared(primary, second *model.Election) (*difference.Differences, *reporter) {
	ds := difference.Of(pairing.Of(primary, second, "", nil))
	return ds, newReporter(ds.Pairing, Options{})
}

func TestAPanicInTheSweepBecomesAFinding(t *testing.T) {
	type unfit struct{ hidden int }
	_, r := compared(smallCounty(), smallCounty())
	r.check = unclassified
	assert.NotPanics(t, func() {
		sweepOne(r, unfit{1}, unfit{2}, func() swept {
			return whole("contest", finding.RefTo(finding.Contest, 0, 0), finding.Finding{}, "unfit")
		})
	})
	require.Len(t, r.found, 1)
	assert.EqualValues(t, "unclassified", r.found[0].Check)
	assert.Contains(t, r.found[0].Message, "compare it by eye")
}

// What the sweep knows to be equal without reflection, it knows by naming every field:
// a field that is added must be named there.
func TestTheQuickLookOfTheSweepNamesEveryField(t *testing.T) {
	fields := func(v any) (names []string) {
		for i := range reflect.TypeOf(v).NumField() {
			names = append(names, reflect.TypeOf(v).Field(i).Name)
		}
		return names
	}
	assert.Equal(t, []string{"Label", "Parties", "Precincts", "Content", "Closing"}, fields(model.Style{}),
		"name a new field in nothingLeft")
	assert.Equal(t, []string{"Contest", "Headings", "Order"}, fields(model.Placement{}), "name a new field in nothingLeft")
	for name, st := range map[string]model.Style{
		"label": {Label: model.Say("7")}, "parties": {Parties: []int{0}}, "precincts": {Precincts: []int{0}},
		"closing":  {Closing: model.Say([]model.Text{})},
		"headings": {Content: []model.Placement{{Headings: model.Say([]model.Text{})}}},
		"order":    {Content: []model.Placement{{Order: model.Say([]int{})}}},
	} {
		assert.False(t, nothingLeft(&st), name)
	}
	assert.False(t, sameContests([]model.Placement{{Contest: 1}}, []model.Placement{{Contest: 2}}))
}

// go-cmp panics on unexported fields and on cycles; the sweep may be used only on
// types that have neither.
func TestEveryTypeOfAnElectionCanBeComparedWithoutOptions(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var walk func(reflect.Type, string)
	walk = func(typ reflect.Type, path string) {
		if seen[typ] {
			return
		}
		seen[typ] = true
		switch typ.Kind() {
		case reflect.Struct:
			for i := range typ.NumField() {
				f := typ.Field(i)
				assert.True(t, f.IsExported(), "%s.%s is not exported: go-cmp would panic on it", path, f.Name)
				walk(f.Type, path+"."+f.Name)
			}
		case reflect.Slice, reflect.Array:
			walk(typ.Elem(), path+"[]")
		case reflect.Map:
			walk(typ.Key(), path+" key")
			walk(typ.Elem(), path+" value")
		case reflect.Pointer, reflect.Interface, reflect.Func, reflect.Chan, reflect.UnsafePointer:
			t.Errorf("%s is a %s: it cannot be compared by what it says", path, typ.Kind())
		}
	}
	walk(reflect.TypeOf(model.Election{}), "Election")
	assert.Greater(t, len(seen), 20)
	assert.True(t, cmp.Equal(smallCounty(), smallCounty()))
}

func TestTwoPositionsOfOnePersonMustBeOneCandidate(t *testing.T) {
	primary := smallCounty()
	primary.Contests[0].Choices[2].Person = "someone else"
	r := Compare(primary, smallCounty(), Options{})
	require.Len(t, r.Findings, 1)
	assert.EqualValues(t, "candidate-unlinked", r.Findings[0].Check)
	assert.Equal(t, "Odile Tarn", r.Findings[0].Choice)
}

func TestACardHeaderThatNamesAnUnknownPrecinct(t *testing.T) {
	primary := smallCounty()
	primary.Units[0].Unknown = []string{"9-09"}
	r := Compare(primary, smallCounty(), Options{})
	require.Len(t, r.Findings, 1)
	assert.EqualValues(t, "unit-header", r.Findings[0].Check)
	assert.Contains(t, r.Findings[0].Message, "9-09")
}

// A header keyed as the card prints it, with a precinct that is not on the official roster.
func TestACardHeaderKeyedWithAPrecinctOffTheRoster(t *testing.T) {
	second := smallCounty()
	second.Units[0].Unknown = []string{"9-09"}
	r := Compare(smallCounty(), second, Options{})
	require.Len(t, r.Findings, 1, "the card in the export does not name it")
	assert.EqualValues(t, "unit-header", r.Findings[0].Check)
	assert.Contains(t, r.Findings[0].Message, "lacks 9-09")

	primary := smallCounty()
	primary.Units[0].Unknown = []string{"9-09"}
	assert.Empty(t, Compare(primary, second, Options{}).Findings, "both name it")

	primary = smallCounty()
	primary.Precincts = append(primary.Precincts, model.Precinct{Name: model.Plain("9-09")})
	primary.Units[0].Precincts.Value = append(primary.Units[0].Precincts.Value, len(primary.Precincts)-1)
	for _, f := range Compare(primary, second, Options{}).Findings {
		assert.NotEqualValues(t, "unit-header", f.Check, "the export has a precinct of that name, and both headers name it")
	}
}

func TestABallotForOnePartyAndABallotForAll(t *testing.T) {
	primary := smallCounty()
	primary.Styles[0].Parties = []int{1}
	r := Compare(primary, smallCounty(), Options{})
	require.Len(t, r.Findings, 1)
	assert.EqualValues(t, "primary-party", r.Findings[0].Check)
	assert.Equal(t, []string{"1-01", "1-02"}, r.Findings[0].Precincts)
}

func TestAChoiceLeftOffTheBallotsOfOneStyle(t *testing.T) {
	primary := smallCounty()
	primary.Styles[1].Content[1].Order = model.Say([]int{0, 2, 3})
	r := Compare(primary, smallCounty(), Options{})
	require.Len(t, r.Findings, 1)
	assert.EqualValues(t, "choice-missing", r.Findings[0].Check)
	assert.Equal(t, "Petra Vane", r.Findings[0].Choice)
	assert.Equal(t, []string{"2-01", "2-02"}, r.Findings[0].Precincts)
}

// One side prints a ballot for each party, the other one ballot for all: that is
// one finding, and a contest that stands on every party's ballot is not printed
// twice.
func TestABallotForEachPartyAgainstOneForAll(t *testing.T) {
	second := smallCounty()
	other := second.Styles[0].Clone()
	second.Styles[0].Parties, other.Parties = []int{0}, []int{1}
	second.Styles = append(second.Styles, other)
	r := Compare(smallCounty(), second, Options{})
	require.Len(t, r.Findings, 1)
	assert.EqualValues(t, "style-conflict", r.Findings[0].Check)
	assert.Equal(t, []string{"1-01", "1-02"}, r.Findings[0].Precincts)
}

func TestATextKeyedAsNotPrintedAgreesWithNone(t *testing.T) {
	primary, second := smallCounty(), smallCounty()
	primary.Contests[1].Text = model.Stated[model.Text]{}
	second.Contests[1].Text = model.Say(model.Text{})
	assert.Empty(t, Compare(primary, second, Options{}).Findings)
}
