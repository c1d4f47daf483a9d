package deck

// place is a contest in a precinct, at a unit or, where it is -1, at all.
type place struct{ contest, unit, precinct int }

// unlisted gives no votes to what no cast vote record of an area lists, though the file defines the
// contest: SP 1500-103 lets a record list "each contest that was voted" alone. How many ballots held the
// contest and what they left unmarked stays not stated. Nothing is added where the contest is counted in a
// part of the area, or for all precincts together.
func (w *comparison) unlisted(recorded []*translator) {
	if len(recorded) == 0 {
		return
	}
	counts, everywhere := map[place]bool{}, map[int]bool{}
	for i := range w.counted {
		m := &w.counted[i]
		everywhere[m.contest] = everywhere[m.contest] || m.precincts == nil
		for _, p := range m.precincts {
			counts[place{m.contest, m.unit, p}] = true
		}
	}
	for _, m := range recorded {
		areas := m.areas()
		for _, c := range m.contests {
			if c >= 0 && !everywhere[c] {
				w.unlistedIn(c, areas, counts)
			}
		}
	}
}

// unlistedIn does so for one contest. counts has what is counted.
func (w *comparison) unlistedIn(contest int, areas map[[2]int]region, counts map[place]bool) {
	size := votesAt + len(w.e.Contests[contest].Choices)
	for i := range w.key.lines[contest] {
		l := &w.key.lines[contest][i]
		for _, unit := range []int{l.unit, -1} {
			area, read := areas[[2]int{unit, l.precinct}]
			if !read || counts[place{contest, unit, l.precinct}] {
				continue
			}
			part := false
			for _, p := range area.precincts {
				part = part || counts[place{contest, unit, p}]
				counts[place{contest, unit, p}] = true
			}
			if part {
				continue
			}
			none := counted{region: area, contest: contest, figures: newFigures(size)}
			for at := votesAt; at < size; at++ {
				none.set(at, 0)
			}
			w.counted = append(w.counted, none)
		}
	}
}

// areas are those of which a file has cast vote records, by unit and precinct.
func (m *translator) areas() map[[2]int]region {
	out := map[[2]int]region{}
	add := func(unit int, precincts []int) {
		for _, p := range precincts {
			if at := [2]int{unit, p}; len(out[at].precincts) == 0 {
				out[at] = region{unit: unit, precincts: precincts}
			}
		}
	}
	for i := range m.counted {
		add(m.counted[i].unit, m.counted[i].precincts)
	}
	for i := range m.ballots {
		add(m.ballots[i].unit, m.ballots[i].precincts)
	}
	return out
}
