package deck

import (
	"slices"

	"counterproof/checks/finding"
)

// pair is two things whose exchange is not seen, the smaller first.
type pair [2]int

// group is things of which no exchange of two is seen.
type group struct {
	of    []int
	grade finding.Grade
}

// positions finds positions without a vote, and those whose exchange is not seen: on one style, and on
// all.
func (l *linter) positions() {
	marked := map[[2]int]bool{} // contest and style
	for c, cells := range l.cells {
		for i := range cells {
			s := &cells[i]
			marked[[2]int{c, s.style}] = true
			l.unvoted(c, s)
			for _, b := range l.samePositions(c, s) {
				l.add(s.style, b)
			}
		}
		if len(cells) > 1 {
			l.everywhere(c)
		}
	}
	for style := range l.precincts { // of which no ballot has a vote at all
		for _, c := range l.counting.face(style).contests {
			if !l.left[c] && !marked[[2]int{c, style}] {
				l.unvoted(c, &cell{style: style, voted: make([]bool, len(l.e.Contests[c].Choices))})
			}
		}
	}
}

func (l *linter) unvoted(c int, s *cell) {
	var none []int
	for j, voted := range s.voted {
		if !voted {
			none = append(none, j)
		}
	}
	if none != nil {
		l.add(s.style, Blind{Kind: BlindNoVote, Grade: finding.MustFix, Contests: []int{c}, Choices: none,
			All: len(none) == len(s.voted)})
	}
}

// everywhere looks for exchanges on all styles at once that are seen on one.
func (l *linter) everywhere(c int) {
	k := len(l.cells[c][0].choice)
	all := cell{counted: make([]sums, k), choice: make([]sums, k), voted: make([]bool, k)}
	for i := range l.cells[c] {
		s := &l.cells[c][i]
		all.sums.add(s.sums)
		all.mixed, all.filled = all.mixed || s.mixed, all.filled || s.filled
		all.views = append(all.views, s.views...)
		for j := range k {
			// Rows are the styles here: choices with the same rows are the same on each style.
			all.choice[j].add(sums{total: s.choice[j].total, rows: s.choice[j].total * mix(uint64(s.style))})
			all.counted[j].add(sums{total: s.counted[j].total, rows: s.counted[j].total * mix(uint64(s.style))})
			all.voted[j] = all.voted[j] || s.voted[j]
		}
	}
	for _, b := range l.samePositions(c, &all) {
		of := all.counted
		if b.Marks {
			of = all.choice
		}
		if !slices.ContainsFunc(b.Choices, func(j int) bool { return of[j].rows != of[b.Choices[0]].rows }) {
			continue // found style by style
		}
		b.Together, b.Grade = true, finding.Confirm
		for i := range l.cells[c] {
			style := l.cells[c][i].style
			b.Styles = append(b.Styles, style)
			b.Precincts = append(b.Precincts, l.precincts[style]...)
		}
		l.found = append(l.found, b)
	}
}

// samePositions are the positions of which no exchange is seen, but for those without a vote: those of
// the same totals, and those whose marks may be exchanged. In most contests that is one thing.
func (l *linter) samePositions(c int, s *cell) []Blind {
	k := len(s.choice)
	marks := l.sameMarks(c, s)
	totals := marks
	if s.filled || s.mixed || l.counting.contests[c].straight != nil {
		has := make([]bool, k)
		for j, of := range s.counted {
			has[j] = of.total != 0
		}
		totals = sameTotals(s.counted, has)
	}
	in := func(list []group, g group) bool {
		return slices.ContainsFunc(list, func(x group) bool { return x.grade == g.grade && slices.Equal(x.of, g.of) })
	}
	var out []Blind
	for _, g := range totals {
		out = append(out, Blind{Kind: BlindPositions, Grade: g.grade, Contests: []int{c}, Choices: g.of, All: len(g.of) == k,
			Totals: !in(marks, g)})
	}
	for _, g := range marks {
		if !in(totals, g) {
			out = append(out, Blind{Kind: BlindPositions, Grade: g.grade, Contests: []int{c}, Choices: g.of, Marks: true})
		}
	}
	return out
}

// sameMarks are groups of positions the exchange of whose marks is not seen.
func (l *linter) sameMarks(c int, s *cell) []group {
	k := len(s.choice)
	if cost := k * k * len(s.views) * k; s.mixed && k < mostPositions && cost < l.work {
		pairs := map[pair]finding.Grade{}
		for x := range k {
			for y := x + 1; y < k; y++ {
				if !s.voted[x] && !s.voted[y] {
					continue
				}
				if g, seen := s.sums.grade(l.sumsOf(c, s.views, exchanged(x, y))); !seen {
					pairs[pair{x, y}] = g
				}
			}
		}
		return groups(pairs, k)
	}
	same := sameTotals(s.choice, s.voted)
	if l.counting.contests[c].straight != nil {
		return l.sameParties(c, s, same)
	}
	return same
}

// sameTotals are groups of positions that have a vote and the same total.
func sameTotals(choice []sums, voted []bool) []group {
	totals := map[uint64][]int{}
	var order []uint64
	for j, of := range choice {
		if !voted[j] {
			continue
		}
		if totals[of.total] == nil {
			order = append(order, of.total)
		}
		totals[of.total] = append(totals[of.total], j)
	}
	var out []group
	for _, total := range order {
		list := totals[total]
		if len(list) < 2 {
			continue
		}
		rows := map[uint64][]int{}
		var rowOrder []uint64
		for _, j := range list {
			r := choice[j].rows
			if rows[r] == nil {
				rowOrder = append(rowOrder, r)
			}
			rows[r] = append(rows[r], j)
		}
		for _, r := range rowOrder {
			if len(rows[r]) > 1 {
				out = append(out, group{rows[r], finding.MustFix})
			}
		}
		if len(rowOrder) > 1 {
			out = append(out, group{list, finding.Confirm})
		}
	}
	return out
}

// sameParties leaves of groups in a straight-party contest those pairs that do not tell in other
// contests either.
func (l *linter) sameParties(c int, s *cell, same []group) []group {
	pairs := map[pair]finding.Grade{}
	for _, g := range same {
		if len(g.of) > mostPositions {
			return same
		}
		for i, y := range g.of {
			for _, x := range g.of[:i] {
				grade, seen := l.counted(s.views, func(m Mark) Mark {
					if m.Contest == c {
						return exchanged(x, y)(m)
					}
					return m
				})
				if _, known := pairs[pair{x, y}]; !seen && !known {
					pairs[pair{x, y}] = grade
				}
			}
		}
	}
	return groups(pairs, len(s.choice))
}

// exchanged takes a mark for one choice for the other's.
func exchanged(x, y int) func(Mark) Mark {
	return func(m Mark) Mark {
		switch m.Choice {
		case x:
			m.Choice = y
		case y:
			m.Choice = x
		}
		return m
	}
}

// groups joins pairs of one grade into groups of which any two are a pair, each pair in one of them.
func groups(pairs map[pair]finding.Grade, k int) []group {
	var sorted []pair
	for p := range pairs {
		sorted = append(sorted, p)
	}
	slices.SortFunc(sorted, func(x, y pair) int { return slices.Compare(x[:], y[:]) })
	grouped := map[pair]bool{}
	var out []group
	for _, p := range sorted {
		if grouped[p] {
			continue
		}
		g := group{[]int{p[0], p[1]}, pairs[p]}
		for z := p[1] + 1; z < k; z++ {
			if !slices.ContainsFunc(g.of, func(x int) bool { return pairs[pair{x, z}] != g.grade }) {
				g.of = append(g.of, z)
			}
		}
		for i, y := range g.of {
			for _, x := range g.of[:i] {
				grouped[pair{x, y}] = true
			}
		}
		out = append(out, g)
	}
	return out
}

// counted says who can see a fault that changes marks on the ballots of the styles of these views, by
// counting all contests of the ballots. It is for faults in one contest that tell in others.
func (l *linter) counted(views []view, as func(Mark) Mark) (g finding.Grade, seen bool) {
	if l.work <= 0 {
		return finding.Confirm, false // not tried: it is named
	}
	styles := map[int]bool{}
	for i := range views {
		styles[views[i].style] = true
	}
	right, wrong := &Deck{}, &Deck{}
	for _, b := range l.deck.Ballots {
		if styles[b.Style] {
			right.Ballots = append(right.Ballots, b)
			b.Marks = slices.Clone(b.Marks)
			for i := range b.Marks {
				b.Marks[i] = as(b.Marks[i])
			}
			wrong.Ballots = append(wrong.Ballots, b)
			l.work -= 2 * len(b.Marks)
			for _, c := range l.counting.face(b.Style).contests {
				l.work -= 2 * (4 + len(l.e.Contests[c].Choices)) // a straight-party mark is looked up among them
			}
		}
	}
	before, err := Count(l.e, right, l.rules)
	if err != nil {
		return finding.Confirm, false
	}
	after, err := Count(l.e, wrong, l.rules)
	if err != nil {
		return "", true // the ballot has no such mark
	}
	return keySums(before).grade(keySums(after))
}

// keySums are the sums of a whole key.
func keySums(k *Key) sums {
	var all sums
	for i := range k.Tallies {
		t := &k.Tallies[i]
		v := view{style: t.Style, precinct: t.Precinct, ballots: 1}
		s := v.sums(t)
		of := mix(ofContest + uint64(t.Contest))
		all.add(sums{s.total * of, s.rows * of, s.others * of})
	}
	return all
}
