package checks

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// orderOn sets the order in which a style prints a contest.
func orderOn(e *model.Election, style, contest int, order ...int) {
	for i := range e.Styles[style].Content {
		if pl := &e.Styles[style].Content[i]; pl.Contest == contest {
			pl.Order = model.Say(order)
		}
	}
}

func TestAChoiceThatABallotListsTwiceIsFound(t *testing.T) {
	for name, order := range map[string][]int{"beside all others": {0, 1, 1, 2, 3}, "at the end": {0, 1, 2, 3, 1},
		"before all others": {1, 0, 1, 2, 3}} {
		right, wrong := fullElection(), fullElection()
		require.Len(t, wrong.Contests[1].Choices, 4)
		orderOn(wrong, 0, 1, order...)
		for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
			found := Compare(sides[0], sides[1], Options{}).Findings
			assert.Equal(t, []string{"choice-duplicate Reeve of Fennick[1-01 1-02]"}, codesAndPlaces(found), name)
		}
	}
	// In the place of another, both are told.
	right, wrong := fullElection(), fullElection()
	orderOn(wrong, 0, 1, 0, 1, 1, 3)
	assert.ElementsMatch(t, []string{"choice-missing Reeve of Fennick[1-01 1-02]",
		"choice-duplicate Reeve of Fennick[1-01 1-02]"},
		codesAndPlaces(Compare(wrong, right, Options{}).Findings))
}

func TestWriteInPositionsThatOneContestLeavesOffAllBallots(t *testing.T) {
	leaveOff := func(e *model.Election, contests ...int) {
		for _, c := range contests {
			for s := range e.Styles {
				var order []int
				for i, ch := range e.Contests[c].Choices {
					if !ch.WriteIn {
						order = append(order, i)
					}
				}
				orderOn(e, s, c, order...)
			}
		}
	}
	with := func(e *model.Election, contest int) bool {
		return slices.ContainsFunc(e.Contests[contest].Choices, func(c model.Choice) bool { return c.WriteIn })
	}
	right := fullElection()
	right.Contests[2].Choices = append(right.Contests[2].Choices, model.Choice{WriteIn: true, Lines: model.Say([]int{})})
	orderOn(right, 0, 2, 0, 1, 2)
	require.True(t, with(right, 1))
	all := []int{}
	for c := range right.Contests {
		if with(right, c) {
			all = append(all, c)
		}
	}
	require.Greater(t, len(all), 1)
	// No order of the export lists write-in positions: they are printed all the same.
	candidates := right.Clone()
	leaveOff(candidates, all...)
	assert.Empty(t, Compare(candidates, right, Options{}).Findings)
	wrong := right.Clone()
	leaveOff(wrong, 1)
	assert.Equal(t, []string{"write-in Reeve of Fennick[1-01 1-02 2-01 2-02 3-01 3-02 3-03]"},
		codesAndPlaces(Compare(wrong, right, Options{}).Findings))
}
