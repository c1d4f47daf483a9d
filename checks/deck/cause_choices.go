package deck

import (
	"fmt"
	"slices"

	"counterproof/model"
)

// guesses are the causes within one contest that may explain a gap.
func (w *comparison) guesses(g *gap) []guess {
	var out []guess
	if w.budget -= marksOfGap; w.budget < 0 {
		return nil
	}
	out = append(out, w.exchanges(g)...)
	out = append(out, w.shifts(g)...)
	out = append(out, w.rotations(g)...)
	out = append(out, w.elsewhere(g)...)
	out = append(out, w.overvotes(g)...)
	out = append(out, w.otherVoteFor(g)...)
	return append(out, w.unread(g)...)
}

// marksOfGap is how many marks the guesses for one gap count as, beside those that are counted again.
const marksOfGap = 10_000

// differing are the choices whose first counts differ.
func (w *comparison) differing(g *gap) (out []int) {
	for _, at := range g.at {
		if j := at - votesAt; j >= 0 && j < len(w.e.Contests[g.contest].Choices) {
			out = append(out, j)
		}
	}
	return out
}

func (w *comparison) name(contest, choice int) string {
	return "“" + choiceNames(w.e, contest)[choice] + "”"
}

// credited are the counts of a gap's region if each vote for choice i on a ballot of a style is
// credited to to(style, i); -1 is nobody. What the key's lines have besides votes stays.
func (w *comparison) credited(g *gap, to func(style, i int) int) figures {
	n := len(w.e.Contests[g.contest].Choices)
	sum, lines := figures{}, 0
	if w.budget < 0 {
		return sum
	}
	w.key.each(g.contest, &g.region, func(l *line) {
		w.budget -= len(l.n) / 4
		moved := l.clone()
		for at := votesAt; at < len(moved.n); at++ {
			moved.n[at] = 0
		}
		for at := votesAt; at < len(l.n); at++ {
			if j := to(l.style, (at-votesAt)%n); j >= 0 {
				moved.n[at-(at-votesAt)%n+j] += l.n[at]
			} else if at < votesAt+n {
				moved.n[undervotesAt] += l.n[at]
				moved.known[undervotedAt] = false
			}
		}
		if lines++; lines == 1 {
			sum = moved
		} else {
			sum.add(moved, 1)
		}
	})
	return sum
}

// remarked is a guess of marks that are taken for others: as the counts say, and as counting the deck
// with other marks does, which differs where a person is marked twice or a contest is over-voted.
func (w *comparison) remarked(c Explanation, to func(style, i int) int) guess {
	return guess{Explanation: c, to: to, variants: func(g *gap) []figures {
		out := []figures{w.credited(g, to)}
		if g.is(out[0]) {
			return out
		}
		return append(out, w.recount(w.count, g, taken(g.contest, to))...)
	}}
}

// taken takes the marks of a ballot in a contest for others: one for choice i for to(style, i); -1 is nobody.
func taken(contest int, to func(style, i int) int) func(b *Ballot, marks []Mark) []Mark {
	return func(b *Ballot, marks []Mark) []Mark {
		out := marks[:0]
		for _, m := range marks {
			if m.Contest == contest {
				if m.Choice = to(b.Style, m.Choice); m.Choice < 0 {
					continue
				}
			}
			out = append(out, m)
		}
		return out
	}
}

// maxPairs is how many pairs of choices are tried: all in a contest of 300 choices.
const maxPairs = 100_000

func (w *comparison) exchanges(g *gap) (out []guess) {
	n := len(w.e.Contests[g.contest].Choices)
	differing, several := w.differing(g), w.severalLines(g.contest)
	// Where neither lines of one person nor straight-party marks come in, votes are exchanged with the marks.
	plain := !several && !w.straightParty()
	tried := 0
	for _, i := range differing {
		for j := range n {
			if j == i || j < i && slices.Contains(differing, j) || tried > maxPairs {
				continue
			}
			tried++
			if plain && !(g.could(votesAt+i, votesAt+j) && g.could(votesAt+j, votesAt+i)) {
				continue
			}
			// If one of two exchanged counts differs, so does the other.
			if !several && g.known[votesAt+j] && !slices.Contains(differing, j) {
				continue
			}
			c := Explanation{Exchanged, fmt.Sprintf("%s and %s are exchanged.", w.name(g.contest, i), w.name(g.contest, j)),
				g.contest, i, j, nil}
			h := w.remarked(c, func(_, k int) int {
				switch k {
				case i:
					return j
				case j:
					return i
				}
				return k
			})
			out = append(out, h)
		}
	}
	return out
}

// could reports whether the machine's count at one place may be what the key has at another.
func (g *gap) could(at, other int) bool { return !g.compared(at) || g.n[at] == g.want.n[other] }

func (w *comparison) straightParty() bool {
	return slices.ContainsFunc(w.e.Contests, func(c model.Contest) bool { return c.Kind.Value == model.KindParty })
}

// severalLines reports whether a person has several lines in a contest: then marks and votes differ.
func (w *comparison) severalLines(contest int) bool {
	return w.count.contests[contest].severalLines()
}

// elsewhere are the votes of one choice that are credited to another, or to nobody.
func (w *comparison) elsewhere(g *gap) (out []guess) {
	n := len(w.e.Contests[g.contest].Choices)
	person := persons(&w.e.Contests[g.contest])
	differing := w.differing(g)
	for _, i := range differing {
		if g.n[votesAt+i] >= g.want.n[votesAt+i] {
			continue // it lost nothing
		}
		out = append(out, w.remarked(Explanation{MarkNotRead, fmt.Sprintf("Marks for %s are not read.", w.name(g.contest, i)),
			g.contest, i, -1, nil}, func(_, k int) int {
			if k == i {
				return -1
			}
			return k
		}))
		for j := range n {
			if j == i || g.known[votesAt+j] && g.want.n[votesAt+j] >= g.n[votesAt+j] || len(out) > maxPairs {
				continue
			}
			c := Explanation{VotesElsewhere, fmt.Sprintf("Votes for %s are credited to %s.", w.name(g.contest, i),
				w.name(g.contest, j)), g.contest, i, j, nil}
			if person[i] == person[j] {
				c.Kind = LineElsewhere
				c.Text = fmt.Sprintf("Votes on the line %s are credited to the line %s of the same person.",
					w.name(g.contest, i), w.name(g.contest, j))
			}
			out = append(out, w.remarked(c, func(_, k int) int {
				if k == i {
					return j
				}
				return k
			}))
		}
	}
	// The lines of one person come first: that is the likelier slip.
	slices.SortStableFunc(out, func(a, b guess) int {
		return boolOrder(a.Kind != LineElsewhere, b.Kind != LineElsewhere)
	})
	return out
}

func boolOrder(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}
