package deck

import (
	"fmt"
	"slices"
)

// overvoted are the ballots of a gap's region that are over-voted in its contest.
func (w *comparison) overvoted(g *gap) []*Ballot {
	if w.opts.Deck == nil || g.searched {
		return g.over
	}
	g.searched = true
	w.eachBallot(&g.region, func(b *Ballot) {
		if w.holds(b.Style, g.contest) {
			if one := w.alone(b, g.contest); one != nil && one.n[overvotedAt] > 0 {
				g.over = append(g.over, b)
			}
		}
	})
	return g.over
}

// overvotes are over-voted contests whose marks count: on all ballots, or on one; all marks, or the
// first so many as are allowed. The over-vote itself may be counted or not.
func (w *comparison) overvotes(g *gap) (out []guess) {
	ballots := w.overvoted(g)
	if len(ballots) == 0 {
		return nil
	}
	add := func(text string, number []int, pick func(b *Ballot) bool) {
		c := Explanation{OverCounted, text, g.contest, -1, -1, number}
		out = append(out, guess{Explanation: c, variants: func(g *gap) (all []figures) {
			over := slices.DeleteFunc(slices.Clone(w.overvoted(g)), func(b *Ballot) bool { return !pick(b) })
			if len(over) == 0 {
				return []figures{g.want}
			}
			for _, most := range []int{1 << 30, w.count.contests[g.contest].voteFor} {
				for _, backwards := range []bool{false, true} {
					counted := w.withOvervotes(g, over, most, backwards)
					all = append(all, counted)
					reported := counted.clone() // as an over-vote as well
					for _, at := range []int{overvotesAt, overvotedAt} {
						reported.n[at] = g.want.n[at]
					}
					all = append(all, reported)
				}
			}
			return all
		}})
	}
	add("Over-votes are counted as votes.", nil, func(*Ballot) bool { return true })
	for _, b := range ballots[:min(len(ballots), 200)] {
		if len(ballots) > 1 {
			add(fmt.Sprintf("The over-vote on ballot %d is counted as votes.", b.Number), []int{b.Number},
				func(other *Ballot) bool { return other == b })
		}
	}
	return out
}

// withOvervotes adds the marks of over-voted ballots to what the key has: the first so many, in the
// order of the choices or from the last.
func (w *comparison) withOvervotes(g *gap, over []*Ballot, most int, backwards bool) figures {
	out := g.want.clone()
	for _, b := range over {
		var marked []int
		for _, m := range b.Marks {
			if m.Contest == g.contest && !slices.Contains(marked, m.Choice) {
				marked = append(marked, m.Choice)
			}
		}
		folded := w.writeIns[g.contest]
		slices.Sort(marked)
		if backwards {
			slices.Reverse(marked)
		}
		for _, j := range marked[:min(len(marked), most)] {
			if slices.Contains(folded, j) {
				j = folded[0]
			}
			out.n[votesAt+j]++
		}
		out.n[overvotesAt] -= w.count.contests[g.contest].voteFor
		out.n[overvotedAt]--
	}
	return out
}
