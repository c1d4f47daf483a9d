package deck

import (
	"cmp"
	"slices"

	"counterproof/checks/finding"
)

// samePrecincts finds precincts that count the same, on all their ballots or on those of one style.
func (l *linter) samePrecincts() {
	whole, byStyle := map[int]sums{}, map[block]sums{}
	for i := range l.key.Tallies {
		t := &l.key.Tallies[i]
		if !slices.Contains(l.precincts[t.Style], t.Precinct) {
			continue
		}
		s := precinctSums(t)
		at := block{t.Precinct, t.Style}
		all, one := whole[t.Precinct], byStyle[at]
		all.add(s)
		one.add(s)
		whole[t.Precinct], byStyle[at] = all, one
	}
	for _, group := range alike(whole) {
		l.found = append(l.found, Blind{Kind: BlindPrecincts, Grade: group.grade, Precincts: group.of})
	}
	styles := map[int]map[int]sums{}
	for at, s := range byStyle {
		if styles[at.style] == nil {
			styles[at.style] = map[int]sums{}
		}
		styles[at.style][at.precinct] = s
	}
	for style, precincts := range styles {
		for _, group := range alike(precincts) {
			first := whole[group.of[0]].total
			if slices.ContainsFunc(group.of, func(p int) bool { return whole[p].total != first }) {
				l.found = append(l.found, Blind{Kind: BlindPrecincts, Grade: group.grade, Styles: []int{style},
					Precincts: group.of})
			}
		}
	}
}

// precinctSums are those of one precinct: total of its votes, others of all that is counted.
func precinctSums(t *Tally) sums {
	of := mix(ofContest + uint64(t.Contest))
	s := (&view{ballots: 1}).sums(t)
	return sums{total: s.total * of, others: (s.total + s.others + uint64(t.Ballots)*mix(1<<42)) * of}
}

// likes are precincts that count the same.
type likes struct {
	of    []int
	grade finding.Grade
}

// alike groups precincts by their votes.
func alike(precincts map[int]sums) []likes {
	by := map[uint64][]int{}
	for p, s := range precincts {
		by[s.total] = append(by[s.total], p)
	}
	var out []likes
	for _, list := range by {
		if len(list) < 2 {
			continue
		}
		slices.Sort(list)
		g := finding.MustFix
		for _, p := range list {
			if precincts[p].others != precincts[list[0]].others {
				g = finding.Confirm
			}
		}
		out = append(out, likes{list, g})
	}
	slices.SortFunc(out, func(x, y likes) int { return cmp.Compare(x.of[0], y.of[0]) })
	return out
}
