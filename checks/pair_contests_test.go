package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/checks/finding"
	"counterproof/model"
)

func TestALookalikeInTheOnlyNameDoesNotMakeAnotherContest(t *testing.T) {
	primary, second := threeWards(), threeWards()
	for _, e := range []*model.Election{primary, second} {
		name := "Ida Oke"
		if e == primary {
			name = "Idа Оke" // two letters are Cyrillic
		}
		c := &e.Contests[3]
		c.Choices = append([]model.Choice{c.Choices[0]}, c.Choices[2])
		c.Choices[0].Name, c.Choices[0].Person = model.Say(model.Plain(name)), name
		for i := range e.Styles {
			for k := range e.Styles[i].Content {
				e.Styles[i].Content[k].Order = model.Stated[[]int]{}
			}
		}
	}
	assert.Equal(t, []string{"lookalike Upper Ward Steward[2-01]"},
		codesAndPlaces(Compare(primary, second, Options{}).Findings))
	primary.Styles[1].Precincts, primary.Styles[2].Precincts = []int{3}, []int{2}
	want := []string{"lookalike Upper Ward Steward[2-01 2-02]", "wrong-style [2-01]", "wrong-style [2-02]"}
	assert.ElementsMatch(t, want, codesAndPlaces(Compare(primary, second, Options{}).Findings))
	assert.ElementsMatch(t, want, codesAndPlaces(Compare(second, primary, Options{}).Findings))
}

// A contest for voters of every party, changed late on the ballots of one party.
func TestALateChangeOnOnePartysBallots(t *testing.T) {
	primary, second := smallCounty(), smallCounty()
	for _, e := range []*model.Election{primary, second} {
		for i := range 2 {
			heron, quarry := e.Clone().Styles[i], e.Clone().Styles[i]
			heron.Parties, quarry.Parties = []int{0}, []int{1}
			quarry.Label = model.Say(quarry.Label.Value + " Q")
			e.Styles[i] = heron
			e.Styles = append(e.Styles, quarry)
		}
	}
	late := primary.Contests[0].Clone()
	late.VoteFor = model.Say(2)
	primary.Contests = append(primary.Contests, late)
	for i := range primary.Styles {
		if primary.Styles[i].Parties[0] == 1 {
			primary.Styles[i].Content[0].Contest = 4
		}
	}
	want := []string{"vote-for Warden of the Weir[1-01 1-02 2-01 2-02]"}
	assert.Equal(t, want, codesAndPlaces(Compare(primary, second, Options{}).Findings))
	assert.Equal(t, want, codesAndPlaces(Compare(second, primary, Options{}).Findings))
}

// A measure keyed by its letter is one contest with its printed title, however many begin alike.
func TestATitleThatHoldsItsCounterpartsPairsWithIt(t *testing.T) {
	measures := func(titles ...string) *model.Election {
		e := fullElection()
		for _, title := range titles {
			c := model.Contest{Title: say(title), Kind: model.Say(model.KindMeasure), VoteFor: model.Say(1),
				Choices: []model.Choice{{Name: say("Yes")}, {Name: say("No")}}}
			e.Contests = append(e.Contests, c)
			for s := range e.Styles {
				e.Styles[s].Content = append(e.Styles[s].Content, model.Placement{Contest: len(e.Contests) - 1})
			}
		}
		return e
	}
	for _, c := range []struct {
		name          string
		export, keyed []string
		want          []string // codes; of contest-title, the longer title too
	}{
		{"by the letter", []string{"Measure A: Shall the county build a road to B Street?"}, []string{"A"},
			[]string{"contest-title Measure A: Shall the county build a road to B Street?"}},
		{"two by the letter", []string{"Measure B: Shall a tax be levied?", "Measure A: Shall B Street be closed?"},
			[]string{"A", "B"},
			[]string{"contest-order", "contest-title Measure A: Shall B Street be closed?",
				"contest-title Measure B: Shall a tax be levied?"}},
		{"by its beginning", []string{"MEASURE A: SHALL THE COUNTY BUILD A ROAD?"}, []string{"Measure A"},
			[]string{"contest-title MEASURE A: SHALL THE COUNTY BUILD A ROAD?"}},
		{"no such letter", []string{"Measure B: Shall a tax be levied?"}, []string{"C"},
			[]string{"contest-missing", "contest-extra"}},
		{"an article is no letter", []string{"Measure B: Shall a tax be levied?"}, []string{"A"},
			[]string{"contest-missing", "contest-extra"}},
		{"part of a word", []string{"Measurement: shall the county build a road?"}, []string{"Measure"},
			[]string{"contest-missing", "contest-extra"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			found := func(export, keyed []string, title func(f *finding.Finding) string) (list []string) {
				for _, f := range Compare(measures(export...), measures(keyed...), Options{}).Findings {
					words := string(f.Check)
					if f.Check == codeContestTitle {
						words += " " + title(&f)
					}
					list = append(list, words)
				}
				return list
			}
			assert.ElementsMatch(t, c.want, found(c.export, c.keyed, func(f *finding.Finding) string { return f.Primary }))
			assert.ElementsMatch(t, c.want, found(c.keyed, c.export, func(f *finding.Finding) string { return f.Second }))
		})
	}
}
