//go:build unix

package checks

import (
	"fmt"
	"math"
	"testing"
	"time"

	"counterproof/model"
)

// BenchmarkExponents prints, for each dimension of an election, the exponent of the cost of
// comparing: the logarithm to base 2 of how much longer twice as many take. 1 is linear.
func BenchmarkExponents(b *testing.B) {
	units := func(n int) *model.Election {
		e := largeCounty(200, false)
		e.Sites = []model.Site{{Name: model.Plain("Fire House 1")}}
		for i := range n {
			e.Units = append(e.Units, model.Unit{Name: fmt.Sprintf("U-%05d", i), Site: model.Say(0),
				Use: model.Say(model.UseElectionDay), Precincts: model.Say([]int{i % 200})})
		}
		return e
	}
	contests := func(n int) *model.Election {
		e := largeCounty(100, false)
		e.Contests, e.Precincts, e.Styles = nil, e.Precincts[:1], e.Styles[:1]
		st := &e.Styles[0]
		st.Content = nil
		for i := range n {
			e.Contests = append(e.Contests, model.Contest{Title: model.Say(model.Plain(distinctName(i))),
				Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1), Choices: []model.Choice{
					{Name: model.Say(model.Plain(distinctName(2*i + 1)))}, {Name: model.Say(model.Plain(distinctName(2*i + 2)))}}})
			st.Content = append(st.Content, model.Placement{Contest: i})
		}
		return e
	}
	// positions is one contest of n positions, which person says whose they are.
	positions := func(n int, person func(i int) string) *model.Election {
		e := longContest(n, distinctName)
		for i := range e.Contests[0].Choices {
			e.Contests[0].Choices[i].Person = person(i)
		}
		return e
	}
	one := func(int) string { return "one" }
	// parties are n parties, each with a line for a choice of one contest, all of one name or of n.
	parties := func(n int, name func(int) string) *model.Election {
		e := longContest(n, name)
		for i := range n {
			e.Parties = append(e.Parties, model.Party{Name: model.Say(model.Plain("Party of " + distinctName(i))),
				Abbreviation: model.Say(model.Plain(fmt.Sprintf("P%05d", i)))})
			e.Contests[0].Choices[i].Lines = model.Say([]int{i})
		}
		return e
	}
	for _, dimension := range []struct {
		name string
		n    int
		make func(n int) (primary, second *model.Election)
	}{
		{"precincts", 2_000, func(n int) (_, _ *model.Election) { return largeCounty(n, true), largeCounty(n, false) }},
		{"contests", 5_000, func(n int) (_, _ *model.Election) { return contests(n), contests(n) }},
		{"choices", 20_000, func(n int) (_, _ *model.Election) {
			return longContest(n, distinctName), longContest(n, distinctName)
		}},
		{"positions of one person", 20_000, func(n int) (_, _ *model.Election) {
			return positions(n, one), positions(n, one)
		}},
		{"positions of one person and of many", 20_000, func(n int) (_, _ *model.Election) {
			return positions(n, one), positions(n, distinctName)
		}},
		{"positions of many persons and of pairs", 20_000, func(n int) (_, _ *model.Election) {
			return positions(n, distinctName), positions(n, func(i int) string { return distinctName(i / 2) })
		}},
		{"parties", 1_000, func(n int) (_, _ *model.Election) { return parties(n, distinctName), parties(n, distinctName) }},
		{"lines of one name", 500, func(n int) (_, _ *model.Election) { return parties(n, one), parties(n, one) }},
		{"units", 10_000, func(n int) (_, _ *model.Election) { return units(n), units(n) }},
		{"findings", 5_000, func(n int) (_, _ *model.Election) {
			p := contests(n)
			for i := range p.Contests {
				p.Contests[i].VoteFor = model.Say(2)
			}
			return p, contests(n)
		}},
	} {
		b.Run(dimension.name, func(b *testing.B) {
			took := func(n int) time.Duration {
				p, s := dimension.make(n)
				best := time.Duration(math.MaxInt64)
				for range 3 {
					start := time.Now()
					Compare(p, s, Options{})
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
