package pairing

import (
	"slices"
	"strings"

	"counterproof/checks/wording"
)

// Precincts pairs the precincts of the two sides.
type Precincts struct {
	ToSecond, ToPrimary []int // -1 where unpaired
	// Rivals lists, for a precinct of the second entry that fits several precincts of the export
	// (or shares its only fit with others), those precincts of the export.
	Rivals map[int][]int
	// Rule is the rule by which the labels of the two rosters differ; nil for none.
	Rule *LabelRule
	// Areas are the pairs of precincts whose ballots are compared. The members of a combined
	// precinct are represented by it, so several areas may name the same precinct.
	Areas []Area
	// Keyed marks the precincts of the export that an area names, and those that are a member of
	// such a precinct or have one as a member.
	Keyed []bool
}

// Area is a pair of precincts whose ballots are compared.
type Area struct{ Primary, Second int }

// precinctsOf pairs mapped precincts first, then by name, number and identifier, and the rest by the
// one rule by which the labels of a whole roster may differ. A name that fits two precincts, or
// none, stays unpaired (design: "what matches two things, or nothing, stays unpaired and says so").
func precinctsOf(p, s *Side, fixed []couple) Precincts {
	pp := Precincts{
		ToSecond:  Filled(len(p.Precincts)),
		ToPrimary: Filled(len(s.Precincts)),
		Rivals:    map[int][]int{},
	}
	for _, c := range fixed {
		pp.ToSecond[c.primary], pp.ToPrimary[c.second] = c.second, c.primary
	}
	exact := func(name string) string { return name }
	pp.match(p, s, exact)
	// Names are not compared, so different capitals or spaces must not prevent the comparison of a
	// whole ballot.
	if slices.ContainsFunc(pp.ToPrimary, func(i int) bool { return i < 0 }) {
		pp.match(p, s, func(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) })
		pp.pairByRule(p, s)
	}
	pp.findAreas(p, s)
	return pp
}

func (pp *Precincts) match(p, s *Side, form func(string) string) {
	pByName, pByKey := precinctIndex(p, form)
	var sByKey map[string][]int                     // set when several fit one
	claims := make(map[int][]int, len(s.Precincts)) // export's precinct → second entry's precincts that fit only it
	for si := range s.Precincts {
		if pp.ToPrimary[si] >= 0 || len(pp.Rivals[si]) > 0 {
			continue
		}
		var fits []int
		first := true
		meet := func(list []int) {
			list = slices.DeleteFunc(slices.Clone(list), func(i int) bool { return pp.ToSecond[i] >= 0 })
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
		for _, name := range PrecinctNames(s, si) {
			meet(pByKey[form(name)])
		}
		if first { // an identifier of the second entry may be a name in the export
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
			if withBallot := slices.DeleteFunc(slices.Clone(fits),
				func(i int) bool { return len(p.StylesOf[i]) == 0 }); len(withBallot) == 1 {
				fits = withBallot
			}
		}
		switch len(fits) {
		case 0:
		case 1:
			claims[fits[0]] = append(claims[fits[0]], si)
		default:
			pp.Rivals[si] = fits
		}
	}
	for pi, list := range claims {
		if len(list) > 1 {
			// Several keyed precincts fit this one. If exactly one of them fits by its name alone,
			// that one is meant.
			if sByKey == nil {
				_, sByKey = precinctIndex(s, form)
			}
			name := form(wording.Normal(p.Precincts[pi].Name.In(p.Language)))
			proper := slices.DeleteFunc(slices.Clone(list), func(si int) bool {
				return name == "" || form(wording.Normal(s.Precincts[si].Name.In(s.Language))) != name || len(sByKey[name]) != 1
			})
			if len(proper) != 1 {
				for _, si := range list {
					pp.Rivals[si] = []int{pi}
				}
				continue
			}
			list = proper
		}
		pp.ToSecond[pi], pp.ToPrimary[list[0]] = list[0], pi
	}
}

// PrecinctNames returns the names of a precinct on one side: its name in every language, and its
// number.
func PrecinctNames(v *Side, i int) []string {
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

// precinctIndex indexes precincts by name, and by name and identifier.
func precinctIndex(v *Side, form func(string) string) (byName, byKey map[string][]int) {
	n := len(v.Precincts)
	byName, byKey = make(map[string][]int, n), make(map[string][]int, 2*n)
	add := func(m map[string][]int, key string, i int) {
		if list := m[key]; len(list) == 0 || list[len(list)-1] != i {
			m[key] = append(list, i)
		}
	}
	for i := range v.Precincts {
		for _, name := range PrecinctNames(v, i) {
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

// Carriers returns the precincts whose styles are the ballots of precinct i: itself, if it has
// styles; else the combined precinct that it belongs to; else its members.
func Carriers(v *Side, i int) []int {
	if len(v.StylesOf[i]) > 0 {
		return []int{i}
	}
	var out []int
	nearest := func(c int) bool {
		if len(v.StylesOf[c]) > 0 {
			out = append(out, c)
			return false
		}
		return true
	}
	walk(i, func(n int) []int { return v.Within[n] }, nearest)
	if len(out) == 0 {
		walk(i, func(n int) []int { return v.Precincts[n].Members }, nearest)
	}
	slices.Sort(out)
	return out
}

// walk visits everything that can be reached from i, nearest first, each once. It does not continue
// from an element for which visit returns false.
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

func (pp *Precincts) findAreas(p, s *Side) {
	seen := make(map[Area]bool, len(p.Precincts))
	pp.Keyed = make([]bool, len(p.Precincts))
	for pi, si := range pp.ToSecond {
		if si < 0 {
			continue
		}
		for _, pc := range Carriers(p, pi) {
			for _, sc := range Carriers(s, si) {
				// A precinct that is paired by itself is not compared on behalf of another.
				if pc != pi && pp.ToSecond[pc] >= 0 && pp.ToSecond[pc] != sc || sc != si && pp.ToPrimary[sc] >= 0 &&
					pp.ToPrimary[sc] != pc {
					continue
				}
				if a := (Area{pc, sc}); !seen[a] {
					seen[a] = true
					pp.Areas = append(pp.Areas, a)
				}
			}
		}
	}
	for _, a := range pp.Areas {
		pp.Keyed[a.Primary] = true
	}
	for i := range p.Precincts {
		if pp.Keyed[i] || len(p.StylesOf[i]) > 0 {
			continue
		}
		for _, c := range Carriers(p, i) {
			if pp.Keyed[c] {
				pp.Keyed[i] = true
			}
		}
	}
	for i, si := range pp.ToSecond {
		if si >= 0 && len(Carriers(s, si)) > 0 {
			pp.Keyed[i] = true
		}
	}
}

// Filled returns n times -1, meaning that nothing is paired yet.
func Filled(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = -1
	}
	return out
}
