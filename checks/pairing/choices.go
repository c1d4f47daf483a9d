package pairing

import (
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/wording"
	"counterproof/model"
)

// choicePairs says which voting position of one contest is which of the other;
// -1 where there is no counterpart.
type Choices struct{ ToSecond, ToPrimary []int }

func (cp *Choices) pair(i, j int) { cp.ToSecond[i], cp.ToPrimary[j] = j, i }

// pairChoices pairs the voting positions of two contests: first what has the same
// name and lines, then the same name, then what is nearly spelt the same, and
// last, where as many are left on either side, what stands in the same place on
// the same lines. Write-in positions are paired among themselves, in order.
func pairChoices(p *Side, pi int, s *Side, si int, parties Parties) Choices {
	a, b := p.Compared[pi].Choices, s.Compared[si].Choices
	cp := Choices{ToSecond: Filled(len(a)), ToPrimary: Filled(len(b))}
	aLines, bLines := comparedLines(p, pi, s, si, parties)
	inOrder := func(same func(i, j int) bool) {
		byName := map[string][]int{}
		for j := range b {
			if cp.ToPrimary[j] < 0 {
				byName[Plain(b[j].Name)] = append(byName[Plain(b[j].Name)], j)
			}
		}
		for i := range a {
			if cp.ToSecond[i] >= 0 {
				continue
			}
			for _, j := range byName[Plain(a[i].Name)] {
				if cp.ToPrimary[j] < 0 && same(i, j) {
					cp.pair(i, j)
					break
				}
			}
		}
	}
	named := func(i, j int) bool { return !a[i].WriteIn && !b[j].WriteIn }
	inOrder(func(i, j int) bool { return named(i, j) && aLines[i] == bLines[j] })
	// A person with several positions: the positions that share most lines.
	alike := func(weight func(i, j int) float64) {
		var rows, cols []int
		for i := range a {
			if cp.ToSecond[i] < 0 && !a[i].WriteIn {
				rows = append(rows, i)
			}
		}
		for j := range b {
			if cp.ToPrimary[j] < 0 && !b[j].WriteIn {
				cols = append(cols, j)
			}
		}
		if len(rows) == 0 || len(cols) == 0 || len(rows)*len(cols) > 250_000 {
			return
		}
		for r, c := range assignment.Best(len(rows), len(cols), func(r, c int) float64 { return weight(rows[r], cols[c]) }) {
			if c >= 0 {
				cp.pair(rows[r], cols[c])
			}
		}
	}
	place := func(i, j int) float64 { return 1 / float64(1+abs(i-j)) }
	alike(func(i, j int) float64 {
		if Plain(a[i].Name) != Plain(b[j].Name) {
			return 0
		}
		return 1 + sharedLines(aLines[i], bLines[j]) + 0.1*place(i, j)
	})
	alike(func(i, j int) float64 {
		sim := NameSimilarity(Plain(a[i].Name), Plain(b[j].Name))
		if sim < NameThreshold {
			return 0
		}
		w := sim - NameThreshold + 0.01 + 0.05*place(i, j)
		if aLines[i] == bLines[j] {
			w += 0.2
		}
		if otherGeneration(Plain(a[i].Name), Plain(b[j].Name)) {
			// Father and son, if both are left: more than a place and a line can outweigh.
			// Among the positions of one person, the lines still tell which is which.
			w *= 0.01
		}
		return w
	})
	if len(a) == len(b) {
		pairLoneNames(a, b, aLines, bLines, &cp)
		for i := range a {
			if cp.ToSecond[i] < 0 && cp.ToPrimary[i] < 0 && named(i, i) && aLines[i] == bLines[i] {
				cp.pair(i, i)
			}
		}
	}
	pairWriteIns(p, pi, s, si, &cp)
	return cp
}

// comparedLines are the party lines of both contests' choices, as keys that are
// equal for equal lines. What is printed beside a name in a party's own primary says
// nothing, whether it is printed or not; nor do lines that only one side states.
func comparedLines(p *Side, pi int, s *Side, si int, parties Parties) (primary, second []string) {
	a, b := p.Compared[pi].Choices, s.Compared[si].Choices
	joint := func(l int) int {
		if q := parties.ToPrimary[l]; q >= 0 {
			return q
		}
		return len(p.Parties) + l
	}
	keys := func(choices []model.Choice, own []int, number func(int) int) (list []string, any bool) {
		list = make([]string, len(choices))
		for i := range choices {
			lines := slices.DeleteFunc(slices.Clone(choices[i].Lines.Value), func(l int) bool { return slices.Contains(own, l) })
			list[i] = lineKey(lines, number)
			any = any || len(lines) > 0
		}
		return list, any
	}
	primary, anyPrimary := keys(a, p.Compared[pi].PrimaryParties.Value, func(l int) int { return l })
	second, anySecond := keys(b, s.Compared[si].PrimaryParties.Value, joint)
	if !anyPrimary || !anySecond {
		return make([]string, len(a)), make([]string, len(b))
	}
	return primary, second
}

// generations are what tells father from son at the end of a name (common practice,
// no source).
var generations = map[string]string{
	"jr": "jr", "jnr": "jr", "junior": "jr", "sr": "sr", "snr": "sr", "senior": "sr", "ii": "ii", "iii": "iii", "iv": "iv",
}

// otherGeneration is true where two names say that they are of two generations.
func otherGeneration(a, b string) bool {
	last := func(name string) string {
		words := strings.Fields(wording.Fold(name))
		if len(words) == 0 {
			return ""
		}
		return generations[words[len(words)-1]]
	}
	x, y := last(a), last(b)
	return x != "" && y != "" && x != y
}

// pairLoneNames pairs the positions of one name that is left on either side, where
// both names stand on the same lines: one person under two names, in whatever
// order the positions stand.
func pairLoneNames(a, b []model.Choice, aLines, bLines []string, cp *Choices) {
	left := func(list []model.Choice, to []int) []int {
		var out []int
		for i := range list {
			if to[i] < 0 && !list[i].WriteIn {
				if out = append(out, i); Plain(list[i].Name) != Plain(list[out[0]].Name) {
					return nil
				}
			}
		}
		return out
	}
	rows, cols := left(a, cp.ToSecond), left(b, cp.ToPrimary)
	if len(rows) != len(cols) {
		return
	}
	byLines := func(lines []string) func(x, y int) int {
		return func(x, y int) int { return strings.Compare(lines[x], lines[y]) }
	}
	slices.SortStableFunc(rows, byLines(aLines))
	slices.SortStableFunc(cols, byLines(bLines))
	for k := range rows {
		if aLines[rows[k]] != bLines[cols[k]] {
			return
		}
	}
	for k := range rows {
		cp.pair(rows[k], cols[k])
	}
}

func pairWriteIns(p *Side, pi int, s *Side, si int, cp *Choices) {
	a, b := p.Compared[pi].Choices, s.Compared[si].Choices
	j := 0
	for i := range a {
		if !a[i].WriteIn || cp.ToSecond[i] >= 0 {
			continue
		}
		for j < len(b) && (!b[j].WriteIn || cp.ToPrimary[j] >= 0) {
			j++
		}
		if j == len(b) {
			return
		}
		cp.pair(i, j)
	}
}

// lineKey is equal for equal sets of party lines.
func lineKey(lines []int, joint func(int) int) string { return NumberList(lines, joint) }

// sharedLines tells how far two sets of lines agree, 0 to 1.
func sharedLines(a, b string) float64 {
	if a == b {
		return 1
	}
	as, bs := strings.SplitAfter(a, ","), strings.SplitAfter(b, ",")
	n := 0
	for _, x := range as {
		for _, y := range bs {
			if x != "" && x == y {
				n++
			}
		}
	}
	return float64(n) / float64(max(len(as), len(bs)))
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
