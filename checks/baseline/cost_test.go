//go:build unix

package baseline_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks/baseline"
	"counterproof/model"
)

// manyChoices is an election of one contest with n choices, of which the ballot lists those
// of order.
func manyChoices(n int, order []int) *model.Election {
	e := &model.Election{Precincts: []model.Precinct{{Name: model.Plain("P-1"), Kind: "precinct"}}}
	c := model.Contest{Title: model.Say(model.Plain("Town Council")), Kind: model.Say(model.KindCandidate)}
	for i := range n {
		c.Choices = append(c.Choices, model.Choice{Name: model.Say(model.Plain(fmt.Sprintf("Ada %d", i)))})
	}
	e.Contests = []model.Contest{c}
	e.Styles = []model.Style{{Label: model.Say("S1"), Precincts: []int{0},
		Content: []model.Placement{{Contest: 0, Order: model.Say(order)}}}}
	return e
}

// manyContests is an election of n contests on one ballot, but for each that without names;
// another ballot has them all.
func manyContests(n int, without func(i int) bool) *model.Election {
	e := &model.Election{Precincts: []model.Precinct{{Name: model.Plain("P-1"), Kind: "precinct"},
		{Name: model.Plain("P-2"), Kind: "precinct"}}}
	st, other := model.Style{Label: model.Say("S1"), Precincts: []int{0}},
		model.Style{Label: model.Say("S2"), Precincts: []int{1}}
	for i := range n {
		other.Content = append(other.Content, model.Placement{Contest: i, Headings: model.Say([]model.Text{})})
		e.Contests = append(e.Contests, model.Contest{Title: model.Say(model.Plain(fmt.Sprintf("Seat %d", i)))})
		if !without(i) {
			st.Content = append(st.Content, model.Placement{Contest: i, Headings: model.Say([]model.Text{})})
		}
	}
	e.Styles = []model.Style{st, other}
	return e
}

// Changes of long orders and long ballots are found and taken over in time that grows with
// their length; see the test of the same kind beside the comparison.
func TestLongListsCostByTheirLength(t *testing.T) {
	if testing.Short() || os.Getenv("CI") != "true" {
		t.Skip("long; run with CI=true")
	}
	second := &model.Election{}
	for name, pair := range map[string]func(n int) (before, after *model.Election){
		"other order, every tenth left off": func(n int) (_, _ *model.Election) {
			var all, some []int
			for i := range n {
				if all = append(all, i); i%10 > 0 {
					some = append(some, i)
				}
			}
			slices.Reverse(some)
			return manyChoices(n, all), manyChoices(n, some)
		},
		"every tenth choice put on": func(n int) (_, _ *model.Election) {
			var all, some []int
			for i := range n {
				if all = append(all, i); i%10 > 0 {
					some = append(some, i)
				}
			}
			return manyChoices(n, some), manyChoices(n, all)
		},
		"every third contest taken off": func(n int) (_, _ *model.Election) {
			n /= 5
			return manyContests(n, func(int) bool { return false }), manyContests(n, func(i int) bool { return i%3 == 0 })
		},
		"every third contest put on": func(n int) (_, _ *model.Election) {
			n /= 5
			return manyContests(n, func(i int) bool { return i%3 == 0 }), manyContests(n, func(int) bool { return false })
		},
	} {
		took := func(n int) time.Duration {
			list := values(second, first(pair(n)), last(pair(n)))
			start := spent()
			require.NotEmpty(t, baseline.Diff(list[0], list[1]))
			merged := baseline.Merge(list[0], list[1], func(*baseline.Change, string) bool { return true })
			took := max(spent()-start, 100*time.Millisecond)
			require.Empty(t, baseline.Diff(merged, list[1]), name)
			return took
		}
		best := math.Inf(1)
		for try := 0; try < 3 && best > 20; try++ {
			small := took(5_000)
			best = min(best, float64(took(50_000))/float64(small))
		}
		require.LessOrEqual(t, best, 20.0, name)
	}
}

func first(a, _ *model.Election) *model.Election { return a }
func last(_, b *model.Election) *model.Election  { return b }
