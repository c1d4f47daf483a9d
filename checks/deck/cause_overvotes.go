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

// alone are the counts of one ballot in a contest; nil if it does not hold it.
func (w *comparison) alone(b *Ballot, contest int) *figures {
	for i, c := range w.one(b) {
		if w.count.face(b.Style).contests[i] == contest {
			return &c
		}
	}
	return nil
}

// one are the counts of one ballot, by its contests.
func (w *comparison) one(b *Ballot) []figures {
	n := w.count
	n.blocks, n.counts = map[block][]Tally{}, 0
	w.budget -= len(b.Marks) + 10
	tallies, err := n.tallies(block{b.Precinct, b.Style})
	if err != nil {
		return nil
	}
	n.ballot(b, tallies)
	out := make([]figures, len(tallies))
	for i := range tallies {
		out[i] = w.folded(tallies[i].Contest, figuresOf(&tallies[i]))
	}
	return out
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
					kept := counted.clone() // and is reported as an over-vote still
					for _, at := range []int{overvotesAt, overvotedAt} {
						kept.n[at] = g.want.n[at]
					}
					all = append(all, kept)
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

// otherVoteFor are other numbers of votes allowed.
func (w *comparison) otherVoteFor(g *gap) (out []guess) {
	if w.opts.Deck == nil {
		return nil
	}
	choices := len(w.e.Contests[g.contest].Choices)
	own := w.count.contests[g.contest].voteFor
	for n := 1; n <= min(choices+1, own+5); n++ {
		if n == own {
			continue
		}
		other := w.countingFor(g.contest, n)
		text := fmt.Sprintf("The contest is counted as vote for %d, not for %d.", n, own)
		c := Explanation{WrongVoteFor, text, g.contest, -1, -1, nil}
		out = append(out, guess{Explanation: c, variants: func(g *gap) []figures {
			return w.recount(other, g, func(_ *Ballot, marks []Mark) []Mark { return marks })
		}})
	}
	return out
}

// countingFor counts as if a contest allowed another number of votes.
func (w *comparison) countingFor(contest, n int) *counting {
	key := [2]int{contest, n}
	if w.voteFor[key] == nil {
		if w.voteFor == nil || len(w.voteFor) > 100 {
			w.voteFor = map[[2]int]*counting{}
		}
		w.voteFor[key] = newCounting(withVoteFor(w.e, contest, n), w.opts.Rules)
	}
	return w.voteFor[key]
}

// unread are ballots of the deck whose contest is not read, or read twice, alone.
func (w *comparison) unread(g *gap) (out []guess) {
	if w.opts.Deck == nil {
		return nil
	}
	seen := 0
	w.eachBallot(&g.region, func(b *Ballot) {
		if seen++; seen > 2000 || !w.holds(b.Style, g.contest) || w.budget < 0 {
			return
		}
		one := w.alone(b, g.contest)
		for _, times := range []int{-1, 1} {
			v := g.want.clone()
			v.add(*one, times)
			if !g.is(v) {
				continue
			}
			c := Explanation{NotRead, fmt.Sprintf("Ballot %d was not read in this contest.", b.Number), g.contest, -1, -1,
				[]int{b.Number}}
			if times > 0 {
				c.Kind, c.Text = ReadTwice, fmt.Sprintf("Ballot %d was read twice in this contest.", b.Number)
			}
			own := g
			out = append(out, guess{Explanation: c, variants: func(g *gap) []figures {
				if g == own {
					return []figures{v}
				}
				if g.has(b.Precinct, b.Style) {
					v := g.want.clone()
					v.add(*one, times)
					return []figures{v}
				}
				return []figures{g.want}
			}})
		}
	})
	return out
}
