package checks

import (
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model"
)

// sitePairs and unitPairs say which polling site and which voting unit of one
// side is which of the other; -1 where there is no counterpart.
type (
	sitePairs struct{ toSecond, toPrimary []int }
	unitPairs struct{ toSecond, toPrimary []int }
)

// pairUnits pairs units that are mapped, then by name and use, then by name. A name is an identifier
// stamped on the machine: units of unlike names are not paired, except where
// only capitals or spaces differ. One that the primary knows by identifiers alone may
// be keyed by any of them.
func pairUnits(p, s *view, fixed []couple) unitPairs {
	up := unitPairs{toSecond: filled(len(p.Units)), toPrimary: filled(len(s.Units))}
	for _, c := range fixed {
		up.toSecond[c.primary], up.toPrimary[c.second] = c.second, c.primary
	}
	plainName := func(name string) string { return wording.Normal(name) }
	folded := func(name string) string {
		return strings.ToLower(strings.Join(strings.Fields(wording.Normal(name)), " "))
	}
	use := func(u model.Unit) string { return string(u.Use.Value) }
	for _, form := range []func(v *view, i int) string{
		func(v *view, i int) string { return plainName(v.unitName(i)) + "\x00" + use(v.Units[i]) },
		func(v *view, i int) string { return plainName(v.unitName(i)) },
		func(v *view, i int) string { return folded(v.unitName(i)) },
	} {
		left := map[string][]int{}
		for j := range s.Units {
			if up.toPrimary[j] < 0 {
				k := form(s, j)
				left[k] = append(left[k], j)
			}
		}
		for i := range p.Units {
			if up.toSecond[i] >= 0 {
				continue
			}
			if list := left[form(p, i)]; len(list) > 0 {
				up.toSecond[i], up.toPrimary[list[0]] = list[0], i
				left[form(p, i)] = list[1:]
			}
		}
	}
	byName := map[string]int{}
	for j := range s.Units {
		if up.toPrimary[j] < 0 {
			byName[folded(s.unitName(j))] = j
		}
	}
	for i := range p.Units {
		o := p.Origins.Unit(i)
		if up.toSecond[i] >= 0 || o.ID == "" || p.Units[i].Name != o.ID && !slices.Contains(o.Codes, p.Units[i].Name) {
			continue
		}
		for _, id := range append([]string{o.ID}, o.Codes...) {
			if j, ok := byName[folded(id)]; ok && up.toPrimary[j] < 0 {
				up.toSecond[i], up.toPrimary[j] = j, i
				break
			}
		}
	}
	return up
}

// pairSites pairs sites by name, then, where the names differ, by the precincts
// and units they hold.
func (ps *pass) pairSites() sitePairs {
	p, s := ps.p, ps.s
	sp := sitePairs{toSecond: filled(len(p.Sites)), toPrimary: filled(len(s.Sites))}
	byName := map[string]int{}
	for j := range s.Sites {
		if _, ok := byName[s.siteName[j]]; !ok {
			byName[s.siteName[j]] = j
		}
	}
	for i := range p.Sites {
		if j, ok := byName[p.siteName[i]]; ok && sp.toPrimary[j] < 0 {
			sp.toSecond[i], sp.toPrimary[j] = j, i
		}
	}
	// Count what the rest share: precincts, and units.
	shared := map[[2]int]int{}
	held := [2]map[int]int{{}, {}}
	for i, j := range ps.precincts.toSecond {
		if j < 0 {
			continue
		}
		for _, a := range p.Precincts[i].Sites.Value {
			held[0][a.Site]++
			for _, b := range s.Precincts[j].Sites.Value {
				shared[[2]int{a.Site, b.Site}]++
			}
		}
		for _, b := range s.Precincts[j].Sites.Value {
			held[1][b.Site]++
		}
	}
	for i, j := range ps.units.toSecond {
		if j < 0 {
			continue
		}
		a, b := p.Units[i].Site, s.Units[j].Site
		if a.Known && b.Known {
			held[0][a.Value]++
			held[1][b.Value]++
			shared[[2]int{a.Value, b.Value}]++
		}
	}
	rows, cols := ps.siteOrder(p, sp.toSecond), ps.siteOrder(s, sp.toPrimary)
	for r, c := range assignment.Best(len(rows), len(cols), func(r, c int) float64 {
		i, j := rows[r], cols[c]
		n := shared[[2]int{i, j}]
		// Sites of unlike names are one site only if most of what they hold agrees.
		if n == 0 || 2*n < max(held[0][i], held[1][j]) {
			return 0
		}
		return float64(n)/float64(max(held[0][i], held[1][j])) + wording.Similarity(p.siteName[i], s.siteName[j])
	}) {
		if c >= 0 {
			sp.toSecond[rows[r]], sp.toPrimary[cols[c]] = cols[c], rows[r]
		}
	}
	return sp
}

func (ps *pass) siteOrder(v *view, to []int) []int {
	var list []int
	for i := range to {
		if to[i] < 0 {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return natural.Compare(v.siteName[a], v.siteName[b]) })
	return list
}

// leaves returns the precincts that a card header covers, by number of the
// primary where it has them: combined precincts and split precincts stand for
// their members. Precincts that only the second entry has follow after.
func (ps *pass) leaves(v *view, header []int) []int {
	var out []int
	for _, i := range header {
		if v == ps.s {
			j := ps.precincts.toPrimary[i]
			if j < 0 {
				out = append(out, len(ps.p.Precincts)+i)
				continue
			}
			i = j
		}
		before := len(out)
		if len(ps.p.Precincts[i].Members) > 0 {
			walk(i, func(n int) []int { return ps.p.Precincts[n].Members }, func(n int) bool {
				if len(ps.p.Precincts[n].Members) == 0 {
					out = append(out, n)
				}
				return true
			})
		}
		if len(out) == before {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// leafName names what leaves returns.
func (ps *pass) leafName(n int) string {
	if n >= len(ps.p.Precincts) {
		return ps.s.precinctName[n-len(ps.p.Precincts)]
	}
	return ps.primaryNames([]int{n})[0]
}
