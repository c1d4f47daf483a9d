package deck

import (
	"fmt"
	"slices"
)

// precinctCauses looks for precincts whose counts stand in the place of others: those of another
// precinct, of both together, none, or each twice.
func (w *comparison) precinctCauses(k *component) {
	if len(k.precincts) != 1 || len(k.gaps) == 0 {
		return
	}
	p := k.precincts[0]
	areas := slices.Concat(k.gaps, k.held)
	add := func(kind ExplanationKind, text string, gaps []*gap) {
		w.candidates = append(w.candidates, candidate{Explanation{kind, text, -1, -1, -1, nil}, gaps, true})
	}
	if w.all(areas, func(g *gap) figures { return scaled(g.want, 0) }) {
		add(NotRead, fmt.Sprintf("No ballot of precinct %s was read.", w.precinct(p)), k.gaps)
	}
	if w.all(areas, func(g *gap) figures { return scaled(g.want, 2) }) {
		add(ReadTwice, fmt.Sprintf("All ballots of precinct %s were read twice.", w.precinct(p)), k.gaps)
	}
	for q := range w.e.Precincts {
		if q == p || !w.shares(areas, q) {
			continue
		}
		// A contest that the other precinct does not have must stand there without votes.
		if !w.all(areas, func(g *gap) figures { return w.wantIn(g, q) }) {
			continue
		}
		there := w.gapsIn(q, k.unit)
		if len(there) > 0 && w.all(there, func(g *gap) figures { return w.wantIn(g, p) }) {
			if p < q {
				add(OtherPrecinct, fmt.Sprintf("The counts of precincts %s and %s are exchanged.", w.precinct(p), w.precinct(q)),
					slices.Concat(k.gaps, there))
			}
			continue
		}
		add(OtherPrecinct, fmt.Sprintf("The counts of precinct %s are those of precinct %s.", w.precinct(p), w.precinct(q)),
			k.gaps)
	}
	w.joined(p, k, areas)
}

// joined looks for a precinct whose ballots are counted in this one: there it has none, or nothing is said.
func (w *comparison) joined(q int, k *component, areas []*gap) {
	for p := range w.e.Precincts {
		if p == q || !w.shares(areas, p) || !w.all(areas, func(g *gap) figures {
			v := g.want.clone()
			v.add(w.wantIn(g, p), 1)
			return v
		}) {
			continue
		}
		there := w.gapsIn(p, k.unit)
		if w.all(there, func(g *gap) figures { return scaled(g.want, 0) }) {
			text := fmt.Sprintf("The ballots of precinct %s are counted in precinct %s.", w.precinct(p), w.precinct(q))
			w.candidates = append(w.candidates, candidate{Explanation{OtherPrecinct, text, -1, -1, -1, nil},
				slices.Concat(k.gaps, there), true})
		}
	}
}

func (w *comparison) precinct(p int) string { return "“" + precinctLabel(w.e, p) + "”" }

func (w *comparison) all(areas []*gap, of func(g *gap) figures) bool {
	for _, g := range areas {
		if !g.is(of(g)) {
			return false
		}
	}
	return true
}

func scaled(c figures, times int) figures {
	out := c.clone()
	for i := range out.n {
		out.n[i] *= times
	}
	return out
}

// shares reports whether a precinct has a contest of the areas in the key.
func (w *comparison) shares(areas []*gap, precinct int) bool {
	return slices.ContainsFunc(areas, func(g *gap) bool { return len(w.key.at[g.contest][precinct]) > 0 })
}

// wantIn is what the key has for a gap's contest in another precinct; nothing where it is not there.
func (w *comparison) wantIn(g *gap, precinct int) figures {
	r := region{unit: g.unit, precincts: []int{precinct}}
	if want, lines := w.key.expected(g.contest, &r); lines > 0 {
		return want
	}
	return scaled(g.want, 0)
}

// gapsIn are the gaps of one precinct.
func (w *comparison) gapsIn(precinct, unit int) (out []*gap) {
	for _, g := range w.gaps {
		if g.unit == unit && len(g.precincts) == 1 && g.precincts[0] == precinct {
			out = append(out, g)
		}
	}
	return out
}

// contestCauses looks for two contests whose counts stand in each other's place, position by position.
func (w *comparison) contestCauses() {
	at := map[string]map[int]*gap{}
	var order []string
	for _, g := range w.gaps {
		key := g.key()
		if at[key] == nil {
			at[key] = map[int]*gap{}
			order = append(order, key)
		}
		at[key][g.contest] = g
	}
	pairs := map[[2]int][]*gap{}
	var named [][2]int
	tried := 0
	for _, key := range order {
		for c := range w.e.Contests {
			g := at[key][c]
			for d := c + 1; g != nil && d < len(w.e.Contests); d++ {
				h := at[key][d]
				if h == nil || len(w.e.Contests[c].Choices) != len(w.e.Contests[d].Choices) {
					continue
				}
				if tried++; tried < maxPairs && g.is(asIn(g, h.want)) && h.is(asIn(h, g.want)) {
					pair := [2]int{c, d}
					if pairs[pair] == nil {
						named = append(named, pair)
					}
					pairs[pair] = append(pairs[pair], g, h)
				}
			}
		}
	}
	for _, pair := range named {
		text := fmt.Sprintf("The counts of “%s” and “%s” are exchanged.", w.title(pair[0]), w.title(pair[1]))
		w.candidates = append(w.candidates, candidate{Explanation: Explanation{OtherContest, text, pair[0], -1, -1, nil},
			gaps: pairs[pair], everywhere: true})
	}
}

// asIn are counts of another contest in the places of a gap's.
func asIn(g *gap, other figures) figures {
	out := other.clone()
	out.grow(len(g.n))
	return out
}
