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
		return append(out, w.recount(w.count, g, func(b *Ballot, marks []Mark) []Mark {
			kept := marks[:0]
			for _, m := range marks {
				if m.Contest == g.contest {
					if m.Choice = to(b.Style, m.Choice); m.Choice < 0 {
						continue
					}
				}
				kept = append(kept, m)
			}
			return kept
		})...)
	}}
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
	for j, p := range persons(&w.e.Contests[contest]) {
		if p != j {
			return true
		}
	}
	return false
}

// order is the order in which a style prints the choices of a contest.
func (w *comparison) order(style, contest int) []int {
	for _, p := range w.e.Styles[style].Content {
		if p.Contest == contest && p.Order.Known && len(p.Order.Value) == len(w.e.Contests[contest].Choices) {
			return p.Order.Value
		}
	}
	order := make([]int, len(w.e.Contests[contest].Choices))
	for i := range order {
		order[i] = i
	}
	return order
}

// shifts are those by one position, up or down, as each ballot prints the choices or in the order of
// the contest, with the last vote lost or credited at the other end.
func (w *comparison) shifts(g *gap) (out []guess) {
	n := len(w.e.Contests[g.contest].Choices)
	for _, by := range []int{1, -1} {
		for _, wraps := range []bool{false, true} {
			for _, printed := range []bool{false, true} {
				words := map[int]string{1: "the next position", -1: "the position before"}[by]
				text := "Each vote is credited to " + words
				if printed {
					text += " on its ballot"
				}
				if wraps {
					text += ", the last in the row to the first"
				}
				c := Explanation{Shifted, text + ".", g.contest, -1, -1, nil}
				out = append(out, w.remarked(c, func(style, i int) int {
					at, order := i, []int(nil)
					if printed {
						order = w.order(style, g.contest)
						at = slices.Index(order, i)
					}
					at += by
					switch {
					case at >= 0 && at < n:
					case wraps:
						at = (at + n) % n
					default:
						return -1
					}
					if printed {
						return order[at]
					}
					return at
				}))
			}
		}
	}
	if !w.rotates(g.contest) { // both orders are one
		out = []guess{out[0], out[2], out[4], out[6]}
	}
	return out
}

// rotates reports whether ballots print the choices of a contest in several orders.
func (w *comparison) rotates(contest int) bool { return len(w.orders(contest)) > 1 }

// maxOrders is how many orders of one contest are tried.
const maxOrders = 50

// orders are the orders in which ballots print the choices of a contest, that of the contest first;
// each with a style that has it, -1 for the contest's own.
func (w *comparison) orders(contest int) (out []printedOrder) {
	own := make([]int, len(w.e.Contests[contest].Choices))
	for i := range own {
		own[i] = i
	}
	out = []printedOrder{{-1, own}}
	for s := range w.e.Styles {
		if !w.onStyle(s, contest) {
			continue
		}
		o := w.order(s, contest)
		if len(out) < maxOrders && !slices.ContainsFunc(out, func(p printedOrder) bool { return slices.Equal(p.order, o) }) {
			out = append(out, printedOrder{s, o})
		}
	}
	return out
}

type printedOrder struct {
	style int
	order []int
}

func (w *comparison) onStyle(style, contest int) bool {
	return slices.ContainsFunc(w.e.Styles[style].Content, func(p model.Placement) bool { return p.Contest == contest })
}

// rotations are ballots counted in the order of others.
func (w *comparison) rotations(g *gap) (out []guess) {
	orders := w.orders(g.contest)
	if len(orders) < 2 {
		return nil
	}
	for _, o := range orders {
		text := "The ballots are counted as if they printed the choices in the order of the contest: the rotation is not applied."
		if o.style >= 0 {
			text = fmt.Sprintf("The ballots are counted in the order of choices of style %q.", w.e.Styles[o.style].Label.Value)
		}
		out = append(out, w.remarked(Explanation{Rotated, text, g.contest, -1, -1, nil}, func(style, i int) int {
			return o.order[slices.Index(w.order(style, g.contest), i)]
		}))
	}
	return out
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
		c := Explanation{WrongVoteFor, fmt.Sprintf("The contest is counted as vote for %d, not for %d.", n, own), g.contest, -1, -1,
			nil}
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
