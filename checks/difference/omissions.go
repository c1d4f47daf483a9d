package difference

import (
	"slices"

	"counterproof/model"
)

// omitted are choices that one side's ballots leave out although its contest has
// them, or list twice: by pair of contests, the second entry's choice.
type Omitted struct {
	BySecond bool
	Twice    bool // listed twice, by that side
	Choice   int
	Areas    []int
}

// omissions finds, for a pair of contests, choices that a style's own order
// leaves out or lists twice. Write-in positions that are left out count only where
// some style of the primary, or the order of the contest as keyed, lists them: many
// orders name the candidates alone.
func (ds *Differences) omissions(k int) []Omitted {
	m := ds.Contests.Pairs[k]
	a, b := ds.Primary.Compared[m.Primary].Choices, ds.Second.Compared[m.Second].Choices
	var out []Omitted
	note := func(bySecond, twice bool, j, face int) {
		for i := range out {
			if out[i].BySecond == bySecond && out[i].Twice == twice && out[i].Choice == j {
				out[i].Areas = append(out[i].Areas, ds.Ballots.Faces[face].Areas...)
				return
			}
		}
		out = append(out, Omitted{bySecond, twice, j, slices.Clone(ds.Ballots.Faces[face].Areas)})
	}
	lists := [2]bool{ds.Primary.ListsWriteIns, false} // whether write-in positions are listed
	visit := func(do func(face int, p, s *model.Placement)) { ds.eachShared(k, do) }
	visit(func(_ int, _, s *model.Placement) {
		lists[1] = lists[1] || slices.ContainsFunc(s.Order.Value, func(j int) bool { return b[j].WriteIn })
	})
	visit(func(face int, p, s *model.Placement) {
		again := [2][]int{repeated(p.Order.Value), repeated(s.Order.Value)}
		for _, i := range again[0] {
			if j := m.Choices.ToSecond[i]; j >= 0 && !slices.Contains(again[1], j) {
				note(false, true, j, face)
			}
		}
		for _, j := range again[1] {
			if i := m.Choices.ToPrimary[j]; i >= 0 && !slices.Contains(again[0], i) {
				note(true, true, j, face)
			}
		}
		if p.Order.Known && (len(p.Order.Value) < len(a) || len(again[0]) > 0) {
			for i := range a {
				if j := m.Choices.ToSecond[i]; j >= 0 && !slices.Contains(p.Order.Value, i) && (!a[i].WriteIn || lists[0]) &&
					(!s.Order.Known || slices.Contains(s.Order.Value, j) || len(s.Order.Value) == 0) {
					note(false, false, j, face)
				}
			}
		}
		if s.Order.Known && (len(s.Order.Value) < len(b) || len(again[1]) > 0) {
			for j := range b {
				if i := m.Choices.ToPrimary[j]; i >= 0 && !slices.Contains(s.Order.Value, j) && (!b[j].WriteIn || lists[1]) &&
					(!p.Order.Known || slices.Contains(p.Order.Value, i)) {
					note(true, false, j, face)
				}
			}
		}
	})
	return out
}

// repeated lists what stands twice or more often in an order, each once.
func repeated(order []int) []int {
	var out []int
	if len(order) < 2 {
		return nil
	}
	if len(order) > 64 {
		seen := map[int]int{}
		for _, i := range order {
			if seen[i]++; seen[i] == 2 {
				out = append(out, i)
			}
		}
		return out
	}
	for k, i := range order {
		if slices.Contains(order[:k], i) && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}
