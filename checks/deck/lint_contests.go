package deck

import (
	"slices"

	"counterproof/checks/finding"
)

// contests finds contests of one style whose exchange is not seen: those of as many positions that are
// counted in the same way. Contests without any vote are found for that.
func (l *linter) contests() {
	type like struct {
		positions int
		method    method
	}
	styles := map[int]map[like][]contestCell{}
	for c := range l.cells {
		k := &l.counting.contests[c]
		for i := range l.cells[c] {
			s := &l.cells[c][i]
			if styles[s.style] == nil {
				styles[s.style] = map[like][]contestCell{}
			}
			of := like{len(k.person), k.method}
			styles[s.style][of] = append(styles[s.style][of], contestCell{c, s})
		}
	}
	for style, likes := range styles {
		for _, list := range likes {
			l.contestPairs(style, list)
		}
	}
}

// contestCell is a contest and what a style holds of it.
type contestCell struct {
	contest int
	*cell
}

// counts reports whether a mark in the contest has a vote.
func (s *cell) counts() bool { return slices.Contains(s.voted, true) }

// contestPairs finds those of a list that may be exchanged on a style. Of more than mostContestsTried
// those of the same totals alone are tried: real ballots have fewer.
func (l *linter) contestPairs(style int, list []contestCell) {
	pairs := map[pair]finding.Grade{} // of indexes in the list
	for x := range list {
		for y := x + 1; y < len(list); y++ {
			if !list[x].counts() && !list[y].counts() ||
				len(list) > mostContestsTried && list[x].sums.total != list[y].sums.total {
				continue
			}
			if g, seen := l.contestPair(style, list[x], list[y]); !seen {
				pairs[pair{x, y}] = g
			}
		}
	}
	for _, g := range groups(pairs, len(list)) {
		b := Blind{Kind: BlindContests, Grade: g.grade}
		for _, i := range g.of {
			b.Contests = append(b.Contests, list[i].contest)
		}
		l.add(style, b)
	}
}

const mostContestsTried = 100

// contestPair says who can see that the marks of two contests are taken for each other's.
func (l *linter) contestPair(style int, s1, s2 contestCell) (g finding.Grade, seen bool) {
	c1, c2 := s1.contest, s2.contest
	k1, k2 := &l.counting.contests[c1], &l.counting.contests[c2]
	f := l.counting.face(style)
	plain := !s1.mixed && !s2.mixed && !s1.filled && !s2.filled && k1.straight == nil && k2.straight == nil
	crossed := f.open && k1.primary != k2.primary
	if plain && !crossed && k1.voteFor == k2.voteFor || l.work <= 0 {
		return s1.sums.grade(s2.sums)
	}
	if crossed || k1.straight != nil || k2.straight != nil {
		if s1.sums.total != s2.sums.total {
			return "", true
		}
		return l.counted(s1.views[:1], func(m Mark) Mark {
			switch m.Contest {
			case c1:
				m.Contest = c2
			case c2:
				m.Contest = c1
			}
			return m
		})
	}
	g1, seen := s1.sums.grade(l.sumsOf(c1, s2.views, nil))
	if seen {
		return "", true
	}
	g2, seen := s2.sums.grade(l.sumsOf(c2, s1.views, nil))
	if g1 == finding.MustFix {
		g1 = g2
	}
	return g1, seen
}
