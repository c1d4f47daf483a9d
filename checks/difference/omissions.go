package difference

import (
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
)

// Omitted are choices that the ballots of one side leave out although its contest has them, or list
// twice. They are by pair of contests and by the second entry's choice.
type Omitted struct {
	BySecond bool
	Twice    bool // that side lists it twice
	Choice   int
	Areas    []int
}

// omissions finds, for a pair of contests, choices that a style's own order leaves out or lists
// twice. Omitted write-in positions count only if some style of the export, or the keyed order of
// the contest, lists them: many orders list only the candidates.
func omissions(pg *pairing.Pairing, k int, faces []Face, shared *sharedPlacements) []Omitted {
	m := pg.Contests.Pairs[k]
	a, b := pg.Primary.Compared[m.Primary].Choices, pg.Second.Compared[m.Second].Choices
	var out []Omitted
	type which struct {
		bySecond, twice bool
		choice          int
	}
	noted := map[which]int{}
	note := func(bySecond, twice bool, j, face int) {
		k := which{bySecond, twice, j}
		if i, ok := noted[k]; ok {
			out[i].Areas = append(out[i].Areas, faces[face].Areas...)
			return
		}
		noted[k] = len(out)
		out = append(out, Omitted{bySecond, twice, j, slices.Clone(faces[face].Areas)})
	}
	lists := [2]bool{pg.Primary.ListsWriteIns, false} // whether write-in positions are listed
	if slices.ContainsFunc(b, func(c model.Choice) bool { return c.WriteIn }) {
		shared.each(k, func(_ int, _, s *model.Placement) {
			lists[1] = lists[1] || slices.ContainsFunc(s.Order.Value, func(j int) bool { return b[j].WriteIn })
		})
	}
	var last ordersSeen // orders without an omission
	shared.each(k, func(face int, p, s *model.Placement) {
		if last.are(p, s) {
			return
		}
		again := [2][]int{listedTwice(p.Order.Value), listedTwice(s.Order.Value)}
		var has, twice [2]pairing.Set // the choices that a side lists, and those that it lists twice
		if whole := len(again[0])+len(again[1]) == 0 && (!p.Order.Known || len(p.Order.Value) >= len(a)) &&
			(!s.Order.Known || len(s.Order.Value) >= len(b)); !whole {
			has = [2]pairing.Set{setOf(len(a), p.Order.Value), setOf(len(b), s.Order.Value)}
			twice = [2]pairing.Set{setOf(len(a), again[0]), setOf(len(b), again[1])}
		}
		for _, i := range again[0] {
			if j := m.Choices.ToSecond[i]; j >= 0 && !twice[1].Has(j) {
				note(false, true, j, face)
			}
		}
		for _, j := range again[1] {
			if i := m.Choices.ToPrimary[j]; i >= 0 && !twice[0].Has(i) {
				note(true, true, j, face)
			}
		}
		if p.Order.Known && (len(p.Order.Value) < len(a) || len(again[0]) > 0) {
			for i := range a {
				if j := m.Choices.ToSecond[i]; j >= 0 && !has[0].Has(i) && (!a[i].WriteIn || lists[0]) &&
					(!s.Order.Known || has[1].Has(j) || len(s.Order.Value) == 0) {
					note(false, false, j, face)
				}
			}
		}
		if s.Order.Known && (len(s.Order.Value) < len(b) || len(again[1]) > 0) {
			for j := range b {
				if i := m.Choices.ToPrimary[j]; i >= 0 && !has[1].Has(j) && (!b[j].WriteIn || lists[1]) &&
					(!p.Order.Known || has[0].Has(i)) {
					note(true, false, j, face)
				}
			}
		}
		if len(out) == 0 {
			last.see(p, s)
		}
	})
	return out
}

// setOf returns the numbers of a list as a set; they are below n.
func setOf(n int, list []int) pairing.Set {
	set := pairing.NewSet(n)
	for _, i := range list {
		set.Add(i)
	}
	return set
}

// ordersSeen remembers the orders of two placements, so that equal ones are compared once: most
// placements of a county repeat a few orders.
type ordersSeen struct {
	primary, second *model.Placement
}

func (o *ordersSeen) see(p, s *model.Placement) { o.primary, o.second = p, s }

// are reports whether two placements have the orders that were seen last.
func (o *ordersSeen) are(p, s *model.Placement) bool {
	return o.primary != nil && o.primary.Order.Known == p.Order.Known && o.second.Order.Known == s.Order.Known &&
		sameOrder(o.primary.Order.Value, p.Order.Value) && sameOrder(o.second.Order.Value, s.Order.Value)
}

// sameOrder reports whether two lists are equal. Ballots read from one export share their lists.
func sameOrder(a, b []int) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0] || slices.Equal(a, b))
}

// listedTwice returns the elements that an order lists more than once, each once.
func listedTwice(order []int) []int {
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
