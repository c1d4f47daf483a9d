package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func TestAContestThatLostItsCandidatesIsThatContestOnSomeWrongBallotsToo(t *testing.T) {
	right, wrong := mendable(), mendable()
	for len(wrong.Contests[4].Choices) > 0 { // "Far Ward Steward"
		removePosition(wrong, 4, 0)
	}
	wrong.Styles[1].Precincts, wrong.Styles[2].Precincts = []int{4}, []int{2, 3, 5, 6}
	// Two candidates and two exchanged styles.
	const places = " Far Ward Steward[2-01 2-02 3-01 3-02 3-03]"
	for code, sides := range map[string][2]*model.Election{"choice-missing": {wrong, right}, "choice-extra": {right, wrong}} {
		assert.ElementsMatch(t, []string{"wrong-style [2-01 2-02]", "wrong-style [3-01]", code + places, code + places},
			codesAndPlaces(Compare(sides[0], sides[1], Options{}).Findings))
	}
}

func TestAPartyKeyedBesideOneChoiceOfAContestWithoutPartiesNamesTheChoice(t *testing.T) {
	none := func() *model.Election {
		e := mendable()
		for i := range e.Contests[4].Choices {
			e.Contests[4].Choices[i].Lines = model.Say([]int{})
		}
		return e
	}
	second := none()
	second.Contests[4].Choices[1].Lines = model.Say([]int{0})
	found := Compare(none(), second, Options{}).Findings
	assert.Len(t, found, 1)
	assert.Equal(t, "party-line", found[0].Check)
	assert.Equal(t, "Amos Birch", found[0].Choice)
	assert.NotContains(t, found[0].Message, " , ")
}
