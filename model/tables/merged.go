package tables

import (
	"cmp"
	"slices"
)

// merged fills cells that a merged area covers with the value of its first cell: that is what
// people see there. Only the area's first column is filled.
type merged struct {
	areas  []area
	next   int
	active []running
}

type running struct {
	area
	value string
}

func newMerged(areas []area) merged {
	areas = slices.Clone(areas)
	slices.SortFunc(areas, func(a, b area) int { return cmp.Or(a.top-b.top, a.left-b.left) })
	return merged{areas: areas}
}

// width is how many cells a row needs so that all areas in it can be filled.
func (m *merged) width(row int) (most int) {
	m.active = slices.DeleteFunc(m.active, func(r running) bool { return r.bottom < row })
	for ; m.next < len(m.areas) && m.areas[m.next].top <= row; m.next++ {
		if a := m.areas[m.next]; a.bottom >= row && len(m.active) < maxColumns {
			m.active = append(m.active, running{area: a})
		}
	}
	for _, r := range m.active {
		most = max(most, r.left)
	}
	return most
}

func (m *merged) fill(row int, cells []string) {
	for i := range m.active {
		r := &m.active[i]
		switch {
		case row == r.top:
			r.value = cells[r.left-1]
		case cells[r.left-1] == "":
			cells[r.left-1] = r.value
		}
	}
}

// complete fills cells that mean the value above.
func (r *reader) complete(l line) []string {
	cells := l.cells
	need := len(cells)
	for _, at := range r.fill {
		need = max(need, at+1)
	}
	need = max(need, r.merged.width(l.row))
	if need > len(cells) {
		r.padded = append(append(r.padded[:0], cells...), make([]string, need-len(cells))...)
		cells = r.padded
	}
	r.merged.fill(l.row, cells)
	fillDown(cells, r.fill, r.above)
	return cells
}

// fillDown writes the value above into empty cells of filled columns. Where a column has a value of
// its own, those that come after it in the mapping begin anew: a new office has no district until it
// is given one.
func fillDown(cells []string, fill []int, above []string) {
	own := false
	for i, at := range fill {
		own = own || cells[at] != ""
		if !own {
			cells[at] = above[i]
		}
		above[i] = cells[at]
	}
}
