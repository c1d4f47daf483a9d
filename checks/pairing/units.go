package pairing

import (
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Sites and Units pair the polling sites and the voting units of the two sides; -1 where a thing
// has no counterpart.
type (
	Sites struct{ ToSecond, ToPrimary []int }
	Units struct {
		ToSecond, ToPrimary []int
		// Mistyped marks units of the second entry whose counterpart has another serial number, by a
		// slip.
		Mistyped map[int]bool
	}
)

// unitsOf pairs mapped units first, then by name and use, then by name. The name is an identifier
// stamped on the machine, so units with different names are not paired unless only capitals or
// spaces differ. If the export has only identifiers for a unit, it may be keyed by any of them.
func unitsOf(p, s *Side, fixed []couple) Units {
	up := Units{ToSecond: Filled(len(p.Units)), ToPrimary: Filled(len(s.Units))}
	for _, c := range fixed {
		up.ToSecond[c.primary], up.ToPrimary[c.second] = c.second, c.primary
	}
	plainName := func(name string) string { return wording.Normal(name) }
	folded := func(name string) string {
		return strings.ToLower(strings.Join(strings.Fields(wording.Normal(name)), " "))
	}
	use := func(u model.Unit) string { return string(u.Use.Value) }
	for _, form := range []func(v *Side, i int) string{
		func(v *Side, i int) string { return plainName(v.UnitName(i)) + "\x00" + use(v.Units[i]) },
		func(v *Side, i int) string { return plainName(v.UnitName(i)) },
		func(v *Side, i int) string { return folded(v.UnitName(i)) },
	} {
		left := map[string][]int{}
		for j := range s.Units {
			if up.ToPrimary[j] < 0 {
				k := form(s, j)
				left[k] = append(left[k], j)
			}
		}
		for i := range p.Units {
			if up.ToSecond[i] >= 0 {
				continue
			}
			if list := left[form(p, i)]; len(list) > 0 {
				up.ToSecond[i], up.ToPrimary[list[0]] = list[0], i
				left[form(p, i)] = list[1:]
			}
		}
	}
	byName := map[string]int{}
	for j := range s.Units {
		if up.ToPrimary[j] < 0 {
			byName[folded(s.UnitName(j))] = j
		}
	}
	for i := range p.Units {
		o := p.Origins.Unit(i)
		if up.ToSecond[i] >= 0 || o.ID == "" || p.Units[i].Name != o.ID && !slices.Contains(o.Codes, p.Units[i].Name) {
			continue
		}
		for _, id := range append([]string{o.ID}, o.Codes...) {
			if j, ok := byName[folded(id)]; ok && up.ToPrimary[j] < 0 {
				up.ToSecond[i], up.ToPrimary[j] = j, i
				break
			}
		}
	}
	return up
}

// pairSites pairs sites by name; sites with different names, by the precincts and units that they
// have.
func (pg *Pairing) pairSites() Sites {
	p, s := pg.Primary, pg.Second
	sp := Sites{ToSecond: Filled(len(p.Sites)), ToPrimary: Filled(len(s.Sites))}
	byName := map[string]int{}
	for j := range s.Sites {
		if _, ok := byName[s.SiteName[j]]; !ok {
			byName[s.SiteName[j]] = j
		}
	}
	for i := range p.Sites {
		if j, ok := byName[p.SiteName[i]]; ok && sp.ToPrimary[j] < 0 {
			sp.ToSecond[i], sp.ToPrimary[j] = j, i
		}
	}
	// Count what the remaining sites have in common: precincts and units.
	shared := map[[2]int]int{}
	held := [2]map[int]int{{}, {}}
	for i, j := range pg.Precincts.ToSecond {
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
	for i, j := range pg.Units.ToSecond {
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
	rows, cols := pg.siteOrder(p, sp.ToSecond), pg.siteOrder(s, sp.ToPrimary)
	for r, c := range assignment.Best(len(rows), len(cols), func(r, c int) float64 {
		i, j := rows[r], cols[c]
		n := shared[[2]int{i, j}]
		// Sites with different names are one site only if most of their contents agree.
		if n == 0 || 2*n < max(held[0][i], held[1][j]) {
			return 0
		}
		return float64(n)/float64(max(held[0][i], held[1][j])) + wording.Similarity(p.SiteName[i], s.SiteName[j])
	}) {
		if c >= 0 {
			sp.ToSecond[rows[r]], sp.ToPrimary[cols[c]] = cols[c], rows[r]
		}
	}
	return sp
}

func (pg *Pairing) siteOrder(v *Side, to []int) []int {
	var list []int
	for i := range to {
		if to[i] < 0 {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return natural.Compare(v.SiteName[a], v.SiteName[b]) })
	return list
}

// Leaves returns the precincts that a card header covers, by their number in the export if it has
// them. Combined and split precincts are replaced by their members. Precincts that only the second
// entry has get higher numbers.
func (pg *Pairing) Leaves(v *Side, header []int) []int {
	var out []int
	for _, i := range header {
		if v == pg.Second {
			j := pg.Precincts.ToPrimary[i]
			if j < 0 {
				out = append(out, len(pg.Primary.Precincts)+i)
				continue
			}
			i = j
		}
		before := len(out)
		if len(pg.Primary.Precincts[i].Members) > 0 {
			walk(i, func(n int) []int { return pg.Primary.Precincts[n].Members }, func(n int) bool {
				if len(pg.Primary.Precincts[n].Members) == 0 {
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

// LeafName returns the name of a precinct that Leaves numbered.
func (pg *Pairing) LeafName(n int) string {
	if n >= len(pg.Primary.Precincts) {
		return pg.Second.PrecinctName[n-len(pg.Primary.Precincts)]
	}
	return pg.PrimaryNames([]int{n})[0]
}
