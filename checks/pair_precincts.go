package checks

import (
	"slices"
	"strings"

	"counterproof/checks/wording"
)

// precinctPairs says which precinct of one side is which of the other.
type precinctPairs struct {
	toSecond, toPrimary []int // -1 where unpaired
	// rivals lists, for a precinct of the second entry that fits several of the
	// primary (or shares its one fit with others), those of the primary.
	rivals map[int][]int
	// areas are the pairs of precincts whose ballots are compared. A combined
	// precinct stands for its members: several areas may name the same precinct.
	areas []area
	// keyed tells which precincts of the primary are named by an area, or are a
	// member of, or hold, one that is.
	keyed []bool
}

type area struct{ primary, second int }

// pairPrecincts pairs what is mapped, then by name, number and identifier. A name that fits two
// precincts, or none, stays unpaired (design: "what matches two things, or
// nothing, stays unpaired and says so").
func pairPrecincts(p, s *view, fixed []couple) precinctPairs {
	pp := precinctPairs{
		toSecond:  filled(len(p.Precincts)),
		toPrimary: filled(len(s.Precincts)),
		rivals:    map[int][]int{},
	}
	for _, c := range fixed {
		pp.toSecond[c.primary], pp.toPrimary[c.second] = c.second, c.primary
	}
	exact := func(name string) string { return name }
	pp.match(p, s, exact)
	// Names are not compared, so a difference of capitals or spaces must not keep
	// a whole ballot from being compared.
	pp.match(p, s, func(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) })
	pp.findAreas(p, s)
	return pp
}

func (pp *precinctPairs) match(p, s *view, form func(string) string) {
	pByName, pByKey := precinctIndex(p, form)
	_, sByKey := precinctIndex(s, form)
	claims := map[int][]int{} // primary precinct → second precincts that fit only it
	for si := range s.Precincts {
		if pp.toPrimary[si] >= 0 || len(pp.rivals[si]) > 0 {
			continue
		}
		var fits []int
		first := true
		meet := func(list []int) {
			list = slices.DeleteFunc(slices.Clone(list), func(i int) bool { return pp.toSecond[i] >= 0 })
			if len(list) == 0 {
				return
			}
			if first {
				fits, first = list, false
				return
			}
			both := slices.DeleteFunc(slices.Clone(fits), func(i int) bool { return !slices.Contains(list, i) })
			if len(both) > 0 {
				fits = both
			} else {
				fits = append(fits, list...)
			}
		}
		for _, name := range precinctNames(s, si) {
			meet(pByKey[form(name)])
		}
		if first { // an identifier of the second entry may be a name of the primary
			o := s.Origins.Precinct(si)
			for _, id := range append([]string{o.ID}, o.Codes...) {
				if id != "" {
					meet(pByName[form(wording.Normal(id))])
				}
			}
		}
		slices.Sort(fits)
		fits = slices.Compact(fits)
		if len(fits) > 1 {
			if withBallot := slices.DeleteFunc(slices.Clone(fits), func(i int) bool { return len(p.stylesOf[i]) == 0 }); len(withBallot) == 1 {
				fits = withBallot
			}
		}
		switch len(fits) {
		case 0:
		case 1:
			claims[fits[0]] = append(claims[fits[0]], si)
		default:
			pp.rivals[si] = fits
		}
	}
	for pi, list := range claims {
		if len(list) > 1 {
			// Several keyed precincts fit this one; the one that fits it by its
			// proper name, if it is the only one, is meant.
			name := form(wording.Normal(p.Precincts[pi].Name.In(p.language)))
			proper := slices.DeleteFunc(slices.Clone(list), func(si int) bool {
				return name == "" || form(wording.Normal(s.Precincts[si].Name.In(s.language))) != name || len(sByKey[name]) != 1
			})
			if len(proper) != 1 {
				for _, si := range list {
					pp.rivals[si] = []int{pi}
				}
				continue
			}
			list = proper
		}
		pp.toSecond[pi], pp.toPrimary[list[0]] = list[0], pi
	}
}

// precinctNames are what a side calls a precinct: its name in every language and
// its number.
func precinctNames(v *view, i int) []string {
	var names []string
	for _, ph := range v.Precincts[i].Name {
		if ph.Words != "" {
			names = append(names, wording.Normal(ph.Words))
		}
	}
	if n := v.Precincts[i].Number; n != "" {
		names = append(names, wording.Normal(n))
	}
	return names
}

// precinctIndex finds precincts by what they are called, and by that and their
// identifiers.
func precinctIndex(v *view, form func(string) string) (byName, byKey map[string][]int) {
	byName, byKey = map[string][]int{}, map[string][]int{}
	add := func(m map[string][]int, key string, i int) {
		if list := m[key]; len(list) == 0 || list[len(list)-1] != i {
			m[key] = append(list, i)
		}
	}
	for i := range v.Precincts {
		for _, name := range precinctNames(v, i) {
			add(byName, form(name), i)
			add(byKey, form(name), i)
		}
		o := v.Origins.Precinct(i)
		for _, id := range append([]string{o.ID}, o.Codes...) {
			if id != "" {
				add(byKey, form(wording.Normal(id)), i)
			}
		}
	}
	return byName, byKey
}

// carriers returns the precincts whose styles are the ballots of precinct i: its
// own; else those of the combined precinct that joins it; else those of its
// members.
func carriers(v *view, i int) []int {
	if len(v.stylesOf[i]) > 0 {
		return []int{i}
	}
	var out []int
	nearest := func(c int) bool {
		if len(v.stylesOf[c]) > 0 {
			out = append(out, c)
			return false
		}
		return true
	}
	walk(i, func(n int) []int { return v.within[n] }, nearest)
	if len(out) == 0 {
		walk(i, func(n int) []int { return v.Precincts[n].Members }, nearest)
	}
	slices.Sort(out)
	return out
}

// walk visits what can be reached from i, nearest first, each once; it goes no
// further where visit says false.
func walk(i int, next func(int) []int, visit func(int) bool) {
	seen := map[int]bool{i: true}
	queue := []int{i}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, m := range next(n) {
			if !seen[m] {
				seen[m] = true
				if visit(m) {
					queue = append(queue, m)
				}
			}
		}
	}
}

func (pp *precinctPairs) findAreas(p, s *view) {
	seen := map[area]bool{}
	pp.keyed = make([]bool, len(p.Precincts))
	for pi, si := range pp.toSecond {
		if si < 0 {
			continue
		}
		for _, pc := range carriers(p, pi) {
			for _, sc := range carriers(s, si) {
				// What is paired by itself is not compared on behalf of another.
				if pc != pi && pp.toSecond[pc] >= 0 && pp.toSecond[pc] != sc || sc != si && pp.toPrimary[sc] >= 0 && pp.toPrimary[sc] != pc {
					continue
				}
				if a := (area{pc, sc}); !seen[a] {
					seen[a] = true
					pp.areas = append(pp.areas, a)
				}
			}
		}
	}
	for _, a := range pp.areas {
		pp.keyed[a.primary] = true
	}
	for i := range p.Precincts {
		if pp.keyed[i] || len(p.stylesOf[i]) > 0 {
			continue
		}
		for _, c := range carriers(p, i) {
			if pp.keyed[c] {
				pp.keyed[i] = true
			}
		}
	}
	for i, si := range pp.toSecond {
		if si >= 0 && len(carriers(s, si)) > 0 {
			pp.keyed[i] = true
		}
	}
}

func filled(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = -1
	}
	return out
}
