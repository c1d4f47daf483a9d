package difference

import (
	"maps"
	"slices"

	"counterproof/checks/pairing"
)

// Face is one ballot face on both sides. In all its areas the same styles are compared, so it is
// compared once.
type Face struct {
	// Primary and Second are styles. There is more than one only if one side prints a ballot for
	// each party and the other prints one ballot for all.
	Primary, Second []int
	Areas           []int
	// WrongStyle is set if one side's ballot is explained as the ballot of another style. Nothing
	// else on this face is then compared.
	WrongStyle bool
	// same is set if both sides print the same contests in the same order, each once. Nothing on
	// this ballot is then missing, extra, moved or doubled.
	same bool
	// Moved is set if contests are in a different order.
	Moved bool
	// Bare is set if one side's ballot has no contest at all.
	Bare bool
	// Carried is the second entry's style whose ballot the export gives. KeyedAs is the export's
	// style whose ballot was keyed. Each is -1 for none; at most one of them is known.
	Carried, KeyedAs int
}

// Ballots are the faces, and the reasons why some ballots were not compared.
type Ballots struct {
	Faces []Face
	// FirstIn lists, by area, the faces whose first area it is.
	FirstIn map[int][]int
	// Conflicts are precincts of one side with several styles for one party.
	Conflicts []StyleConflict
	// Unmatched are ballots that only one side has for a party.
	Unmatched []UnmatchedBallot
	// PerParty are areas where one side has a ballot for each party and the other has one ballot
	// for all.
	PerParty []int
	// PartyDiffers are faces whose ballots are meant for different parties.
	PartyDiffers []int
}

// StyleConflict is a precinct with several ballots for the same voters on one side.
type StyleConflict struct {
	Second   bool
	Precinct int
	Styles   []int
	Through  bool // some are the ballots of an area that contains the precinct
}

// UnmatchedBallot is a ballot for a party that only one side has.
type UnmatchedBallot struct {
	Second bool // the second entry has it
	Style  int
	Area   int
}

// findBallots groups the areas by the ballots that both sides give them.
func findBallots(pg *pairing.Pairing) Ballots {
	b := &Ballots{}
	n := len(pg.Precincts.Areas)
	at := make(map[[2]int]int, n)
	b.Faces = make([]Face, 0, n)
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
	for ai, a := range pg.Precincts.Areas {
		pStyles, sStyles := pg.Primary.StylesOf[a.Primary], pg.Second.StylesOf[a.Second]
		if len(pStyles) == 1 && len(sStyles) == 1 {
			f := meet(pStyles, sStyles, ai)
			if len(b.Faces[f].Areas) == 1 && pg.VotersKey(pg.Primary, pStyles[0]) != pg.VotersKey(pg.Second, sStyles[0]) {
				differs[f] = true
			}
			continue
		}
		pBy, sBy := byParty(pg, pg.Primary, pStyles), byParty(pg, pg.Second, sStyles)
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
			pi, si := closest(pg, pBy[k], sBy[k])
			meet([]int{pi}, []int{si}, ai)
		}
		for _, k := range slices.Sorted(maps.Keys(sBy)) {
			if len(pBy[k]) == 0 {
				sRest = append(sRest, sBy[k]...)
			}
		}
		all := pg.VotersKey // "" means every voter
		switch {
		case len(pRest) == 1 && len(sRest) == 1:
			differs[meet(pRest, sRest, ai)] = true
		case len(pRest) == 1 && len(sRest) > 1 && all(pg.Primary, pRest[0]) == "" && len(pStyles) == 1,
			len(sRest) == 1 && len(pRest) > 1 && all(pg.Second, sRest[0]) == "" && len(sStyles) == 1:
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
	// Precincts that no area names can still show a conflict inside the export.
	for i, styles := range pg.Primary.StylesOf {
		if len(styles) > 1 && !conflict[[2]int{0, i}] {
			by := byParty(pg, pg.Primary, styles)
			for _, k := range slices.Sorted(maps.Keys(by)) {
				if len(by[k]) > 1 {
					b.Conflicts = append(b.Conflicts, StyleConflict{Precinct: i, Styles: by[k]})
					break
				}
			}
		}
	}
	for i, styles := range pg.Primary.StylesOf {
		if len(styles) == 0 || conflict[[2]int{0, i}] {
			continue
		}
		all := slices.Clone(styles)
		for _, w := range pg.Primary.Within[i] {
			if k := pg.Primary.Precincts[w].Kind; k != "precinct" && k != "split-precinct" {
				all = append(all, pg.Primary.StylesOf[w]...)
			}
		}
		if len(all) == len(styles) {
			continue
		}
		slices.Sort(all)
		all = slices.Compact(all)
		by := byParty(pg, pg.Primary, all)
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
	markSame(pg, b.Faces)
	b.FirstIn = make(map[int][]int, len(b.Faces))
	for f := range b.Faces {
		first := b.Faces[f].Areas[0]
		b.FirstIn[first] = append(b.FirstIn[first], f)
	}
	return *b
}

func byParty(pg *pairing.Pairing, v *pairing.Side, styles []int) map[string][]int {
	m := map[string][]int{}
	for _, s := range styles {
		k := pg.VotersKey(v, s)
		if !slices.Contains(m[k], s) {
			m[k] = append(m[k], s)
		}
	}
	return m
}

// closest returns the two styles, one from each list, whose contents agree best.
func closest(pg *pairing.Pairing, primary, second []int) (int, int) {
	bi, bj, best := primary[0], second[0], -1
	if len(primary) == 1 && len(second) == 1 {
		return bi, bj
	}
	for _, i := range primary[:min(len(primary), 20)] {
		for _, j := range second[:min(len(second), 20)] {
			if d := pairing.Apart(pg.ContentSet(pg.Primary, []int{i}), pg.ContentSet(pg.Second, []int{j})); best < 0 ||
				d < best {
				bi, bj, best = i, j, d
			}
		}
	}
	return bi, bj
}

// markSame marks the faces on which both sides print the same contents.
func markSame(pg *pairing.Pairing, faces []Face) {
	at := make([]int, pg.Contests.Keys) // key → face on which it was last seen, from 1
	for f := range faces {
		fc := &faces[f]
		if len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		p, s := pg.Primary.Styles[fc.Primary[0]].Content, pg.Second.Styles[fc.Second[0]].Content
		fc.same = len(p) == len(s)
		for i := 0; fc.same && i < len(p); i++ {
			key := pg.Contests.PrimaryKey[p[i].Contest]
			fc.same = key == pg.Contests.SecondKey[s[i].Contest] && at[key] != f+1
			at[key] = f + 1
		}
	}
}
