package deck

import (
	"slices"

	"counterproof/model"
)

// partyCauses looks for positions of a straight-party contest that are exchanged or shifted: that
// changes the counts of other contests too.
func (w *comparison) partyCauses() {
	if w.opts.Deck == nil {
		return
	}
	for _, g := range w.gaps {
		if w.e.Contests[g.contest].Kind.Value != model.KindParty || g.explained || w.partyTried[g.contest] {
			continue
		}
		if w.partyTried == nil {
			w.partyTried = map[int]bool{}
		}
		w.partyTried[g.contest] = true
		for _, h := range slices.Concat(w.exchanges(g), w.shifts(g), w.elsewhere(g)) {
			w.throughout(g, h)
		}
	}
}

// throughout tries a cause in a straight-party contest on the other contests of its ballots.
func (w *comparison) throughout(party *gap, h guess) {
	if !h.fits(party) || h.to == nil {
		return
	}
	other := func(g *gap) []figures {
		return w.recount(w.count, g, taken(party.contest, h.to))
	}
	c := candidate{Explanation: h.Explanation, everywhere: true}
	for _, g := range w.gaps {
		if v := other(g); len(v) > 0 && g.is(v[0]) {
			c.gaps = append(c.gaps, g)
		}
	}
	for i, g := range w.held {
		if i >= maxHeld {
			break
		}
		if v := other(g); len(v) > 0 && !g.is(v[0]) {
			return
		}
	}
	if c.contests() > 1 {
		w.candidates = append(w.candidates, c)
	}
}
