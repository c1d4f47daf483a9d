package deck

import (
	"slices"

	"counterproof/checks/finding"
)

// voteFor finds contests in which another vote-for leaves all votes as they are.
func (l *linter) voteFor() {
	styles := make([][]int, len(l.e.Contests)) // that have ballots, by contest
	for style := range l.precincts {
		for _, c := range l.counting.face(style).contests {
			styles[c] = append(styles[c], style)
		}
	}
	counts := map[int]bool{} // contests of which a ballot counts something, if only an undervote
	for i := range l.key.Tallies {
		t := &l.key.Tallies[i]
		if t.Overvotes+t.Undervotes > 0 || len(l.cells[t.Contest]) > 0 {
			counts[t.Contest] = true
		}
	}
	found := map[BlindKind]map[finding.Grade]*Blind{BlindHigher: {}, BlindLower: {}}
	for c := range l.e.Contests {
		if len(styles[c]) == 0 || l.left[c] {
			continue
		}
		k := &l.counting.contests[c]
		most := len(k.person)
		if k.method == ranked {
			most = min(most, k.voteFor) // no ballot has a further rank
		}
		used, mixed := l.used(c)
		far := map[BlindKind]map[finding.Grade]int{BlindHigher: {}, BlindLower: {}}
		for n := most; n >= 1; n-- {
			grade := finding.Confirm
			switch {
			case k.method != cumulative && min(n, k.voteFor) >= k.people():
				grade = finding.Note
			case k.method == ranked, !counts[c]:
				grade = finding.MustFix // a rank without a vote leaves no overvotes or undervotes either
			}
			switch {
			case n == k.voteFor || l.showsVoteFor(c, n, used, mixed):
			case n < k.voteFor:
				far[BlindLower][grade] = n
			default:
				far[BlindHigher][grade] = max(far[BlindHigher][grade], n)
			}
		}
		for kind, grades := range far {
			for grade, n := range grades {
				b := found[kind][grade]
				if b == nil {
					b = &Blind{Kind: kind, Grade: grade}
					found[kind][grade] = b
				}
				b.Contests, b.VoteFor = append(b.Contests, c), append(b.VoteFor, n)
				b.Styles = append(b.Styles, styles[c]...)
				for _, s := range styles[c] {
					b.Precincts = append(b.Precincts, l.precincts[s]...)
				}
			}
		}
	}
	for _, grades := range found {
		for _, b := range grades {
			l.found = append(l.found, *b)
		}
	}
}

// used are the numbers of people that ballots mark in a contest, of votes in a cumulative one, and the
// ranks in a ranked one.
func (l *linter) used(c int) (used map[int]bool, mixed bool) {
	k := &l.counting.contests[c]
	used = map[int]bool{}
	for i := range l.cells[c] {
		s := &l.cells[c][i]
		for j := range s.views {
			v := &s.views[j]
			mixed = mixed || v.party != noParty && l.counting.partisan(c, v.party)
			n := 0
			for at, m := range v.marks {
				switch {
				case k.method == ranked:
					used[m.Votes] = true
				case k.method == cumulative:
					n += m.Votes
				case !slices.ContainsFunc(v.marks[:at], func(x Mark) bool { return k.person[x.Choice] == k.person[m.Choice] }):
					n++
				}
			}
			used[n] = true
		}
	}
	return used, mixed
}

// showsVoteFor reports whether some choice has other votes if a contest is for so many.
func (l *linter) showsVoteFor(c, n int, used map[int]bool, mixed bool) bool {
	k := &l.counting.contests[c]
	if mixed && l.work > 0 {
		var now, then sums
		right := k.voteFor
		for i := range l.cells[c] {
			now.add(l.cells[c][i].sums)
			k.voteFor = n
			then.add(l.sumsOf(c, l.cells[c][i].views, nil))
			k.voteFor = right
		}
		return now.total != then.total
	}
	for of := range used { // marks that count in one way and not in the other
		if of > min(n, k.voteFor) && of <= max(n, k.voteFor) {
			return true
		}
	}
	return false
}
