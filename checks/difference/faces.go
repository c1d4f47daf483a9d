package difference

import (
	"maps"
	"slices"

	"counterproof/checks/pairing"
)

// face is one ballot face as both sides have it: the same styles on either side
// meet in all its areas, so it is compared once.
type Face struct {
	// primary and second are styles; more than one only where one side prints a
	// ballot per party and the other one ballot for all.
	Primary, Second []int
	Areas           []int
	// wrongStyle is set where one side's ballot is explained as another style's;
	// then nothing else on this face is compared.
	WrongStyle bool
	// moved is set where contests stand in another order.
	Moved bool
	// bare is set where one side's ballot holds no contest at all.
	Bare bool
	// carried is the second entry's style whose ballot the primary gives, keyedAs the
	// primary's whose ballot was keyed; -1 for none. At most one of them is known.
	Carried, KeyedAs int
}

// ballots are the faces, and what kept a ballot from being compared.
type Ballots struct {
	Faces []Face
	// conflicts are precincts of one side with several styles for one party.
	Conflicts []StyleConflict
	// unmet are ballots that one side has for a party and the other has not.
	Unmatched []UnmatchedBallot
	// perParty are areas where one side has a ballot per party and the other one
	// ballot for all.
	PerParty []int
	// partyDiffers are faces whose ballots are meant for different parties.
	PartyDiffers []int
}

type StyleConflict struct {
	Second   bool
	Precinct int
	Styles   []int
	Through  bool // some are the ballots of an area that the precinct lies in
}

type UnmatchedBallot struct {
	Second bool // the second entry has it
	Style  int
	Area   int
}

func (ds *Differences) findFaces() {
	b := &ds.Ballots
	at := map[[2]int]int{}
	meet := func(primary, second []int, area int) int {
		k := [2]int{primary[0], second[0]}
		i, ok := at[k]
		if !ok || !slices.Equal(b.Faces[i].Primary, primary) || !slices.Equal(b.Faces[i].Second, second) {
			i = len(b.Faces)
			at[k] = i
			b.Faces = append(b.Faces, Face{Primary: primary, Second: second, Carried: -1, KeyedAs: -1})
		}
		b.Faces[i].Areas = append(b.Faces[i].Areas, area)
		return i
	}
	conflict := map[[2]int]bool{}
	differs := map[int]bool{}
	for ai, a := range ds.Precincts.Areas {
		pStyles, sStyles := ds.Primary.StylesOf[a.Primary], ds.Second.StylesOf[a.Second]
		if len(pStyles) == 1 && len(sStyles) == 1 {
			f := meet(pStyles, sStyles, ai)
			if len(b.Faces[f].Areas) == 1 && ds.VotersKey(ds.Primary, pStyles[0]) != ds.VotersKey(ds.Second, sStyles[0]) {
				differs[f] = true
			}
			continue
		}
		pBy, sBy := ds.byParty(ds.Primary, pStyles), ds.byParty(ds.Second, sStyles)
		for side, by := range []map[string][]int{pBy, sBy} {
			precinct := a.Primary
			if side == 1 {
				precinct = a.Second
			}
			for _, k := range slices.Sorted(maps.Keys(by)) {
				if len(by[k]) > 1 && !conflict[[2]int{side, precinct}] {
					conflict[[2]int{side, precinct}] = true
					b.Conflicts = append(b.Conflicts, StyleConflict{Second: side == 1, Precinct: precinct, Styles: by[k]})
				}
			}
		}
		var pRest, sRest []int
		for _, k := range slices.Sorted(maps.Keys(pBy)) {
			if len(sBy[k]) == 0 {
				pRest = append(pRest, pBy[k]...)
				continue
			}
			pi, si := ds.closest(pBy[k], sBy[k])
			meet([]int{pi}, []int{si}, ai)
		}
		for _, k := range slices.Sorted(maps.Keys(sBy)) {
			if len(pBy[k]) == 0 {
				sRest = append(sRest, sBy[k]...)
			}
		}
		all := ds.VotersKey // "" is: for every voter
		switch {
		case len(pRest) == 1 && len(sRest) == 1:
			differs[meet(pRest, sRest, ai)] = true
		case len(pRest) == 1 && len(sRest) > 1 && all(ds.Primary, pRest[0]) == "" && len(pStyles) == 1,
			len(sRest) == 1 && len(pRest) > 1 && all(ds.Second, sRest[0]) == "" && len(sStyles) == 1:
			slices.Sort(pRest)
			slices.Sort(sRest)
			meet(pRest, sRest, ai)
			b.PerParty = append(b.PerParty, ai)
		default:
			for _, i := range pRest {
				b.Unmatched = append(b.Unmatched, UnmatchedBallot{Style: i, Area: ai})
			}
			for _, j := range sRest {
				b.Unmatched = append(b.Unmatched, UnmatchedBallot{Second: true, Style: j, Area: ai})
			}
		}
	}
	// Precincts that no area names still show a conflict inside the export.
	for i, styles := range ds.Primary.StylesOf {
		if len(styles) > 1 && !conflict[[2]int{0, i}] {
			by := ds.byParty(ds.Primary, styles)
			for _, k := range slices.Sorted(maps.Keys(by)) {
				if len(by[k]) > 1 {
					b.Conflicts = append(b.Conflicts, StyleConflict{Precinct: i, Styles: by[k]})
					break
				}
			}
		}
	}
	for i, styles := range ds.Primary.StylesOf {
		if len(styles) == 0 || conflict[[2]int{0, i}] {
			continue
		}
		all := slices.Clone(styles)
		for _, w := range ds.Primary.Within[i] {
			if k := ds.Primary.Precincts[w].Kind; k != "precinct" && k != "split-precinct" {
				all = append(all, ds.Primary.StylesOf[w]...)
			}
		}
		if len(all) == len(styles) {
			continue
		}
		slices.Sort(all)
		all = slices.Compact(all)
		by := ds.byParty(ds.Primary, all)
		for _, k := range slices.Sorted(maps.Keys(by)) {
			if len(by[k]) > 1 {
				b.Conflicts = append(b.Conflicts, StyleConflict{Precinct: i, Styles: by[k], Through: true})
				break
			}
		}
	}
	for f := range differs {
		b.PartyDiffers = append(b.PartyDiffers, f)
	}
	slices.Sort(b.PartyDiffers)
}

func (ds *Differences) byParty(v *pairing.Side, styles []int) map[string][]int {
	m := map[string][]int{}
	for _, s := range styles {
		k := ds.VotersKey(v, s)
		if !slices.Contains(m[k], s) {
			m[k] = append(m[k], s)
		}
	}
	return m
}

// closest returns the two styles, one of each list, whose contents agree best.
func (ds *Differences) closest(primary, second []int) (int, int) {
	bi, bj, best := primary[0], second[0], -1
	if len(primary) == 1 && len(second) == 1 {
		return bi, bj
	}
	for _, i := range primary[:min(len(primary), 20)] {
		for _, j := range second[:min(len(second), 20)] {
			if d := pairing.Apart(ds.ContentSet(ds.Primary, []int{i}), ds.ContentSet(ds.Second, []int{j})); best < 0 || d < best {
				bi, bj, best = i, j, d
			}
		}
	}
	return bi, bj
}
