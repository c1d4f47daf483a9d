//go:build unix

package checks

import (
	"fmt"
	"math"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

// longContest is an election of one contest with n choices, as name names them, on the
// one ballot there is, each on one of two party lines.
func longContest(n int, name func(i int) string) *model.Election {
	e := &model.Election{Precincts: []model.Precinct{{Name: model.Plain("P-1"), Kind: "precinct"}}}
	for p := range 2 {
		e.Parties = append(e.Parties, model.Party{Name: model.Say(model.Plain(fmt.Sprintf("Party %d", p)))})
	}
	c := model.Contest{Title: model.Say(model.Plain("Town Council")), Kind: model.Say(model.KindCandidate),
		VoteFor: model.Say(1), PrimaryParties: model.Say([]int{})}
	for i := range n {
		c.Choices = append(c.Choices, model.Choice{Name: model.Say(model.Plain(name(i))), Lines: model.Say([]int{i % 2})})
	}
	e.Contests = []model.Contest{c}
	e.Styles = []model.Style{{Label: model.Say("S1"), Precincts: []int{0}, Content: []model.Placement{{Contest: 0}}}}
	return e
}

// stateOrder lists the choices on the ballot as order gives them.
func stateOrder(e *model.Election, order []int) *model.Election {
	e.Styles[0].Content[0].Order = model.Say(order)
	return e
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// longContests are pairs of a contest with n choices, by what is different in them.
var longContests = []struct {
	name string
	make func(n int) (primary, second *model.Election)
}{
	{"same", func(n int) (_, _ *model.Election) { return longContest(n, distinctName), longContest(n, distinctName) }},
	{"all others", func(n int) (_, _ *model.Election) {
		return longContest(n, distinctName), longContest(n, func(i int) string { return distinctName(i + n) })
	}},
	{"every second missing", func(n int) (_, _ *model.Election) {
		e := longContest(n, distinctName)
		c := &e.Contests[0]
		for i := range c.Choices[:n/2] {
			c.Choices[i] = c.Choices[2*i]
		}
		c.Choices = c.Choices[:n/2]
		return e, longContest(n, distinctName)
	}},
	{"every second extra", func(n int) (_, _ *model.Election) {
		e := longContest(n, distinctName)
		c := &e.Contests[0]
		for i := range c.Choices[:n/2] {
			c.Choices[i] = c.Choices[2*i]
		}
		c.Choices = c.Choices[:n/2]
		return longContest(n, distinctName), e
	}},
	{"one name", func(n int) (_, _ *model.Election) {
		one := func(int) string { return "Ada Abbeton" }
		return longContest(n, one), longContest(n, one)
	}},
	{"one name, one missing", func(n int) (_, _ *model.Election) {
		one := func(int) string { return "Ada Abbeton" }
		return longContest(n-1, one), longContest(n, one)
	}},
	{"each twice in the export", func(n int) (_, _ *model.Election) {
		return longContest(n, func(i int) string { return distinctName(i % (n / 2)) }), longContest(n/2, distinctName)
	}},
	{"each twice on both sides", func(n int) (_, _ *model.Election) {
		twice := func(i int) string { return distinctName(i % (n / 2)) }
		return longContest(n, twice), longContest(n, twice)
	}},
	{"other order", func(n int) (_, _ *model.Election) {
		back := upTo(n)
		slices.Reverse(back)
		return stateOrder(longContest(n, distinctName), back), stateOrder(longContest(n, distinctName), upTo(n))
	}},
	{"half left off the ballot", func(n int) (_, _ *model.Election) {
		half := upTo(n / 2)
		slices.Reverse(half)
		return stateOrder(longContest(n, distinctName), half), stateOrder(longContest(n, distinctName), upTo(n))
	}},
	{"listed twice on the ballot", func(n int) (_, _ *model.Election) {
		return stateOrder(longContest(n, distinctName), append(upTo(n/2), upTo(n/2)...)),
			stateOrder(longContest(n, distinctName), upTo(n))
	}},
	{"all misspelt", func(n int) (_, _ *model.Election) {
		return longContest(n, distinctName), longContest(n, func(i int) string { return distinctName(i) + "e" })
	}},
	{"all write-ins", func(n int) (_, _ *model.Election) {
		p, s := longContest(n, distinctName), longContest(n, distinctName)
		for _, e := range []*model.Election{p, s} {
			for i := range e.Contests[0].Choices {
				e.Contests[0].Choices[i] = model.Choice{WriteIn: true}
			}
		}
		return p, s
	}},
	{"other lines", func(n int) (_, _ *model.Election) {
		p := longContest(n, distinctName)
		for i := range p.Contests[0].Choices {
			p.Contests[0].Choices[i].Lines.Value = []int{1 - i%2}
		}
		return p, longContest(n, distinctName)
	}},
	{"everybody one person", func(n int) (_, _ *model.Election) {
		p, s := longContest(n, distinctName), longContest(n, distinctName)
		for i := range p.Contests[0].Choices {
			p.Contests[0].Choices[i].Person = "x"
			s.Contests[0].Choices[i].Person = fmt.Sprint(i)
		}
		return p, s
	}},
}

// distinctName makes names that look unlike each other.
func distinctName(n int) string {
	const letters = "bcdfghjklmnprstvwz"
	h := uint64(n)*0x9e3779b97f4a7c15 + 7
	word := make([]byte, 0, 16)
	for k := range 12 {
		word = append(word, letters[h%18])
		h /= 18
		if k == 5 {
			word = append(word, ' ')
		}
	}
	return fmt.Sprintf("%s %d", word, n)
}

// A contest of ten times as many choices costs at most twenty times as much, in the time
// of the processor. What takes less than 100 ms counts as that, and the best of three
// tries counts.
func TestLongContestsCostByTheirLength(t *testing.T) {
	if testing.Short() || os.Getenv("CI") != "true" {
		t.Skip("long; run with CI=true")
	}
	for _, kind := range longContests {
		took := func(n int) time.Duration {
			p, s := kind.make(n)
			start := spent()
			Compare(p, s, Options{})
			return max(spent()-start, 100*time.Millisecond)
		}
		best := math.Inf(1)
		for try := 0; try < 3 && best > 20; try++ {
			small := took(5_000)
			best = min(best, float64(took(50_000))/float64(small))
		}
		assert.LessOrEqual(t, best, 20.0, kind.name)
	}
}
