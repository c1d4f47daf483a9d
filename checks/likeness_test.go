package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func TestAContestThatLostItsCandidatesIsThatContestOnSomeWrongBallotsToo(t *testing.T) {
	right, wrong := fullElection(), fullElection()
	for len(wrong.Contests[4].Choices) > 0 { // "Far Ward Steward"
		removePosition(wrong, 4, 0)
	}
	wrong.Styles[1].Precincts, wrong.Styles[2].Precincts = []int{4}, []int{2, 3, 5, 6}
	// A contest without candidates, and two exchanged styles.
	const places = " Far Ward Steward[2-01 2-02 3-01 3-02 3-03]"
	for code, sides := range map[string][2]*model.Election{"choice-missing": {wrong, right},
		"choice-extra": {right, wrong}} {
		assert.ElementsMatch(t, []string{"wrong-style [2-01 2-02]", "wrong-style [3-01]", code + places},
			codesAndPlaces(Compare(sides[0], sides[1], Options{}).Findings))
	}
}

func TestAMeasureIsKnownByItsSummaryWhereThatIsPrinted(t *testing.T) {
	primary, second := fullElection(), fullElection()
	c := &primary.Contests[5]
	c.Title, c.Summary = say("Question Seven"), c.Text
	c.Text = say("An ordinance to amend the charter of the village in all that concerns the upkeep of weirs, sluices " +
		"and towpaths, and for other purposes.")
	assert.Equal(t, []string{"contest-title Proposition One[1-01 1-02 2-01 2-02 3-01 3-02 3-03]"},
		codesAndPlaces(Compare(primary, second, Options{}).Findings))
}
