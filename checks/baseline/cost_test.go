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

	"counterproof/checks"
	"counterproof/checks/baseline"
	"counterproof/checks/pairing"
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

// BenchmarkExponents prints, for each dimension of two exports, the exponent of the cost of
// finding what changed and of taking over what was asked for: the logarithm to base 2 of how
// much longer twice as many take. 1 is linear.
func BenchmarkExponents(b *testing.B) {
	// precincts is a county in which each precinct has its own ballot, with one contest
	// more where more is set, which another label and another heading go with.
	precincts := func(n int, shared, more bool) *model.Election {
		e := &model.Election{}
		for i := range 12 {
			e.Contests = append(e.Contests, model.Contest{Title: model.Say(model.Plain(fmt.Sprintf("Seat %d", i)))})
		}
		for i := range n {
			e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(fmt.Sprintf("P-%d", i)), Kind: "precinct"})
			label, words := fmt.Sprintf("S-%d", i), "County"
			if shared {
				label = "S"
			}
			if more {
				label, words = label+"a", "The County"
			}
			st := model.Style{Label: model.Say(label), Precincts: []int{i}}
			for k := range 10 {
				at := model.Placement{Contest: (i + k) % 11, Headings: model.Say([]model.Text{})}
				if shared {
					at.Contest = k
				}
				if k == 0 {
					at.Headings = model.Say([]model.Text{model.Plain(words)})
				}
				st.Content = append(st.Content, at)
			}
			if more {
				st.Content = append(st.Content, model.Placement{Contest: 11, Headings: model.Say([]model.Text{})})
			}
			e.Styles = append(e.Styles, st)
		}
		return e
	}
	for _, dimension := range []struct {
		name string
		n    int
		make func(n int) (second, before, after *model.Election)
	}{
		{"precincts with a ballot each", 1_000, func(n int) (_, _, _ *model.Election) {
			return precincts(n, false, true), precincts(n, false, false), precincts(n, false, true)
		}},
		{"precincts with ballots of one label", 1_000, func(n int) (_, _, _ *model.Election) {
			return precincts(n, true, true), precincts(n, true, false), precincts(n, true, true)
		}},
		{"choices", 20_000, func(n int) (_, _, _ *model.Election) {
			var all, some []int
			for i := range n {
				if all = append(all, i); i%10 > 0 {
					some = append(some, i)
				}
			}
			slices.Reverse(some)
			return manyChoices(n, all), manyChoices(n, all), manyChoices(n, some)
		}},
		{"contests", 10_000, func(n int) (_, _, _ *model.Election) {
			every := func(i int) bool { return i%3 == 0 }
			none := func(int) bool { return false }
			return manyContests(n, none), manyContests(n, every), manyContests(n, none)
		}},
	} {
		b.Run(dimension.name, func(b *testing.B) {
			took := func(n int) time.Duration {
				best := time.Duration(math.MaxInt64)
				second, before, after := dimension.make(n)
				own, of := baseline.OfSecond(pairing.Of(second, &model.Election{}, "", nil).Primary)
				pg := pairing.Of(before, second, "", nil)
				found := checks.ComparePaired(pg, checks.Options{}).Findings
				a, names := baseline.Of(pg)
				var keys []baseline.Key
				for _, f := range found {
					keys = append(keys, names.Keys(of, f.Claims, f.Precincts)...)
				}
				later := pairing.Of(after, second, "", nil)
				for range 3 {
					c, _ := baseline.Of(later, names)
					start := time.Now()
					set := baseline.NewKeySet(keys)
					differs := func(*baseline.Change, string) bool { return false }
					baseline.Merge(a, c, func(x *baseline.Change, precinct string) bool {
						return len(set.Covering(c, x, precinct)) > 0 &&
							own.Wants(c, x, precinct, differs) == baseline.Wanted || own.LikeSiblings(a, c, x, precinct)
					})
					baseline.Groups(own, a, c, baseline.Diff(a, c))
					best = min(best, time.Since(start))
				}
				return best
			}
			var once, twice time.Duration
			for b.Loop() {
				once += took(dimension.n)
				twice += took(2 * dimension.n)
			}
			b.ReportMetric(float64(once.Milliseconds())/float64(b.N), "ms/n")
			b.ReportMetric(math.Log2(float64(twice)/float64(once)), "exponent")
		})
	}
}
