package difference

import (
	"slices"
	"strings"

	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// Positions sorts out the voting positions of one pair of contests
// that have no counterpart, by what their absence or presence means.
type Positions struct {
	Missing, Extra         []int             // a choice of its own: second's, primary's
	LineMissing, LineExtra []int             // a further position of a person who has one on both sides
	Doubled                []DoubledPosition // the same choice twice on one side
	WriteIns               [2]int            // write-in positions of the primary and the second entry
	NamedWriteIn           map[int]int       // primary's choices that stand for a second entry's write-in position
	Joined                 map[int]int       // primary's extra position → second's position that has its lines
	Split                  map[int]int       // second's position that the primary lacks → primary's that has its lines
}

type DoubledPosition struct {
	Second bool
	Choice int
}

func (ds *Differences) sortPositions(m pairing.ContestPair) Positions {
	d := Positions{NamedWriteIn: map[int]int{}, Joined: map[int]int{}, Split: map[int]int{}}
	a, b := ds.Primary.Compared[m.Primary].Choices, ds.Second.Compared[m.Second].Choices
	var bareWriteIns []int
	for j := range b {
		if b[j].WriteIn {
			d.WriteIns[1]++
			if m.Choices.ToPrimary[j] < 0 {
				bareWriteIns = append(bareWriteIns, j)
			}
		}
	}
	for i := range a {
		if a[i].WriteIn {
			d.WriteIns[0]++
		}
	}
	aLines := func(i int) []int { return ds.PartyKeys(ds.Primary, a[i].Lines.Value) }
	bLines := func(j int) []int { return ds.PartyKeys(ds.Second, b[j].Lines.Value) }
	for j := range b {
		if m.Choices.ToPrimary[j] >= 0 || b[j].WriteIn {
			continue
		}
		twin, onPrimary := -1, -1
		for k := range b {
			if k != j && !b[k].WriteIn && pairing.Plain(b[k].Name) == pairing.Plain(b[j].Name) && m.Choices.ToPrimary[k] >= 0 {
				twin = k
				if slices.Equal(bLines(k), bLines(j)) {
					break
				}
			}
		}
		for i := range a {
			if !a[i].WriteIn && pairing.Plain(a[i].Name) == pairing.Plain(b[j].Name) && pairing.ContainsAll(aLines(i), bLines(j)) && len(bLines(j)) > 0 {
				onPrimary = i
			}
		}
		switch {
		case twin < 0:
			d.Missing = append(d.Missing, j)
		case slices.Equal(bLines(twin), bLines(j)):
			d.Doubled = append(d.Doubled, DoubledPosition{Second: true, Choice: j})
		case onPrimary >= 0:
			d.Split[j] = onPrimary
			d.Missing = append(d.Missing, j)
		default:
			d.LineMissing = append(d.LineMissing, j)
		}
	}
	for i := range a {
		if m.Choices.ToSecond[i] >= 0 || a[i].WriteIn {
			continue
		}
		if len(bareWriteIns) > 0 && isWriteInName(pairing.Plain(a[i].Name)) {
			d.NamedWriteIn[i] = bareWriteIns[0]
			bareWriteIns = bareWriteIns[1:]
			continue
		}
		twin, onSecond := -1, -1
		for k := range a {
			if k != i && !a[k].WriteIn && pairing.Plain(a[k].Name) == pairing.Plain(a[i].Name) && m.Choices.ToSecond[k] >= 0 {
				twin = k
				if slices.Equal(aLines(k), aLines(i)) {
					break
				}
			}
		}
		for j := range b {
			if !b[j].WriteIn && pairing.Plain(b[j].Name) == pairing.Plain(a[i].Name) && pairing.ContainsAll(bLines(j), aLines(i)) && len(aLines(i)) > 0 {
				onSecond = j
			}
		}
		switch {
		case twin < 0:
			d.Extra = append(d.Extra, i)
		case slices.Equal(aLines(twin), aLines(i)):
			d.Doubled = append(d.Doubled, DoubledPosition{Choice: i})
		case onSecond >= 0:
			d.Joined[i] = onSecond
			d.Extra = append(d.Extra, i)
		default:
			d.LineExtra = append(d.LineExtra, i)
		}
	}
	return d
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
