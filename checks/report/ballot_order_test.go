package report

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

func ballotsOf(contests int, styles ...[]int) *model.Election {
	e := &model.Election{Contests: make([]model.Contest, contests)}
	for _, content := range styles {
		var s model.Style
		for _, c := range content {
			s.Content = append(s.Content, model.Placement{Contest: c})
		}
		e.Styles = append(e.Styles, s)
	}
	return e
}

func TestContestsAreInBallotOrder(t *testing.T) {
	for name, x := range map[string]struct {
		contests int
		styles   [][]int
		want     []int
	}{
		"towns between county and school":   {6, [][]int{{0, 2, 4}, {0, 3, 5}, {0, 2, 5}}, []int{0, 2, 4, 3, 5}},
		"the export lists them otherwise":   {3, [][]int{{2, 0}, {0, 1}}, []int{2, 0, 1}},
		"ballots disagree":                  {3, [][]int{{0, 1, 2}, {1, 0, 2}}, []int{0, 1, 2}},
		"one on no ballot":                  {3, [][]int{{2, 0}}, []int{2, 0, 1}},
		"a contest twice on one ballot":     {2, [][]int{{0, 1, 0}}, []int{0, 1}},
		"no ballots":                        {2, nil, []int{0, 1}},
		"parties of a closed primary apart": {4, [][]int{{0, 1}, {2, 3}}, []int{0, 1, 2, 3}},
	} {
		got := BallotOrder(ballotsOf(x.contests, x.styles...))
		if name == "towns between county and school" {
			got = slices.DeleteFunc(got, func(c int) bool { return c == 1 }) // on no ballot
		}
		require.Equal(t, x.want, got, name)
	}
}

// Each contest is there once. Where ballots are parts of one order, the result follows all of them.
func TestBallotOrderFollowsEachBallot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "contests")
		whole := rapid.Permutation(own(n)).Draw(t, "order")
		var styles [][]int
		for range rapid.IntRange(0, 6).Draw(t, "styles") {
			keep := rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "kept")
			var s []int
			for i, c := range whole {
				if keep[i] {
					s = append(s, c)
				}
			}
			styles = append(styles, s)
		}
		got := BallotOrder(ballotsOf(n, styles...))
		require.Equal(t, own(n), slices.Sorted(slices.Values(got)))
		for _, s := range styles {
			last := -1
			for _, c := range s {
				at := slices.Index(got, c)
				require.Greater(t, at, last, "%v does not follow %v", got, s)
				last = at
			}
		}
	})
}
