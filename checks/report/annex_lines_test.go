package report

import (
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// randomAnnex has contests with choices, and ballots that print some of them in any order.
func randomAnnex(t *rapid.T) *Annex {
	a := &Annex{Format: AnnexFormat, Sites: []Site{}, Units: []Unit{}}
	n := rapid.IntRange(1, 8).Draw(t, "contests")
	for range n {
		c := Contest{Parties: []string{}, Choices: []Choice{}}
		for range rapid.IntRange(0, 4).Draw(t, "choices") {
			c.Choices = append(c.Choices, Choice{Lines: []string{}})
		}
		a.Contests = append(a.Contests, c)
	}
	for range rapid.IntRange(0, 6).Draw(t, "styles") {
		s := Style{Parties: []string{}, Precincts: []string{}, Places: []Place{}, Closing: []string{}, Findings: []int{}}
		for _, c := range rapid.SliceOfN(rapid.IntRange(0, n-1), 0, 8).Draw(t, "places") {
			p := Place{Contest: c, Headings: []string{}, Order: []int{}}
			if rapid.Bool().Draw(t, "ordered") {
				p.Order = rapid.Permutation(own(len(a.Contests[c].Choices))).Draw(t, "order")
			}
			if rapid.Bool().Draw(t, "headed") {
				p.Headings = []string{rapid.SampledFrom([]string{"County", "Town", "5"}).Draw(t, "heading")}
			}
			s.Places = append(s.Places, p)
		}
		a.Styles = append(a.Styles, s)
	}
	return a
}

// own are the numbers below n.
func own(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

var contestNumber = regexp.MustCompile(`^(\d+)([a-z]*)$`)

// printed reads a ballot from its line and from what stands with each contest: what a person does.
func printed(t require.TestingT, b *ballots, line words) (places []Place) {
	var headings []string
	add := func(c int, letters string) {
		p := Place{Contest: c, Headings: headings, Order: own(len(b.Contests[c].Choices))}
		if b.shared[c] {
			p.Headings = b.headings[c]
		}
		if len(b.printed[c]) > 0 {
			p.Order = b.printed[c]
		}
		if letters != "" {
			p.Order = nil
			for _, x := range strings.Split(b.orders[c][slices.IndexFunc(b.orders[c],
				func(o string) bool { return letter(slices.Index(b.orders[c], o)) == letters })], ", ") {
				n, err := strconv.Atoi(x)
				require.NoError(t, err)
				p.Order = append(p.Order, n-1)
			}
		}
		places, headings = append(places, p), nil
	}
	for _, run := range line {
		if run.kind == quoted {
			headings = append(headings, strings.TrimSuffix(strings.TrimPrefix(run.text, "“"), "” "))
			continue
		}
		for _, x := range strings.Split(run.text, ", ") {
			if from, to, ok := strings.Cut(x, " to "); ok {
				first, err := strconv.Atoi(from)
				require.NoError(t, err)
				last, err := strconv.Atoi(to)
				require.NoError(t, err)
				for c := first; c <= last; c++ {
					add(c-1, "")
				}
			} else if m := contestNumber.FindStringSubmatch(x); m != nil {
				n, err := strconv.Atoi(m[1])
				require.NoError(t, err)
				add(n-1, m[2])
			}
		}
	}
	return places
}

// The line of a ballot, with what stands at its contests, is the ballot: nothing is lost and nothing
// put in.
func TestTheLineOfABallotIsTheBallot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := randomAnnex(t)
		b := newBallots(a, &composer{Report: &Report{}})
		for i := range a.Styles {
			var want []Place
			for _, p := range a.Styles[i].Places {
				if len(p.Order) == 0 {
					p.Order = own(len(a.Contests[p.Contest].Choices))
				}
				want = append(want, p)
			}
			line := b.content(&a.Styles[i])
			got := printed(t, b, line)
			require.Len(t, got, len(want), line.String())
			for k := range want {
				require.Equal(t, want[k].Contest, got[k].Contest, line.String())
				require.ElementsMatch(t, want[k].Headings, got[k].Headings, line.String())
				require.Equal(t, append([]int{}, want[k].Order...), append([]int{}, got[k].Order...), line.String())
			}
		}
		r := &Report{annex: a, Annex: "x"}
		require.NoError(t, r.AnnexHTML(io.Discard))
		require.NoError(t, r.AnnexPDF(io.Discard))
	})
}
