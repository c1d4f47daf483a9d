package deck

import (
	"cmp"
	"encoding/binary"
	"slices"

	"counterproof/checks/finding"
)

// view is what ballots of one style in one precinct hold of one contest: so many with the same marks.
type view struct {
	style, precinct int
	party           int // of the straight-party mark
	marks           []Mark
	ballots         int
}

// cell is a contest on one style.
type cell struct {
	style int
	views []view // by precinct
	// sums are those of the votes; counted total and rows of the votes of each choice, choice the same
	// without those of straight-party marks alone.
	sums            sums
	counted, choice []sums
	// voted is true for choices that a mark votes for.
	voted []bool
	// mixed is true where an exchange of marks may do more than exchange votes: where straight-party
	// marks add to others, or a ballot has several marks and a person several lines. filled is true
	// where a straight-party mark counts.
	mixed, filled bool
}

// sums stand for counts: equal sums are equal counts but for one case in 2^64. total is of the votes of
// the whole deck, rows of those of each precinct and style, others of what is counted besides votes.
type sums struct{ total, rows, others uint64 }

// grade says who can see a fault that leaves these sums of those. seen is true where the votes of the
// whole deck tell.
func (s sums) grade(after sums) (g finding.Grade, seen bool) {
	switch {
	case s.total != after.total:
		return "", true
	case s == after:
		return finding.MustFix, false
	}
	return finding.Confirm, false
}

func (s *sums) add(o sums) {
	s.total += o.total
	s.rows += o.rows
	s.others += o.others
}

// collect gathers the views of the deck.
func (l *linter) collect() {
	views := make([][]view, len(l.e.Contests))
	at := map[string]int{}
	n := l.counting
	var key []byte
	blank := map[block][]int{} // ballots, by place of the contest
	for i := range l.deck.Ballots {
		b := &l.deck.Ballots[i]
		f := n.face(b.Style)
		n.sort(f, b)
		party, chosen := n.straightParty(f), n.chosenPrimary(f)
		of := block{b.Precinct, b.Style}
		unmarked := blank[of]
		if unmarked == nil {
			unmarked = make([]int, len(f.contests))
			blank[of] = unmarked
		}
		for i, c := range f.contests {
			marks := f.marks[i]
			var ignored Tally
			switch {
			case l.left[c], l.only != nil && !l.only[c],
				n.contests[c].primary >= 0 && f.open && chosen.decides(&n.contests[c], &ignored, len(marks) > 0):
				continue // no vote, whatever its marks are taken for
			case len(marks) == 0 && party == noParty:
				unmarked[i]++
				continue
			}
			key = key[:0]
			for _, x := range []int{c, b.Style, b.Precinct, party} {
				key = binary.AppendVarint(key, int64(x))
			}
			for _, m := range marks {
				key = binary.AppendVarint(binary.AppendVarint(key, int64(m.Choice)), int64(m.Votes))
			}
			if j, ok := at[string(key)]; ok {
				views[c][j].ballots++
				continue
			}
			at[string(key)] = len(views[c])
			views[c] = append(views[c], view{b.Style, b.Precinct, party, slices.Clone(marks), 1})
		}
	}
	for of, ballots := range blank {
		for i, c := range n.face(of.style).contests {
			if ballots[i] > 0 {
				views[c] = append(views[c], view{of.style, of.precinct, noParty, nil, ballots[i]})
			}
		}
	}
	l.cells = make([][]cell, len(views))
	for c, list := range views {
		slices.SortStableFunc(list, func(x, y view) int {
			return cmp.Or(cmp.Compare(x.style, y.style), cmp.Compare(x.precinct, y.precinct))
		})
		for len(list) > 0 {
			end := 1
			for end < len(list) && list[end].style == list[0].style {
				end++
			}
			l.cells[c] = append(l.cells[c], l.cell(c, list[:end:end]))
			list = list[end:]
		}
	}
}

// cell sums up the views of a contest on a style.
func (l *linter) cell(c int, views []view) cell {
	k := &l.counting.contests[c]
	out := cell{style: views[0].style, views: views, counted: make([]sums, len(k.person)),
		choice: make([]sums, len(k.person)), voted: make([]bool, len(k.person))}
	lines := k.severalLines()
	t := l.tally(c)
	for i := range views {
		v := &views[i]
		out.mixed = out.mixed || lines && len(v.marks) > 1
		if l.count(t, c, v, v.marks); v.party != noParty && l.counting.partisan(c, v.party) {
			with, party := v.sums(t), v.party
			v.party = noParty
			l.count(t, c, v, v.marks)
			alone := v.sums(t)
			v.party = party
			l.count(t, c, v, v.marks)
			out.filled = true
			out.mixed = out.mixed || len(v.marks) > 0 && with != alone
		}
		for j := range t.Votes {
			votes := v.choiceSums(t, j)
			out.counted[j].add(votes)
			if len(v.marks) > 0 {
				out.choice[j].add(votes)
				out.voted[j] = out.voted[j] || votes.total != 0
			}
		}
		out.sums.add(v.sums(t))
	}
	return out
}

// tally is an empty one to count in.
func (l *linter) tally(c int) *Tally {
	t := l.counting.contests[c].tally(c)
	return &t
}

// count counts one ballot of a view anew, with these marks in place of its own.
func (l *linter) count(t *Tally, c int, v *view, marks []Mark) {
	clear(t.Votes)
	for _, r := range t.Ranks {
		clear(r)
	}
	t.Overvotes, t.Undervotes, t.OvervotedBallots, t.UndervotedBallots = 0, 0, 0, 0
	l.work -= 4 + len(t.Votes)*(1+len(t.Ranks))
	l.counting.inContest(t, c, slices.Clone(marks), v.party)
}

// What stands for a rank, and for a contest, is drawn from numbers of its own: products of what stands
// for two things must not be those of two others.
const ofRank, ofContest = 1 << 40, 1 << 41

// sums are those of all ballots of a view, of which one counts t.
func (v *view) sums(t *Tally) sums {
	var s sums
	for j := range t.Votes {
		of := v.choiceSums(t, j)
		s.total += of.total * mix(uint64(j))
		s.rows += of.rows * mix(uint64(j))
	}
	for i, n := range []int{t.Overvotes, t.Undervotes, t.OvervotedBallots, t.UndervotedBallots} {
		s.others += uint64(n*v.ballots) * mix(uint64(i)) * v.row()
	}
	return s
}

// choiceSums are those of the votes of one choice.
func (v *view) choiceSums(t *Tally, j int) sums {
	var s sums
	votes := uint64(t.Votes[j] * v.ballots)
	for rank, r := range t.Ranks {
		votes += uint64(r[j]*v.ballots) * mix(ofRank+uint64(rank))
	}
	s.total, s.rows = votes, votes*v.row()
	return s
}

// row stands for the precinct and the style.
func (v *view) row() uint64 { return mix(mix(uint64(v.style)+1) ^ uint64(v.precinct)) }

// sumsOf are the sums that a contest counts of these views, with other marks in place of theirs. The
// views may be another contest's of as many choices.
func (l *linter) sumsOf(c int, views []view, as func(Mark) Mark) sums {
	var s sums
	t := l.tally(c)
	marks := []Mark{}
	for i := range views {
		v := &views[i]
		marks = append(marks[:0], v.marks...)
		for k := range marks {
			if as != nil {
				marks[k] = as(marks[k])
			}
			marks[k].Contest = c
		}
		l.count(t, c, v, marks)
		s.add(v.sums(t))
	}
	return s
}
