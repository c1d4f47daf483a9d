package pairing

import (
	"slices"

	"counterproof/model"
)

// Exchanges are contests of which one side exchanged something: the titles, the choices, the texts.
type Exchanges struct {
	// With gives, by place in Contests.Pairs, the other pair of the exchange.
	With map[int]int
	// Placed marks pairs whose places on the ballots agree by the titles, not by the choices: the
	// choices were exchanged, and each title stands where it was keyed.
	Placed map[int]bool
}

// wordings are what both sides call a contest of a pair, with what has to be equal for two pairs that
// exchanged it.
type wordings struct {
	primary, second, parties string
	kind                     model.Kind
}

// crossed finds pairs of contests of which each has, in the export, the wording that the other has in
// the second entry. Where several pairs have the same two wordings, these tell nothing.
func crossed(pairs [][2]int, pf, sf []contestFacts, words func(*contestFacts) string) (out [][2]int) {
	of := func(m [2]int) (w wordings, ok bool) {
		a, b := &pf[m[0]], &sf[m[1]]
		w = wordings{words(a), words(b), b.parties, b.kind}
		return w, w.primary != "" && w.second != "" && w.primary != w.second && a.parties == w.parties && a.kind == w.kind
	}
	at := map[wordings][]int{}
	for k, m := range pairs {
		if w, ok := of(m); ok {
			at[w] = append(at[w], k)
		}
	}
	for k, m := range pairs {
		w, ok := of(m)
		if !ok || len(at[w]) != 1 {
			continue
		}
		w.primary, w.second = w.second, w.primary
		if others := at[w]; len(others) == 1 && others[0] > k {
			out = append(out, [2]int{k, others[0]})
		}
	}
	return out
}

// pairs lists the pairs so far, in the order of the export.
func (cp *Contests) pairs() (out [][2]int) {
	for i, j := range cp.ToSecond {
		if j >= 0 {
			out = append(out, [2]int{i, j})
		}
	}
	return out
}

// releaseMeasures undoes pairs of measures with equal titles whose texts both stand elsewhere, exactly
// where they were keyed: then the titles are wrong, and the texts say which measure is which.
func (pg *Pairing) releaseMeasures(cp *Contests, pf, sf []contestFacts, fixed []couple) {
	// Measures by text, without a pair of equal text.
	unmatched := func(to []int, own, others []contestFacts) map[string][]int {
		out := map[string][]int{}
		for i, j := range to {
			if own[i].generic && own[i].text != "" && (j < 0 || others[j].text != own[i].text) {
				out[own[i].text] = append(out[own[i].text], i)
			}
		}
		return out
	}
	primary, second := unmatched(cp.ToSecond, pf, sf), unmatched(cp.ToPrimary, sf, pf)
	for _, m := range cp.pairs() {
		i, j := m[0], m[1]
		if !pf[i].generic || pf[i].text == sf[j].text || slices.Contains(fixed, couple{i, j}) ||
			Apart(pg.on[0][i], pg.on[1][j]) == 0 {
			continue
		}
		there, back := second[pf[i].text], primary[sf[j].text]
		if len(there) == 1 && len(back) == 1 && Apart(pg.on[0][i], pg.on[1][there[0]]) == 0 &&
			Apart(pg.on[0][back[0]], pg.on[1][j]) == 0 {
			cp.ToSecond[i], cp.ToPrimary[j] = -1, -1
		}
	}
}

// repairMeasures pairs measures by their texts that were paired by equal titles, if each has the
// other's text and the texts stand where they were keyed: then the titles were exchanged.
func (pg *Pairing) repairMeasures(cp *Contests, pf, sf []contestFacts, fixed []couple) {
	pairs := slices.DeleteFunc(cp.pairs(), func(m [2]int) bool {
		return pf[m[0]].title != sf[m[1]].title || slices.Contains(fixed, couple{m[0], m[1]})
	})
	for _, x := range crossed(pairs, pf, sf, func(f *contestFacts) string { return f.text }) {
		a, b := pairs[x[0]], pairs[x[1]]
		if pg.placedCrosswise(a, b) {
			cp.pair(a[0], b[1])
			cp.pair(b[0], a[1])
		}
	}
}

// findExchanges finds the exchanges among the pairs. Where the places agree by the titles, the
// contests' keys follow the titles, so that the contents of ballots are compared by them.
func (pg *Pairing) findExchanges(cp *Contests, pf, sf []contestFacts) {
	cp.Exchanges = Exchanges{With: map[int]int{}, Placed: map[int]bool{}}
	pairs := cp.pairs() // the main pairs are the first of Pairs, in the same order
	for _, x := range crossed(pairs, pf, sf, func(f *contestFacts) string { return f.title }) {
		k, o := x[0], x[1]
		cp.Exchanges.With[k], cp.Exchanges.With[o] = o, k
		if a, b := pairs[k], pairs[o]; cp.single(a) && cp.single(b) && pg.placedCrosswise(a, b) {
			cp.Exchanges.Placed[k], cp.Exchanges.Placed[o] = true, true
			cp.PrimaryKey[a[0]], cp.PrimaryKey[b[0]] = cp.PrimaryKey[b[0]], cp.PrimaryKey[a[0]]
		}
	}
	for _, x := range crossed(pairs, pf, sf, func(f *contestFacts) string { return f.text }) {
		k, o := x[0], x[1]
		_, one := cp.Exchanges.With[k]
		if _, other := cp.Exchanges.With[o]; !one && !other {
			cp.Exchanges.With[k], cp.Exchanges.With[o] = o, k
		}
	}
}

// single reports whether a pair of contests has no other versions.
func (cp *Contests) single(m [2]int) bool {
	return !slices.ContainsFunc(cp.Pairs, func(o ContestPair) bool {
		return o.Variant && (o.Primary == m[0] || o.Second == m[1])
	})
}

// placedCrosswise reports whether the export has each of two contests where the second entry has the
// other: on its ballots or, if these tell nothing, before or after it on the first ballot that has
// both on both sides.
func (pg *Pairing) placedCrosswise(a, b [2]int) bool {
	p, s := pg.on[0], pg.on[1]
	crosswise := Apart(p[a[0]], s[b[1]]) + Apart(p[b[0]], s[a[1]])
	straight := Apart(p[a[0]], s[a[1]]) + Apart(p[b[0]], s[b[1]])
	if crosswise != straight {
		return crosswise < straight
	}
	all := slices.Clone(p[a[0]])
	for _, on := range []Set{p[b[0]], s[a[1]], s[b[1]]} {
		all.Keep(on)
	}
	if all.Count() == 0 {
		return false
	}
	area := pg.Precincts.Areas[all.List()[0]]
	first := func(v *Side, styles []int, x, y int) int {
		for _, st := range styles {
			for _, pl := range v.Styles[st].Content {
				if pl.Contest == x || pl.Contest == y {
					return pl.Contest
				}
			}
		}
		return -1
	}
	return first(pg.Primary, pg.Primary.StylesOf[area.Primary], a[0], b[0]) == a[0] !=
		(first(pg.Second, pg.Second.StylesOf[area.Second], a[1], b[1]) == a[1])
}
