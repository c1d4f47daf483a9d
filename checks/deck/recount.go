package deck

import "slices"

// recounter prepares counting ballots again.
func (w *comparison) recounter() {
	w.count = newCounting(w.e, w.opts.Rules)
	if w.opts.Deck == nil {
		return
	}
	w.ballotsOf = map[int][]*Ballot{}
	for i := range w.opts.Deck.Ballots {
		b := &w.opts.Deck.Ballots[i]
		w.ballotsOf[b.Precinct] = append(w.ballotsOf[b.Precinct], b)
	}
}

// eachBallot gives the ballots of the deck in a region to f.
func (w *comparison) eachBallot(r *region, f func(b *Ballot)) {
	visit := func(list []*Ballot) {
		for _, b := range list {
			if in(r.styles, b.Style) {
				f(b)
			}
		}
	}
	if r.precincts != nil {
		for _, p := range r.precincts {
			visit(w.ballotsOf[p])
		}
		return
	}
	for i := range w.opts.Deck.Ballots {
		if b := &w.opts.Deck.Ballots[i]; in(r.styles, b.Style) {
			f(b)
		}
	}
}

// recount counts the ballots of a gap's region with other marks, for its contest; nil where the budget
// is spent. marks may change what it is given.
func (w *comparison) recount(n *counting, g *gap, marks func(b *Ballot, marks []Mark) []Mark) []figures {
	if w.opts.Deck == nil || w.budget < 0 {
		return nil
	}
	n.blocks, n.counts = map[block][]Tally{}, 0
	var err error
	w.eachBallot(&g.region, func(b *Ballot) {
		w.budget -= len(b.Marks) + 10
		if w.budget < 0 || err != nil || !w.holds(b.Style, g.contest) {
			return
		}
		other := *b
		other.Marks = marks(b, slices.Clone(b.Marks))
		var tallies []Tally
		if tallies, err = n.tallies(block{b.Precinct, b.Style}); err == nil {
			n.ballot(&other, tallies)
		}
	})
	if err != nil || w.budget < 0 {
		return nil
	}
	sum, lines := figures{}, 0
	for at, tallies := range n.blocks {
		for i := range tallies {
			if tallies[i].Contest != g.contest {
				continue
			}
			times := w.times(g, at)
			for range times {
				f := w.folded(g.contest, figuresOf(&tallies[i]))
				if lines == 0 {
					sum = f
				} else {
					sum.add(f, 1)
				}
				lines++
			}
		}
	}
	if lines == 0 {
		return nil
	}
	return []figures{sum}
}

// times is how often the key counts the ballots of a block in a gap's region: once, or once for each
// unit that is fed them.
func (w *comparison) times(g *gap, at block) (n int) {
	r := region{unit: g.unit, precincts: []int{at.precinct}, styles: []int{at.style}}
	w.key.each(g.contest, &r, func(*line) { n++ })
	return n
}

func (w *comparison) holds(style, contest int) bool {
	_, ok := w.count.face(style).at[contest]
	return ok
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
