package deck

import (
	"slices"

	"counterproof/model/results"
)

// figures are the counts of one contest in one area: what key.csv counts besides votes, then the votes by
// choice, then those by choice at each further rank. What is not known was not stated.
type figures struct {
	n     []int
	known []bool
}

// The places in figures.
const (
	ballotsAt = iota
	overvotesAt
	undervotesAt
	overvotedAt
	undervotedAt
	votesAt
)

var otherNames = [votesAt]string{results.Ballots, results.Overvotes, results.Undervotes, results.OvervotedBallots,
	results.UndervotedBallots}

func newFigures(size int) figures { return figures{make([]int, size), make([]bool, size)} }

func (c *figures) grow(size int) {
	for len(c.n) < size {
		c.n, c.known = append(c.n, 0), append(c.known, false)
	}
}

func (c *figures) set(at, n int) {
	c.grow(at + 1)
	c.n[at], c.known[at] = n, true
}

// add adds counts. A sum is known where every part is.
func (c *figures) add(o figures, times int) {
	c.grow(len(o.n))
	for i := range c.n {
		if i < len(o.n) {
			c.n[i] += times * o.n[i]
			c.known[i] = c.known[i] && o.known[i]
		} else {
			c.known[i] = false
		}
	}
}

func (c figures) clone() figures { return figures{slices.Clone(c.n), slices.Clone(c.known)} }

// figuresOf are those of a tally.
func figuresOf(t *Tally) figures {
	size := votesAt + len(t.Votes)*(1+len(t.Ranks))
	c := newFigures(size)
	at := votesAt
	for i, n := range []int{t.Ballots, t.Overvotes, t.Undervotes, t.OvervotedBallots, t.UndervotedBallots} {
		c.set(i, n)
	}
	for _, votes := range append([][]int{t.Votes}, t.Ranks...) {
		for _, n := range votes {
			c.set(at, n)
			at++
		}
	}
	return c
}
