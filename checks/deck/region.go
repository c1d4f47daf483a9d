package deck

import (
	"fmt"
	"slices"

	"counterproof/model"
)

// region is an area for which a machine gave counts: a set of precincts, of styles, and a unit.
type region struct {
	// unit is -1 for all units together.
	unit int
	// precincts and styles are ascending; nil is all.
	precincts, styles []int
}

func (r *region) key() string { return fmt.Sprint(r.unit, r.precincts, r.precincts == nil, r.styles) }

func (r *region) same(o *region) bool {
	return r.unit == o.unit && slices.Equal(r.precincts, o.precincts) && (r.precincts == nil) == (o.precincts == nil) &&
		slices.Equal(r.styles, o.styles)
}

func (r *region) has(precinct, style int) bool {
	return in(r.precincts, precinct) && in(r.styles, style)
}

func in(set []int, i int) bool {
	if set == nil {
		return true
	}
	_, ok := slices.BinarySearch(set, i)
	return ok
}

// counted is what a machine gave for a contest in a region.
type counted struct {
	region
	contest int
	figures
	// every are the precincts that have the contest in the key, where precincts is nil.
	every []int
	// rest says that it is what a total leaves when the counts of its parts are taken away; whole is
	// that total.
	rest  bool
	whole *counted
	// ofUnits says that it adds up what units counted for no precinct in particular.
	ofUnits bool
}

// each gives the lines of the key for a contest in a region to f. Where the key has counts of all units
// together, a count of all units takes those alone: lines of single units would count twice.
func (k *expectation) each(contest int, r *region, f func(l *line)) {
	whole := r.unit < 0 && k.whole[contest]
	visit := func(l *line) {
		if r.has(l.precinct, l.style) && (r.unit < 0 || l.unit == r.unit) && (!whole || l.unit < 0) {
			f(l)
		}
	}
	if len(r.precincts) == 1 {
		for _, i := range k.at[contest][r.precincts[0]] {
			visit(&k.lines[contest][i])
		}
		return
	}
	for i := range k.lines[contest] {
		visit(&k.lines[contest][i])
	}
}

// expected is what the key has for a contest in a region, and how many of its lines are in it.
func (k *expectation) expected(contest int, r *region) (sum figures, lines int) {
	k.each(contest, r, func(l *line) {
		if lines == 0 {
			sum = l.clone()
		} else {
			sum.add(l.figures, 1)
		}
		lines++
	})
	return sum, lines
}

// expectation is a key by contest.
type expectation struct {
	e     *model.Election
	lines [][]line
	// whole says by contest that the key has counts of all units together; units are those of which
	// it has counts, ascending.
	whole []bool
	units []int
	at    []map[int][]int // by contest and precinct: places in lines
}

func newExpectation(e *model.Election, lines [][]line) *expectation {
	k := &expectation{e: e, lines: lines, whole: make([]bool, len(lines)),
		at: make([]map[int][]int, len(lines))}
	for c := range lines {
		k.at[c] = map[int][]int{}
		for i := range lines[c] {
			p := lines[c][i].precinct
			k.at[c][p] = append(k.at[c][p], i)
			k.whole[c] = k.whole[c] || lines[c][i].unit < 0
			if u := lines[c][i].unit; u >= 0 && !slices.Contains(k.units, u) {
				k.units = append(k.units, u)
			}
		}
	}
	slices.Sort(k.units)
	return k
}

// split takes from each count of several precincts what is counted there in single ones, so that a
// difference in one of them is not found again in the total. What is left belongs to the other
// precincts; where none are, it must be nothing.
func split(all []counted) []counted {
	type place struct {
		contest int
		unit    int
		styles  string
	}
	single := map[place]map[int]*counted{}
	at := func(m *counted) place { return place{m.contest, m.unit, fmt.Sprint(m.styles)} }
	for i := range all {
		if m := &all[i]; len(m.precincts) == 1 {
			if single[at(m)] == nil {
				single[at(m)] = map[int]*counted{}
			}
			single[at(m)][m.precincts[0]] = m
		}
	}
	var out []counted
	for i := range all {
		m := &all[i]
		if len(m.precincts) == 1 || len(single[at(m)]) == 0 {
			out = append(out, *m)
			continue
		}
		out = append(out, m.without(single[at(m)])...)
	}
	return out
}

// without makes, of a total, a count for each set of precincts that is not counted by itself.
func (m *counted) without(single map[int]*counted) []counted {
	within := m.precincts
	if within == nil {
		within = m.every
	}
	rests := map[string]*counted{}
	var order []string
	for at := range m.n {
		if !m.known[at] {
			continue
		}
		left := m.n[at]
		precincts := []int{}
		for _, p := range within {
			if s := single[p]; s != nil && at < len(s.n) && s.known[at] {
				left -= s.n[at]
			} else {
				precincts = append(precincts, p)
			}
		}
		r := region{unit: m.unit, precincts: precincts, styles: m.styles}
		rest := rests[r.key()]
		if rest == nil {
			rest = &counted{region: r, contest: m.contest, figures: newFigures(len(m.n)), rest: true,
				whole: m, ofUnits: m.ofUnits}
			rests[r.key()] = rest
			order = append(order, r.key())
		}
		rest.set(at, left)
	}
	out := make([]counted, len(order))
	for i, key := range order {
		out[i] = *rests[key]
	}
	return out
}
