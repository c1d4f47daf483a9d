package pairing

import (
	"slices"
	"strings"

	"counterproof/checks/wording"
)

// maxTwins limits the search among units of one site and use that have no counterpart: no site has
// so many machines.
const maxTwins = 64

// pairTwins pairs units whose serial number one side mistyped: at the same site, for the same use,
// with numbers that differ by one slip and cards that name mostly the same precincts. Of several
// that a unit may be, only one that is plainly the closest is it.
func (pg *Pairing) pairTwins() {
	type place struct {
		site int
		use  string
	}
	left := map[place]*[2][]int{}
	add := func(side, unit int, at place) {
		if left[at] == nil {
			left[at] = &[2][]int{}
		}
		left[at][side] = append(left[at][side], unit)
	}
	for i, j := range pg.Units.ToSecond {
		if u := &pg.Primary.Units[i]; j < 0 && u.Site.Known && u.Precincts.Known {
			add(0, i, place{u.Site.Value, string(UnitUse(*u))})
		}
	}
	for j, i := range pg.Units.ToPrimary {
		if u := &pg.Second.Units[j]; i < 0 && u.Site.Known && u.Precincts.Known && pg.Sites.ToPrimary[u.Site.Value] >= 0 {
			add(1, j, place{pg.Sites.ToPrimary[u.Site.Value], string(UnitUse(*u))})
		}
	}
	pg.Units.Mistyped = map[int]bool{}
	for _, l := range left {
		if len(l[0]) <= maxTwins && len(l[1]) <= maxTwins {
			pg.pairClosest(l[0], l[1])
		}
	}
}

// pairClosest pairs units of the two sides that are, for each other, plainly the closest.
func (pg *Pairing) pairClosest(primary, second []int) {
	like := make([][]float64, len(primary))
	for r, i := range primary {
		like[r] = make([]float64, len(second))
		for c, j := range second {
			like[r][c] = pg.twins(i, j)
		}
	}
	best := func(n int, of func(int) float64) int {
		at, more := -1, false
		for k := range n {
			switch x := of(k); {
			case x == 0:
			case at < 0 || x > of(at):
				at, more = k, false
			case x == of(at):
				more = true
			}
		}
		if more {
			return -1
		}
		return at
	}
	for r, i := range primary {
		c := best(len(second), func(k int) float64 { return like[r][k] })
		if c >= 0 && best(len(primary), func(k int) float64 { return like[k][c] }) == r {
			pg.Units.ToSecond[i], pg.Units.ToPrimary[second[c]] = second[c], i
			pg.Units.Mistyped[second[c]] = true
		}
	}
}

// twins returns how much speaks for two units at one site being one; 0 if they are not. A serial
// number that differs only in leading zeros and marks speaks for it more than one with another
// letter or digit, and the same card more than one that names most of the same precincts.
func (pg *Pairing) twins(i, j int) float64 {
	a, b := serialNumber(pg.Primary.UnitName(i)), serialNumber(pg.Second.UnitName(j))
	score := 2.0
	if a != b && !wording.Alike(a, b) {
		if len(a) < 3 || len(b) < 3 || wording.Distance(a, b) > 1 {
			return 0
		}
		score = 1
	}
	x := pg.Leaves(pg.Primary, pg.Primary.Units[i].Precincts.Value)
	y := pg.Leaves(pg.Second, pg.Second.Units[j].Precincts.Value)
	shared := 0
	for _, p := range x {
		if slices.Contains(y, p) {
			shared++
		}
	}
	if shared == 0 || 2*shared < max(len(x), len(y)) {
		return 0
	}
	return score + float64(shared)/float64(max(len(x), len(y)))
}

// serialNumber is a unit's number without what is often typed in another way: capitals, zeros
// before a number, and which mark or space stands between its parts.
func serialNumber(name string) string {
	parts := strings.FieldsFunc(strings.ToLower(wording.Normal(name)), func(r rune) bool {
		return strings.ContainsRune(" -_./#", r)
	})
	for k, part := range parts {
		if digits := strings.TrimLeft(part, "0"); digits != "" {
			parts[k] = digits
		}
	}
	return strings.Join(parts, "-")
}
