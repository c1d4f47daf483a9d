package difference

import (
	"fmt"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// Cards describes the units of both sides: site, use and card header in one key that is equal
// across the sides. Index 0 is the export, 1 the second entry.
type Cards struct {
	pg    *pairing.Pairing
	key   [2][]string         // by unit; empty if the site or the card is not stated
	at    [2]map[string][]int // key → units
	Named [2]map[string]int   // how many units have each name
	left  [2][]int            // units without a counterpart
}

// MaxNamesTried limits the search for things under another name.
const MaxNamesTried = 250_000 // pairs of names of units without a counterpart

func findCards(pg *pairing.Pairing) *Cards {
	u := &Cards{pg: pg}
	for side, v := range []*pairing.Side{pg.Primary, pg.Second} {
		to := pg.Units.ToSecond
		if side == 1 {
			to = pg.Units.ToPrimary
		}
		u.key[side], u.at[side], u.Named[side] = make([]string, len(v.Units)), map[string][]int{}, map[string]int{}
		for i, unit := range v.Units {
			u.Named[side][v.UnitName(i)]++
			if to[i] < 0 {
				u.left[side] = append(u.left[side], i)
			}
			if !unit.Site.Known || len(unit.Precincts.Value)+len(unit.Unknown) == 0 {
				continue
			}
			site := unit.Site.Value
			if side == 1 {
				site = len(pg.Primary.Sites) + site
				if q := pg.Sites.ToPrimary[unit.Site.Value]; q >= 0 {
					site = q
				}
			}
			k := strings.Join(append([]string{
				fmt.Sprint(site), string(pairing.UnitUse(unit)), pairing.NumberList(pg.Leaves(v, unit.Precincts.Value),
					func(n int) int { return n }),
			}, natural.Sorted(unit.Unknown)...), "\x00")
			u.key[side][i] = k
			u.at[side][k] = append(u.at[side][k], i)
		}
	}
	return u
}

// Another returns the name of a unit whose site and card, on its own side, equal those of one unit
// of the pair on the other side, if both the site and the card of the pair differ: two serial
// numbers may have been swapped, or one entered at the wrong site. It is empty if there is no such
// unit.
func (u *Cards) Another(i, j int) string {
	pg := u.pg
	a, b := pg.Primary.Units[i], pg.Second.Units[j]
	if u.key[0][i] == "" || u.key[1][j] == "" || pairing.UnitUse(a) != pairing.UnitUse(b) ||
		pg.Sites.ToSecond[a.Site.Value] == b.Site.Value {
		return ""
	}
	card := func(key string) string { _, card, _ := strings.Cut(key, "\x00"); return card }
	if card(u.key[0][i]) == card(u.key[1][j]) {
		return ""
	}
	if list := u.at[1][u.key[0][i]]; len(list) > 0 {
		return pg.Second.UnitName(list[0])
	}
	if list := u.at[0][u.key[1][j]]; len(list) > 0 {
		return pg.Primary.UnitName(list[0])
	}
	return ""
}

// Namesake is a thing without a counterpart that may be another thing under a different name.
type Namesake struct {
	Name string
	// LooksAlike is set if the two names look the same; otherwise their contents agree (for units, site and card).
	LooksAlike bool
}

// OtherName finds the unit without a counterpart on the other side that may be a unit of this side
// under another name: one whose name looks the same, else the only one with the same site and card.
// It returns nil if there is none.
func (u *Cards) OtherName(side, unit int) *Namesake {
	views := [2]*pairing.Side{u.pg.Primary, u.pg.Second}
	own, other := views[side], views[1-side]
	name := own.UnitName(unit)
	if len(u.left[0])*len(u.left[1]) <= MaxNamesTried {
		for _, i := range u.left[1-side] {
			if called := other.UnitName(i); wording.Alike(called, name) {
				return &Namesake{called, true}
			}
		}
	}
	found := -1
	for _, i := range u.at[1-side][u.key[side][unit]] {
		to := u.pg.Units.ToSecond
		if side == 0 {
			to = u.pg.Units.ToPrimary
		}
		switch {
		case to[i] >= 0:
		case found >= 0:
			return nil // more than one
		default:
			found = i
		}
	}
	if found < 0 {
		return nil
	}
	return &Namesake{other.UnitName(found), false}
}
