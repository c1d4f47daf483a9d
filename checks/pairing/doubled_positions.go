package pairing

import (
	"slices"

	"counterproof/model"
)

// position is what is printed at a voting position: the name and, as keys, the party lines.
type position struct {
	name, lines string
	writeIn     bool // then nothing else is set
}

func positionsOf(choices []model.Choice, lines []string) []position {
	out := make([]position, len(choices))
	for i := range choices {
		if out[i].writeIn = choices[i].WriteIn; !out[i].writeIn {
			out[i].name, out[i].lines = Plain(choices[i].Name), lines[i]
		}
	}
	return out
}

// pairDoubled pairs positions that one side prints more often than the other. Those are counterparts
// that stand in one order among the other choices, on the first ballots that both sides have: a
// choice that is printed twice is then no other order of the choices.
func (pg *Pairing) pairDoubled(m ContestPair, a, b []position, cp *Choices) {
	if len(a)*len(b) > maxSimilarNames {
		return
	}
	times := make(map[position][2]int, len(a))
	for side, list := range [2][]position{a, b} {
		for _, x := range list {
			n := times[x]
			n[side]++
			times[x] = n
		}
	}
	doubled := func(x position) bool {
		n := times[x]
		return !x.writeIn && n[0] != n[1] && n[0] > 0 && n[1] > 0
	}
	if !slices.ContainsFunc(a, doubled) {
		return
	}
	onPrimary, onSecond := pg.ballotOrders(m)
	if len(onPrimary)*len(onSecond) > maxSimilarNames {
		return
	}
	for _, at := range longestCommon(onPrimary, onSecond, func(i, j int) bool { return a[i] == b[j] }) {
		// A ballot may list one position twice.
		if i, j := at[0], at[1]; doubled(a[i]) && cp.ToSecond[i] < 0 && cp.ToPrimary[j] < 0 {
			cp.pair(i, j)
		}
	}
}

// ballotOrders returns the order in which each side prints the choices of a pair of contests, on the
// ballots of the first area that has both.
func (pg *Pairing) ballotOrders(m ContestPair) (primary, second []int) {
	area := -1
	if both := slices.Clone(pg.on[0][m.Primary]); common(both, pg.on[1][m.Second]) > 0 {
		both.Keep(pg.on[1][m.Second])
		area = both.List()[0]
	}
	order := func(v *Side, contest int, precinct func(Area) int) (out []int) {
		if area >= 0 {
			for _, st := range v.StylesOf[precinct(pg.Precincts.Areas[area])] {
				for _, pl := range v.Styles[st].Content {
					if pl.Contest == contest && pl.Order.Known {
						return pl.Order.Value
					}
				}
			}
		}
		for i := range v.Contests[contest].Choices {
			out = append(out, i)
		}
		return out
	}
	return order(pg.Primary, m.Primary, func(a Area) int { return a.Primary }),
		order(pg.Second, m.Second, func(a Area) int { return a.Second })
}

// longestCommon returns the pairs of a longest sequence that two lists have in common.
func longestCommon(a, b []int, same func(i, j int) bool) (pairs [][2]int) {
	length := make([][]int, len(a)+1)
	for i := range length {
		length[i] = make([]int, len(b)+1)
	}
	for i, x := range slices.Backward(a) {
		for j, y := range slices.Backward(b) {
			length[i][j] = max(length[i+1][j], length[i][j+1])
			if same(x, y) {
				length[i][j] = max(length[i][j], 1+length[i+1][j+1])
			}
		}
	}
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch {
		case same(a[i], b[j]) && length[i][j] == 1+length[i+1][j+1]:
			pairs = append(pairs, [2]int{a[i], b[j]})
			i, j = i+1, j+1
		case length[i][j] == length[i+1][j]:
			i++
		default:
			j++
		}
	}
	return pairs
}
