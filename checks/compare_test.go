package checks

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

// withContest returns an election that shares everything with e but contest i,
// as a correction makes it.
func withContest(e *model.Election, i int, alter func(*model.Contest)) *model.Election {
	out := *e
	out.Contests = append([]model.Contest(nil), e.Contests...)
	c := &out.Contests[i]
	c.Choices = append([]model.Choice(nil), c.Choices...)
	alter(c)
	return &out
}

// withStyle is withContest for a ballot.
func withStyle(e *model.Election, i int, alter func(*model.Style)) *model.Election {
	out := *e
	out.Styles = append([]model.Style(nil), e.Styles...)
	st := &out.Styles[i]
	st.Content = append([]model.Placement(nil), st.Content...)
	alter(st)
	return &out
}

var ignoringEdits = cmpopts.IgnoreFields(Finding{}, "Edits")

func TestComparingAgainGivesWhatComparingAfreshGives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		again := NewComparer(Options{})
		sides := [2]*model.Election{smallCounty(), smallCounty()}
		for range rapid.IntRange(1, 12).Draw(t, "changes") {
			side := rapid.IntRange(0, 1).Draw(t, "side")
			e := sides[side]
			i := rapid.IntRange(0, len(e.Contests)-1).Draw(t, "contest")
			switch rapid.IntRange(0, 9).Draw(t, "change") {
			case 0:
				e = withContest(e, i, func(c *model.Contest) { c.VoteFor = model.Say(c.VoteFor.Value%3 + 1) })
			case 1:
				e = withContest(e, i, func(c *model.Contest) { c.Title = model.Say(model.Plain(plain(c.Title) + "x")) })
			case 2:
				e = withContest(e, i, func(c *model.Contest) { c.Choices[0].Lines = model.Say([]int{2}) })
			case 3:
				e = withContest(e, i, func(c *model.Contest) { c.Choices[0].Name = model.Say(model.Plain("Corin Slate")) })
			case 4:
				e = withContest(e, i, func(c *model.Contest) { c.VoteFor = model.Stated[int]{} })
			case 5:
				e = withStyle(e, 0, func(s *model.Style) { s.Content = s.Content[1:] })
			case 6:
				e = withStyle(e, 1, func(s *model.Style) { s.Content[0], s.Content[1] = s.Content[1], s.Content[0] })
			case 7:
				e = withContest(e, i, func(c *model.Contest) { c.Rotates = model.Say(!c.Rotates.Value) })
			case 9: // another contest's title
				from := rapid.IntRange(0, len(e.Contests)-1).Draw(t, "like")
				e = withContest(e, i, func(c *model.Contest) { c.Title = e.Contests[from].Title })
			case 8:
				out := *e
				out.Units = append([]model.Unit(nil), e.Units...)
				out.Units[0].Precincts = model.Say([]int{0})
				e = &out
			}
			if len(e.Styles[0].Content) == 0 {
				continue
			}
			sides[side] = e
			got, want := again.Compare(sides[0], sides[1]), Compare(sides[0], sides[1], Options{})
			if d := cmp.Diff(want, got, ignoringEdits); d != "" {
				t.Fatalf("comparing again differs from comparing afresh (-afresh +again):\n%s", d)
			}
		}
	})
}

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
		e.Parties = append(e.Parties, model.Party{Name: model.Say(model.Plain(fmt.Sprintf("Party %d", p))), Abbreviation: model.Say(model.Plain(string(rune('A' + p))))})
	}
	add := func(title string) {
		c := model.Contest{Title: model.Say(model.Plain(title)), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1), PrimaryParties: model.Say([]int{})}
		for k := range 4 {
			c.Choices = append(c.Choices, model.Choice{Name: model.Say(model.Plain(fmt.Sprintf("Candidate %d for %s", k, title))), Lines: model.Say([]int{k}), Person: fmt.Sprint(k)})
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
	primary, second := largeCounty(5000, true), largeCounty(5000, false)
	again := NewComparer(Options{})
	again.Compare(primary, second)
	var once, corrected, double time.Duration
	for b.Loop() {
		once += full(5000)
		double += full(10000)
		votes := 2
		second = withContest(second, 3, func(c *model.Contest) {
			votes = 3 - c.VoteFor.Value
			c.VoteFor = model.Say(votes)
		})
		start := time.Now()
		r := again.Compare(primary, second)
		corrected += time.Since(start)
		require.Len(b, r.Findings, votes-1)
	}
	b.ReportMetric(float64(once.Milliseconds())/float64(b.N), "ms/full")
	b.ReportMetric(float64(corrected.Microseconds())/1000/float64(b.N), "ms/correction")
	b.ReportMetric(float64(corrected)/float64(once), "correction/full")
	b.ReportMetric(float64(double)/float64(once), "10000/5000")
}
