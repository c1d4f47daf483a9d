package difference

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Positions sorts the voting positions without a counterpart, in one pair of contests, by what
// their absence or presence means.
type Positions struct {
	Missing, Extra         []int             // choices: the second entry's, the export's
	LineMissing, LineExtra []int             // further positions of a person whom both sides have
	Doubled                []DoubledPosition // the same choice twice on one side
	WriteIns               [2]int            // write-in positions of the export and the second entry
	NamedWriteIn           map[int]int       // the export's choices that are really a keyed write-in position
	Joined                 map[int]int       // the export's extra position → the keyed position that has its lines
	Split                  map[int]int       // keyed position that the export lacks → the export's with its lines
}

// DoubledPosition is a choice that one side has once and the other twice.
type DoubledPosition struct {
	Second bool
	Choice int
}

func sortPositions(pg *pairing.Pairing, m pairing.ContestPair) Positions {
	d := Positions{NamedWriteIn: map[int]int{}, Joined: map[int]int{}, Split: map[int]int{}}
	a, b := pg.Primary.Compared[m.Primary].Choices, pg.Second.Compared[m.Second].Choices
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
	alone := func(list []model.Choice, to []int) bool {
		for i := range list {
			if to[i] < 0 && !list[i].WriteIn {
				return true
			}
		}
		return false
	}
	if !alone(a, m.Choices.ToSecond) && !alone(b, m.Choices.ToPrimary) {
		return d
	}
	primary := namedPositions(pg, pg.Primary, a, m.Choices.ToSecond)
	second := namedPositions(pg, pg.Second, b, m.Choices.ToPrimary)
	for j := range b {
		if m.Choices.ToPrimary[j] >= 0 || b[j].WriteIn {
			continue
		}
		switch {
		case !second.paired[second.name[j]]:
			d.Missing = append(d.Missing, j)
		case second.pairedLines[[2]string{second.name[j], second.lines[j]}]:
			d.Doubled = append(d.Doubled, DoubledPosition{Second: true, Choice: j})
		case primary.holding(second, j) >= 0:
			d.Split[j] = primary.holding(second, j)
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
		switch {
		case !primary.paired[primary.name[i]]:
			d.Extra = append(d.Extra, i)
		case primary.pairedLines[[2]string{primary.name[i], primary.lines[i]}]:
			d.Doubled = append(d.Doubled, DoubledPosition{Choice: i})
		case second.holding(primary, i) >= 0:
			d.Joined[i] = second.holding(primary, i)
			d.Extra = append(d.Extra, i)
		default:
			d.LineExtra = append(d.LineExtra, i)
		}
	}
	return d
}

// positions indexes the positions of one side's contest by name and lines.
type positions struct {
	name, lines []string // by position; equal lines have equal strings on both sides
	keys        [][]int  // the lines of each position, as keys
	named       map[string][]int
	paired      map[string]bool    // names of positions with a counterpart
	pairedLines map[[2]string]bool // names and lines of positions with a counterpart
	held        map[[2]string]int  // cached results of holding
}

// namedPositions indexes choices; those with to >= 0 have a counterpart.
func namedPositions(pg *pairing.Pairing, v *pairing.Side, choices []model.Choice, to []int) *positions {
	x := &positions{name: make([]string, len(choices)), lines: make([]string, len(choices)),
		keys: make([][]int, len(choices)), named: map[string][]int{}, paired: map[string]bool{},
		pairedLines: map[[2]string]bool{}, held: map[[2]string]int{}}
	for i := range choices {
		if choices[i].WriteIn {
			continue
		}
		name := pairing.Plain(choices[i].Name)
		x.name[i], x.keys[i] = name, pg.PartyKeys(v, choices[i].Lines.Value)
		x.lines[i] = fmt.Sprint(x.keys[i])
		x.named[name] = append(x.named[name], i)
		if to[i] >= 0 {
			x.paired[name] = true
			x.pairedLines[[2]string{name, x.lines[i]}] = true
		}
	}
	return x
}

// holding returns the last position that has the same name as the other side's position j and all
// its lines; -1 if there is none, or if j has no lines.
func (x *positions) holding(other *positions, j int) int {
	if len(other.keys[j]) == 0 {
		return -1
	}
	k := [2]string{other.name[j], other.lines[j]}
	if at, ok := x.held[k]; ok {
		return at
	}
	x.held[k] = -1
	for _, i := range slices.Backward(x.named[k[0]]) {
		if pairing.ContainsAll(x.keys[i], other.keys[j]) {
			x.held[k] = i
			break
		}
	}
	return x.held[k]
}

// isWriteInName reports whether a candidate in an export is only the words for a write-in position.
func isWriteInName(name string) bool {
	switch strings.ReplaceAll(wording.Fold(name), " ", "") {
	case "writein", "writeincandidate", "writeins":
		return true
	}
	return false
}
