package deck

import (
	"maps"
	"slices"
)

// held is what a comparison held against the key: the counts of results, by contest of the second entry.
type held struct {
	key     *expectation
	counted [][]*counted
	// joined are the contests whose write-in positions were counted together.
	joined map[int][]int
}

func (w *comparison) heldAgainst() *held {
	out := &held{key: w.key, counted: make([][]*counted, len(w.e.Contests)), joined: w.writeIns}
	for i := range w.counted {
		m := &w.counted[i]
		out.counted[m.contest] = append(out.counted[m.contest], m)
	}
	return out
}

// Holds reports whether these results were held against the key in every count of a difference that other
// results of the same deck have. If they were, they have the difference too, or it is gone. A precinct's
// count is not held by a total of several. silent says that these may leave out what is counted where the key has
// no ballot: a machine that counts nothing there does not name the place.
func (c *Compared) Holds(d *Difference, silent bool) bool {
	if len(d.Cells) == 0 {
		return false
	}
	for i := range d.Cells {
		cell := &d.Cells[i]
		for _, at := range c.held.places(cell) {
			if !c.held.holds(cell, at, silent) {
				return false
			}
		}
	}
	return true
}

// places are those in a contest's figures that a cell is about: of a write-in, all write-in positions, unless
// they are counted together here.
func (h *held) places(cell *Cell) []int {
	if cell.Other != "" {
		return []int{slices.Index(otherNames[:], cell.Other)}
	}
	choices := h.key.e.Contests[cell.Contest].Choices
	first := votesAt + (cell.Rank-1)*len(choices)
	if !choices[cell.Choice].WriteIn || h.joined[cell.Contest] != nil {
		return []int{first + cell.Choice}
	}
	out := writeIns(&h.key.e.Contests[cell.Contest])
	for i := range out {
		out[i] += first
	}
	return out
}

// holds reports whether a count was held: by a count of the same region, or each part of it by a count that
// reaches no farther. What a total leaves to no precinct is held by a total alone.
func (h *held) holds(cell *Cell, at int, silent bool) bool {
	within := region{unit: cell.Unit, precincts: cell.Precincts, styles: cell.Styles}
	total := within.precincts != nil && len(within.precincts) == 0
	asked := within
	if total {
		within.precincts = nil
	}
	inside := h.lines(cell.Contest, &within)
	if silent && len(inside) == 0 {
		return true
	}
	missing := maps.Clone(inside)
	for _, m := range h.counted[cell.Contest] {
		if at >= len(m.n) || !m.known[at] || len(m.precincts) == 1 && !in(within.precincts, m.precincts[0]) {
			continue
		}
		if m.same(&asked) {
			return true
		}
		own := h.lines(cell.Contest, &m.region)
		if total && len(own) < len(inside) || !subset(own, inside) {
			continue
		}
		for l := range own {
			delete(missing, l)
		}
	}
	return len(inside) > 0 && len(missing) == 0
}

func (h *held) lines(contest int, r *region) map[*line]bool {
	out := map[*line]bool{}
	h.key.each(contest, r, func(l *line) { out[l] = true })
	return out
}

func subset(a, b map[*line]bool) bool {
	if len(a) > len(b) {
		return false
	}
	for l := range a {
		if !b[l] {
			return false
		}
	}
	return true
}

// HoldsAllOf reports whether each count of the key that other results of the same deck were held against was
// held against these too, and no less closely.
func (c *Compared) HoldsAllOf(other *Compared) bool {
	for contest, lines := range other.held.key.lines {
		own := c.held.key.lines[contest]
		if len(own) != len(lines) {
			return false
		}
		for i := range lines {
			was, now := &lines[i], &own[i]
			if was.unit != now.unit || was.precinct != now.precinct || was.style != now.style {
				return false
			}
			for at, how := range was.compared {
				if how != notCompared && (at >= len(now.compared) || now.compared[at] < how) {
					return false
				}
			}
		}
	}
	return true
}

// HoldsRecordsOf reports whether the records of these results were compared with the ballots of the deck one by
// one, in each contest in which those of other results were.
func (c *Compared) HoldsRecordsOf(other *Compared) bool {
	if c.Ballots == nil || c.Ballots.Note != "" {
		return false
	}
	return !slices.ContainsFunc(c.Ballots.LeftOut, func(contest int) bool {
		return other.Ballots == nil || !slices.Contains(other.Ballots.LeftOut, contest)
	})
}
