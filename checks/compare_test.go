package checks

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

var ignoringFacts = cmpopts.IgnoreFields(finding.Finding{}, "Facts")

func TestComparingChangesNeitherSide(t *testing.T) {
	primary, second := smallCounty(), smallCounty()
	second.Contests[0].VoteFor.Value = 2
	Compare(primary, second, Options{})
	want := smallCounty()
	assert.Empty(t, cmp.Diff(want, primary))
	want.Contests[0].VoteFor.Value = 2
	assert.Empty(t, cmp.Diff(want, second))
}

// largeCounty has one style for each of n precincts, with 30 contests on each.
func largeCounty(n int, primary bool) *model.Election {
	e := &model.Election{}
	for p := range 5 {
		e.Parties = append(e.Parties, model.Party{Name: model.Say(model.Plain(fmt.Sprintf("Party %d", p))),
			Abbreviation: model.Say(model.Plain(string(rune('A' + p))))})
	}
	add := func(title string) {
		c := model.Contest{Title: model.Say(model.Plain(title)), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1),
			PrimaryParties: model.Say([]int{})}
		for k := range 4 {
			c.Choices = append(c.Choices,
				model.Choice{Name: model.Say(model.Plain(fmt.Sprintf("Candidate %d for %s", k, title))), Lines: model.Say([]int{k}),
					Person: fmt.Sprint(k)})
		}
		c.Choices = append(c.Choices, model.Choice{WriteIn: true})
		e.Contests = append(e.Contests, c)
	}
	for i := range 20 {
		add(fmt.Sprintf("County office %d", i))
	}
	districts := n / 100
	for d := range 10 {
		for k := range districts {
			add(fmt.Sprintf("Seat %d of district %d", k, d))
		}
	}
	order := model.Say([]int{0, 1, 2, 3, 4})
	for p := range n {
		e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(fmt.Sprintf("P-%05d", p)), Kind: "precinct"})
		st := model.Style{Label: model.Say(fmt.Sprintf("S%d", p)), Precincts: []int{p}}
		for i := range 20 {
			st.Content = append(st.Content, model.Placement{Contest: i})
		}
		for d := range 10 {
			st.Content = append(st.Content, model.Placement{Contest: 20 + d*districts + (p/(d+37))%districts})
		}
		if primary {
			for i := range st.Content {
				st.Content[i].Order = order
			}
		}
		e.Styles = append(e.Styles, st)
	}
	return e
}

// BenchmarkCompare reports how a county of 10,000 precincts compares with one of
// 5,000, and comparing again after one correction with comparing afresh.
func BenchmarkCompare(b *testing.B) {
	full := func(n int) time.Duration {
		primary, second := largeCounty(n, true), largeCounty(n, false)
		start := time.Now()
		r := Compare(primary, second, Options{})
		took := time.Since(start)
		require.Empty(b, r.Findings)
		return took
	}
	var once, double time.Duration
	for b.Loop() {
		once += full(5000)
		double += full(10000)
	}
	b.ReportMetric(float64(once.Milliseconds())/float64(b.N), "ms/full")
	b.ReportMetric(float64(double)/float64(once), "10000/5000")
}
