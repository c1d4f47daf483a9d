package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

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
