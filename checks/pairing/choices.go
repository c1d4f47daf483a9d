package pairing

import (
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Choices pairs the voting positions of two contests; -1 where a position has no counterpart.
type Choices struct{ ToSecond, ToPrimary []int }

func (cp *Choices) pair(i, j int) { cp.ToSecond[i], cp.ToPrimary[j] = j, i }

// pairChoices pairs the voting positions of two contests in this order: the same name and lines;
// the same name; nearly the same spelling; and last, if both sides have equally many left, the same
// position on the ballot with the same lines. Write-in positions are paired among themselves, in
// order.
func (pg *Pairing) pairChoices(m ContestPair) Choices {
	p, pi, s, si := pg.Primary, m.Primary, pg.Second, m.Second
	a, b := p.Compared[pi].Choices, s.Compared[si].Choices
	cp := Choices{ToSecond: Filled(len(a)), ToPrimary: Filled(len(b))}
	aLines, bLines := comparedLines(p, pi, s, si, pg.Parties)
	named := func(i, j int) bool { return !a[i].WriteIn && !b[j].WriteIn }
	pg.pairEqualPositions(m, positionsOf(a, aLines), positionsOf(b, bLines), &cp)
	left := func(list []model.Choice, to []int) (out []int) {
		for i := range list {
			if to[i] < 0 && !list[i].WriteIn {
				out = append(out, i)
			}
		}
		return out
	}
	place := func(i, j int) float64 { return 1 / float64(1+abs(i-j)) }
	// For a person with several positions, pair those that share the most lines.
	pairOfOneName(a, b, left(a, cp.ToSecond), left(b, cp.ToPrimary), &cp, func(i, j int) float64 {
		return 1 + sharedLines(aLines[i], bLines[j]) + 0.1*place(i, j)
	})
	// Then the same person with a misspelt name.
	rows, cols := left(a, cp.ToSecond), left(b, cp.ToPrimary)
	if len(rows)*len(cols) > maxSimilarNames {
		rows, cols = nil, nil
	}
	aNames, bNames := prepareNames(a, rows), prepareNames(b, cols)
	for r, c := range assignment.Best(len(rows), len(cols), func(r, c int) float64 {
		sim := aNames[r].similarity(&bNames[c])
		if sim < NameThreshold {
			return 0
		}
		i, j := rows[r], cols[c]
		w := sim - NameThreshold + 0.01 + 0.05*place(i, j)
		if aLines[i] == bLines[j] {
			w += 0.2
		}
		if otherGeneration(Plain(a[i].Name), Plain(b[j].Name)) {
			// These may be father and son, if both are left; this factor outweighs an equal
			// position and line. Among the positions of one person, the lines still decide.
			w *= 0.01
		}
		return w
	}) {
		if c >= 0 {
			cp.pair(rows[r], cols[c])
		}
	}
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

// Limits on the search, so that the cost grows only with the length of the contest.
const (
	// maxSimilarNames is how many pairs of names are compared letter by letter.
	maxSimilarNames = 250_000
	// maxOfOneName is how many pairs of positions with one name are compared, in contests where
	// more than maxSimilarNames pairs are left.
	maxOfOneName = 64 * 64
)

// pairEqualPositions pairs positions with the same name and lines, in ballot order.
func (pg *Pairing) pairEqualPositions(m ContestPair, a, b []position, cp *Choices) {
	pg.pairDoubled(m, a, b, cp)
	waiting := make(map[position][]int, len(b))
	for j, x := range b {
		if cp.ToPrimary[j] < 0 && !x.writeIn {
			waiting[x] = append(waiting[x], j)
		}
	}
	for i, x := range a {
		if list := waiting[x]; !x.writeIn && cp.ToSecond[i] < 0 && len(list) > 0 {
			cp.pair(i, list[0])
			waiting[x] = list[1:]
		}
	}
}

// pairOfOneName pairs positions with the same name by their weight. rows are positions of one side,
// cols of the other.
func pairOfOneName(a, b []model.Choice, rows, cols []int, cp *Choices, weight func(i, j int) float64) {
	byName := map[string][]int{} // indexes in cols
	for c, j := range cols {
		byName[Plain(b[j].Name)] = append(byName[Plain(b[j].Name)], c)
	}
	times := map[string]int{} // how often each name is in rows
	for _, i := range rows {
		times[Plain(a[i].Name)]++
	}
	if len(rows)*len(cols) > maxSimilarNames {
		for name, n := range times {
			if n*len(byName[name]) > maxOfOneName {
				delete(byName, name)
			}
		}
	}
	var edges []assignment.Edge
	for r, i := range rows {
		for _, c := range byName[Plain(a[i].Name)] {
			edges = append(edges, assignment.Edge{Row: r, Col: c, Weight: weight(i, cols[c])})
		}
	}
	for r, c := range assignment.BestOf(len(rows), len(cols), edges) {
		if c >= 0 {
			cp.pair(rows[r], cols[c])
		}
	}
}

// preparedName is a name prepared for many comparisons.
type preparedName struct {
	name     string
	prepared wording.Prepared
}

func prepareNames(choices []model.Choice, list []int) []preparedName {
	out := make([]preparedName, len(list))
	for k, i := range list {
		name := Plain(choices[i].Name)
		out[k] = preparedName{name, wording.Prepare(name)}
	}
	return out
}

// similarity is NameSimilarity for two prepared names.
func (n *preparedName) similarity(o *preparedName) float64 {
	sim := n.prepared.Similarity(o.prepared)
	if sim < 1 && wording.Alike(n.name, o.name) {
		return 1
	}
	return sim
}

// comparedLines returns the party lines of both contests' choices, as keys that are equal for equal
// lines. Lines that only one side states do not count. In a party's own primary no lines count,
// because the ballot may or may not print the party beside each name.
func comparedLines(p *Side, pi int, s *Side, si int, parties Parties) (primary, second []string) {
	a, b := p.Compared[pi].Choices, s.Compared[si].Choices
	key := func(l int) int {
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
	second, anySecond := keys(b, s.Compared[si].PrimaryParties.Value, key)
	if !anyPrimary || !anySecond {
		return make([]string, len(a)), make([]string, len(b))
	}
	return primary, second
}

// generations lists the suffixes that distinguish father from son (common practice, no source).
var generations = map[string]string{
	"jr": "jr", "jnr": "jr", "junior": "jr", "sr": "sr", "snr": "sr", "senior": "sr", "ii": "ii", "iii": "iii", "iv": "iv",
}

// otherGeneration reports whether two names state different generations.
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

// pairLoneNames pairs the positions of the single name that is left on each side, if both names
// have the same lines: one person under two names. The order of the positions does not matter.
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
func lineKey(lines []int, key func(int) int) string { return NumberList(lines, key) }

// sharedLines returns how far two sets of lines agree, from 0 to 1.
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
