package deck

import (
	"fmt"
	"iter"
	"slices"
)

// component is the counts that differ (gaps) and are linked by precincts that they share, and the counts of
// those precincts that agree (held).
type component struct {
	unit       int
	precincts  []int // nil: all
	gaps, held []*gap
}

// components groups the gaps that share a precinct, each unit's by themselves.
func (w *comparison) components() []*component {
	var out []*component
	of := map[[2]int]*component{}      // by unit and precinct
	everywhere := map[int]*component{} // by unit: with a gap of all precincts
	for _, g := range w.gaps {
		if g.precincts == nil && everywhere[g.unit] == nil {
			everywhere[g.unit] = &component{unit: g.unit}
			out = append(out, everywhere[g.unit])
		}
	}
	for _, g := range w.gaps {
		into := everywhere[g.unit]
		for _, p := range g.precincts {
			if c := of[[2]int{g.unit, p}]; c != nil && into == nil {
				into = c
			}
		}
		if g.explained {
			continue
		}
		if into == nil {
			into = &component{unit: g.unit, precincts: []int{}}
			out = append(out, into)
		}
		into.gaps = append(into.gaps, g)
		into.join(g, of)
	}
	for _, h := range w.held {
		seen := map[*component]bool{everywhere[h.unit]: true}
		if c := everywhere[h.unit]; c != nil {
			c.held = append(c.held, h)
		}
		for p := range w.areaOf(h) {
			if c := of[[2]int{h.unit, p}]; c != nil && !seen[c] {
				seen[c] = true
				c.held = append(c.held, h)
			}
		}
	}
	return out
}

// areaOf gives the precincts of a gap.
func (w *comparison) areaOf(g *gap) iter.Seq[int] {
	return func(yield func(int) bool) {
		if g.precincts != nil {
			slices.Values(g.precincts)(yield)
			return
		}
		for p := range w.e.Precincts {
			if !yield(p) {
				return
			}
		}
	}
}

func (c *component) join(g *gap, of map[[2]int]*component) {
	if g.precincts == nil || c.precincts == nil {
		c.precincts = nil
		return
	}
	for _, p := range g.precincts {
		if !slices.Contains(c.precincts, p) {
			c.precincts = append(c.precincts, p)
		}
		of[[2]int{g.unit, p}] = c
	}
	slices.Sort(c.precincts)
}

// maxPiles is how many ballots of one component are tried in pairs.
const maxPiles = 1 << 17

// weight is a pseudo-random number for a place. Two different sets of counts have equal sums of counts, each
// times its weight, in about one case in 2^64: so a sum stands for a whole set.
func weight(area, at int) uint64 { return mix(mix(uint64(area)) + uint64(at)) }

// pile is ballots of the deck that were not read once each.
type pile struct {
	ballots []*Ballot
	times   []int // by ballot: +1 read twice, -1 not read
}

// ballotCauses looks for one ballot, or two, whose reading twice or not at all gives all counts of a
// component.
func (w *comparison) ballotCauses(k *component) {
	if w.opts.Deck == nil || len(k.gaps) == 0 {
		return
	}
	areas := slices.Concat(k.gaps, k.held)
	at := map[int][]int{} // by contest: places in areas
	var missing uint64
	for i, g := range areas {
		at[g.contest] = append(at[g.contest], i)
		for c := range g.n {
			if g.compared(c) {
				missing += weight(i, c) * uint64(g.n[c]-g.want.n[c])
			}
		}
	}
	var ballots []*Ballot
	var digests []uint64
	w.eachBallot(&region{precincts: k.precincts}, func(b *Ballot) {
		if len(ballots) >= maxPiles || w.budget < 0 {
			return
		}
		sum := uint64(0)
		for i, one := range w.one(b) {
			for _, a := range at[w.count.face(b.Style).contests[i]] {
				if g := areas[a]; g.has(b.Precinct, b.Style) {
					for c := range one.n {
						if g.compared(c) {
							sum += weight(a, c) * uint64(one.n[c])
						}
					}
				}
			}
		}
		ballots, digests = append(ballots, b), append(digests, sum)
	})
	for _, p := range piles(ballots, digests, missing) {
		if w.gives(p, areas) {
			w.candidates = append(w.candidates, candidate{Explanation: p.cause(), gaps: k.gaps, everywhere: true})
		}
	}
}

// compared reports whether both state a count.
func (g *gap) compared(at int) bool {
	return at < len(g.n) && g.known[at] && at < len(g.want.n) && g.want.known[at]
}

// piles finds the ballots whose digests give what is missing (modulo 2^64): one, else two.
func piles(ballots []*Ballot, digests []uint64, missing uint64) (out []pile) {
	by := map[uint64][]int{}
	for i, d := range digests {
		if d != 0 {
			by[d] = append(by[d], i)
		}
		switch missing {
		case d:
			out = append(out, pile{[]*Ballot{ballots[i]}, []int{1}})
		case -d:
			out = append(out, pile{[]*Ballot{ballots[i]}, []int{-1}})
		}
	}
	if len(out) > 0 {
		return out
	}
	for i, d := range digests {
		if d == 0 || len(out) > maxCauses {
			continue
		}
		for _, t := range [][2]int{{-1, -1}, {1, 1}, {1, -1}} {
			// t0·d + t1·other = missing
			other := missing - uint64(t[0])*d
			if t[1] < 0 {
				other = -other
			}
			for _, j := range by[other] {
				if j != i && (t[0] != t[1] || j > i) && len(out) <= maxCauses {
					out = append(out, pile{[]*Ballot{ballots[i], ballots[j]}, []int{t[0], t[1]}})
				}
			}
		}
	}
	return out
}

// gives reports whether ballots give exactly the counts of areas.
func (w *comparison) gives(p pile, areas []*gap) bool {
	for _, g := range areas {
		v := g.want.clone()
		for i, b := range p.ballots {
			if one := w.alone(b, g.contest); one != nil && g.has(b.Precinct, b.Style) {
				v.add(*one, p.times[i])
			}
		}
		if !g.is(v) {
			return false
		}
	}
	return true
}

func (p pile) cause() Explanation {
	c := Explanation{Kind: NotRead, Contest: -1, A: -1, B: -1}
	for i, b := range p.ballots {
		if i > 0 {
			c.Text += " "
		}
		how := "was not read"
		if p.times[i] > 0 {
			how = "was read twice"
		}
		c.Text += fmt.Sprintf("Ballot %d %s.", b.Number, how)
		c.Ballots = append(c.Ballots, b.Number)
	}
	if p.times[0] > 0 {
		c.Kind = ReadTwice
	}
	return c
}

// unread proposes each single ballot that explains a gap by itself: its contest was not read, or read twice.
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
