package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func TestAPrecinctOnAnothersBallotIsNoFaultOfADistrict(t *testing.T) {
	// 2-02 has the ballot of 2-01, and with it an old contest of the same district as
	// one that every ballot has.
	right, wrong := threeWards(), threeWards()
	old := wrong.Contests[0].Clone()
	old.Title = say("Register of Deeds")
	old.Choices = old.Choices[:2]
	for i, name := range []string{"Cato Birch", "Effie Sand"} {
		old.Choices[i].Name, old.Choices[i].Person = say(name), name
	}
	wrong.Contests = append(wrong.Contests, old)
	wrong.Styles[1].Content = append(wrong.Styles[1].Content, model.Placement{Contest: len(wrong.Contests) - 1})
	wrong.Styles[1].Precincts, wrong.Styles[2].Precincts = []int{2, 3}, nil
	wrong.Districts = []model.District{{Name: model.Plain("County"), Precincts: []int{0, 1, 2, 3}}}
	for _, c := range []int{0, len(wrong.Contests) - 1} {
		wrong.Contests[c].District = model.Say(0)
	}
	found := Compare(wrong, right, Options{}).Findings
	var codes []string
	for _, f := range found {
		codes = append(codes, string(f.Check))
	}
	assert.Contains(t, codes, "wrong-style")
	assert.NotContains(t, codes, "district-coverage")
}

func TestAnOldContestOnTheSecondBallotOfAPrecinctIsPartOfTheConflict(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	old := wrong.Contests[0].Clone()
	old.Title, old.District = say("Register of Deeds"), model.Say(0)
	old.Choices = nil
	wrong.Contests = append(wrong.Contests, old)
	extra := wrong.Styles[2].Clone()
	extra.Label, extra.Precincts = model.Say("Style 9"), []int{3}
	extra.Content = append(extra.Content, model.Placement{Contest: len(wrong.Contests) - 1})
	wrong.Styles = append(wrong.Styles, extra)
	wrong.Districts = []model.District{{Name: model.Plain("County"), Precincts: []int{0, 1, 2, 3}}}
	var codes []string
	for _, f := range Compare(wrong, right, Options{}).Findings {
		codes = append(codes, string(f.Check))
		if f.Check == "style-conflict" {
			assert.Equal(t, []string{"2-02"}, f.Precincts)
		}
	}
	assert.Contains(t, codes, "style-conflict")
	assert.NotContains(t, codes, "district-coverage")
}

func TestADistrictDrawnByMembersAloneOfPrecinctsThatVoteTogether(t *testing.T) {
	e := threeWards()
	e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain("Joined 2"), Kind: "combined-precinct",
		Members: []int{2, 3}})
	e.Styles[1].Precincts = []int{4}
	e.Styles = e.Styles[:2]
	e.Districts = []model.District{{Name: model.Plain("Ward 2"), Precincts: []int{2}}}
	e.Contests[0].District = model.Say(0) // it is on every ballot
	var codes []string
	for _, f := range Inspect(e, Options{}) {
		codes = append(codes, string(f.Check))
	}
	assert.Contains(t, codes, "district-coverage")
}
