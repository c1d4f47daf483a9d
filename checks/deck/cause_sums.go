package deck

import (
	"fmt"
	"slices"
)

// notAddingUp names the contests of gaps in which the machine's own counts contradict each other: a slip of
// whoever typed them is then the likeliest. Each vote of a ballot is a vote, an over-vote or an under-vote
// (counts of NIST's test elections).
func (w *comparison) notAddingUp(gaps []*gap, causes []Explanation) (out []Explanation) {
	if slices.ContainsFunc(causes, func(c Explanation) bool { return c.Kind == WrongVoteFor }) {
		return nil // they add up for the number that the machine took
	}
	for _, g := range gaps {
		have := &g.figures
		if g.rest {
			have = &g.whole.figures
		}
		want, ballots, keyed := w.sum(g.contest, &g.want)
		if !keyed || want != ballots {
			continue // in the other parties' contests of an open primary, say
		}
		got, ballots, stated := w.sum(g.contest, have)
		if !stated || got == ballots ||
			slices.ContainsFunc(out, func(c Explanation) bool { return c.Contest == g.contest }) {
			continue
		}
		out = append(out, Explanation{NotAddingUp, fmt.Sprintf("The results do not add up in “%s”: votes, overvotes and "+
			"undervotes are %d, and the ballots have %d votes. Look at the printout again.", w.title(g.contest), got, ballots),
			g.contest, -1, -1, nil})
	}
	return out
}

// sum adds votes, overvotes and undervotes of a contest, and says how many votes its ballots have. ok is
// false where not all of them are stated.
func (w *comparison) sum(contest int, f *figures) (sum, ballots int, ok bool) {
	places := []int{ballotsAt, overvotesAt, undervotesAt}
	for j := range w.e.Contests[contest].Choices {
		if folded := w.writeIns[contest]; len(folded) < 2 || !slices.Contains(folded[1:], j) {
			places = append(places, votesAt+j)
		}
	}
	for _, at := range places {
		if at >= len(f.n) || !f.known[at] {
			return 0, 0, false
		}
		sum += f.n[at]
	}
	return sum - f.n[ballotsAt], f.n[ballotsAt] * w.count.contests[contest].whole(), true
}
