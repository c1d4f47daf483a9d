package checks

import (
	"slices"
	"strings"

	"counterproof/checks/wording"
)

// positionDifferences sorts out the voting positions of one pair of contests
// that have no counterpart, by what their absence or presence means.
type positionDifferences struct {
	missing, extra         []int       // a choice of its own: second's, primary's
	lineMissing, lineExtra []int       // a further position of a person who has one on both sides
	doubled                []doubled   // the same choice twice on one side
	writeIns               [2]int      // write-in positions of the primary and the second entry
	namedWriteIn           map[int]int // primary's choices that stand for a second entry's write-in position
	joined                 map[int]int // primary's extra position → second's position that has its lines
	split                  map[int]int // second's position that the primary lacks → primary's that has its lines
}

type doubled struct {
	second bool
	choice int
}

func (ps *pass) sortPositions(m contestPair) positionDifferences {
	d := positionDifferences{namedWriteIn: map[int]int{}, joined: map[int]int{}, split: map[int]int{}}
	a, b := ps.p.contests[m.primary].Choices, ps.s.contests[m.second].Choices
	var bareWriteIns []int
	for j := range b {
		if b[j].WriteIn {
			d.writeIns[1]++
			if m.choices.toPrimary[j] < 0 {
				bareWriteIns = append(bareWriteIns, j)
			}
		}
	}
	for i := range a {
		if a[i].WriteIn {
			d.writeIns[0]++
		}
	}
	aLines := func(i int) []int { return ps.jointLines(ps.p, a[i].Lines.Value) }
	bLines := func(j int) []int { return ps.jointLines(ps.s, b[j].Lines.Value) }
	for j := range b {
		if m.choices.toPrimary[j] >= 0 || b[j].WriteIn {
			continue
		}
		twin, onPrimary := -1, -1
		for k := range b {
			if k != j && !b[k].WriteIn && plain(b[k].Name) == plain(b[j].Name) && m.choices.toPrimary[k] >= 0 {
				twin = k
				if slices.Equal(bLines(k), bLines(j)) {
					break
				}
			}
		}
		for i := range a {
			if !a[i].WriteIn && plain(a[i].Name) == plain(b[j].Name) && contains(aLines(i), bLines(j)) && len(bLines(j)) > 0 {
				onPrimary = i
			}
		}
		switch {
		case twin < 0:
			d.missing = append(d.missing, j)
		case slices.Equal(bLines(twin), bLines(j)):
			d.doubled = append(d.doubled, doubled{second: true, choice: j})
		case onPrimary >= 0:
			d.split[j] = onPrimary
			d.missing = append(d.missing, j)
		default:
			d.lineMissing = append(d.lineMissing, j)
		}
	}
	for i := range a {
		if m.choices.toSecond[i] >= 0 || a[i].WriteIn {
			continue
		}
		if len(bareWriteIns) > 0 && isWriteInName(plain(a[i].Name)) {
			d.namedWriteIn[i] = bareWriteIns[0]
			bareWriteIns = bareWriteIns[1:]
			continue
		}
		twin, onSecond := -1, -1
		for k := range a {
			if k != i && !a[k].WriteIn && plain(a[k].Name) == plain(a[i].Name) && m.choices.toSecond[k] >= 0 {
				twin = k
				if slices.Equal(aLines(k), aLines(i)) {
					break
				}
			}
		}
		for j := range b {
			if !b[j].WriteIn && plain(b[j].Name) == plain(a[i].Name) && contains(bLines(j), aLines(i)) && len(aLines(i)) > 0 {
				onSecond = j
			}
		}
		switch {
		case twin < 0:
			d.extra = append(d.extra, i)
		case slices.Equal(aLines(twin), aLines(i)):
			d.doubled = append(d.doubled, doubled{choice: i})
		case onSecond >= 0:
			d.joined[i] = onSecond
			d.extra = append(d.extra, i)
		default:
			d.lineExtra = append(d.lineExtra, i)
		}
	}
	return d
}

// jointLines returns party lines by joint number, sorted.
func (ps *pass) jointLines(v *view, lines []int) []int {
	out := make([]int, len(lines))
	for i, l := range lines {
		out[i] = ps.partyJoint(v, l)
	}
	slices.Sort(out)
	return out
}

// contains is true where every element of b is in a.
func contains(a, b []int) bool {
	for _, x := range b {
		if !slices.Contains(a, x) {
			return false
		}
	}
	return true
}

// isWriteInName is true for a choice that an export holds as a candidate and that
// is only the words for a write-in position.
func isWriteInName(name string) bool {
	switch strings.ReplaceAll(wording.Fold(name), " ", "") {
	case "writein", "writeincandidate", "writeins":
		return true
	}
	return false
}
