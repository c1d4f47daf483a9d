package checks

import (
	"maps"
	"slices"

	"counterproof/model"
)

// face is one ballot face as both sides have it: the same styles on either side
// meet in all its areas, so it is compared once.
type face struct {
	// primary and second are styles; more than one only where one side prints a
	// ballot per party and the other one ballot for all.
	primary, second []int
	areas           []int
	// wrongStyle is set where one side's ballot is explained as another style's;
	// then nothing else on this face is compared.
	wrongStyle bool
	// moved is set where contests stand in another order.
	moved bool
	// bare is set where one side's ballot holds no contest at all.
	bare bool
	// carried is the second entry's style whose ballot the primary gives, keyedAs the
	// primary's whose ballot was keyed; -1 for none. At most one of them is known.
	carried, keyedAs int
}

// ballots are the faces, and what kept a ballot from being compared.
type ballots struct {
	faces []face
	// conflicts are precincts of one side with several styles for one party.
	conflicts []styleConflict
	// unmet are ballots that one side has for a party and the other has not.
	unmet []unmetBallot
	// perParty are areas where one side has a ballot per party and the other one
	// ballot for all.
	perParty []int
	// partyDiffers are faces whose ballots are meant for different parties.
	partyDiffers []int
}

type styleConflict struct {
	second   bool
	precinct int
	styles   []int
	through  bool // some are the ballots of an area that the precinct lies in
}

type unmetBallot struct {
	second bool // the second entry has it
	style  int
	area   int
}

func (ps *pass) findFaces() {
	b := &ps.ballots
	at := map[[2]int]int{}
	meet := func(primary, second []int, area int) int {
		k := [2]int{primary[0], second[0]}
		i, ok := at[k]
		if !ok || !slices.Equal(b.faces[i].primary, primary) || !slices.Equal(b.faces[i].second, second) {
			i = len(b.faces)
			at[k] = i
			b.faces = append(b.faces, face{primary: primary, second: second, carried: -1, keyedAs: -1})
		}
		b.faces[i].areas = append(b.faces[i].areas, area)
		return i
	}
	conflict := map[[2]int]bool{}
	differs := map[int]bool{}
	for ai, a := range ps.precincts.areas {
		pStyles, sStyles := ps.p.stylesOf[a.primary], ps.s.stylesOf[a.second]
		if len(pStyles) == 1 && len(sStyles) == 1 {
			f := meet(pStyles, sStyles, ai)
			if len(b.faces[f].areas) == 1 && ps.stylePartyKey(ps.p, pStyles[0]) != ps.stylePartyKey(ps.s, sStyles[0]) {
				differs[f] = true
			}
			continue
		}
		pBy, sBy := ps.byParty(ps.p, pStyles), ps.byParty(ps.s, sStyles)
		for side, by := range []map[string][]int{pBy, sBy} {
			precinct := a.primary
			if side == 1 {
				precinct = a.second
			}
			for _, k := range slices.Sorted(maps.Keys(by)) {
				if len(by[k]) > 1 && !conflict[[2]int{side, precinct}] {
					conflict[[2]int{side, precinct}] = true
					b.conflicts = append(b.conflicts, styleConflict{second: side == 1, precinct: precinct, styles: by[k]})
				}
			}
		}
		var pRest, sRest []int
		for _, k := range slices.Sorted(maps.Keys(pBy)) {
			if len(sBy[k]) == 0 {
				pRest = append(pRest, pBy[k]...)
				continue
			}
			pi, si := ps.closest(pBy[k], sBy[k])
			meet([]int{pi}, []int{si}, ai)
		}
		for _, k := range slices.Sorted(maps.Keys(sBy)) {
			if len(pBy[k]) == 0 {
				sRest = append(sRest, sBy[k]...)
			}
		}
		all := ps.stylePartyKey // "" is: for every voter
		switch {
		case len(pRest) == 1 && len(sRest) == 1:
			differs[meet(pRest, sRest, ai)] = true
		case len(pRest) == 1 && len(sRest) > 1 && all(ps.p, pRest[0]) == "" && len(pStyles) == 1,
			len(sRest) == 1 && len(pRest) > 1 && all(ps.s, sRest[0]) == "" && len(sStyles) == 1:
			slices.Sort(pRest)
			slices.Sort(sRest)
			meet(pRest, sRest, ai)
			b.perParty = append(b.perParty, ai)
		default:
			for _, i := range pRest {
				b.unmet = append(b.unmet, unmetBallot{style: i, area: ai})
			}
			for _, j := range sRest {
				b.unmet = append(b.unmet, unmetBallot{second: true, style: j, area: ai})
			}
		}
	}
	// Precincts that no area names still show a conflict inside the export.
	for i, styles := range ps.p.stylesOf {
		if len(styles) > 1 && !conflict[[2]int{0, i}] {
			by := ps.byParty(ps.p, styles)
			for _, k := range slices.Sorted(maps.Keys(by)) {
				if len(by[k]) > 1 {
					b.conflicts = append(b.conflicts, styleConflict{precinct: i, styles: by[k]})
					break
				}
			}
		}
	}
	for i, styles := range ps.p.stylesOf {
		if len(styles) == 0 || conflict[[2]int{0, i}] {
			continue
		}
		all := slices.Clone(styles)
		for _, w := range ps.p.within[i] {
			if k := ps.p.Precincts[w].Kind; k != "precinct" && k != "split-precinct" {
				all = append(all, ps.p.stylesOf[w]...)
			}
		}
		if len(all) == len(styles) {
			continue
		}
		slices.Sort(all)
		all = slices.Compact(all)
		by := ps.byParty(ps.p, all)
		for _, k := range slices.Sorted(maps.Keys(by)) {
			if len(by[k]) > 1 {
				b.conflicts = append(b.conflicts, styleConflict{precinct: i, styles: by[k], through: true})
				break
			}
		}
	}
	for f := range differs {
		b.partyDiffers = append(b.partyDiffers, f)
	}
	slices.Sort(b.partyDiffers)
}

// stylePartyKey is equal for styles meant for the same parties' voters, across
// the sides; "" is for every voter.
func (ps *pass) stylePartyKey(v *view, style int) string {
	list := v.Styles[style].Parties
	if len(list) == 0 {
		return ""
	}
	return numberList(list, func(i int) int { return ps.partyJoint(v, i) })
}

// partyJoint numbers parties so that a pair has one number on both sides.
func (ps *pass) partyJoint(v *view, i int) int {
	if v == ps.p {
		return i
	}
	if q := ps.parties.toPrimary[i]; q >= 0 {
		return q
	}
	return len(ps.p.Parties) + i
}

func (ps *pass) byParty(v *view, styles []int) map[string][]int {
	m := map[string][]int{}
	for _, s := range styles {
		k := ps.stylePartyKey(v, s)
		if !slices.Contains(m[k], s) {
			m[k] = append(m[k], s)
		}
	}
	return m
}

// closest returns the two styles, one of each list, whose contents agree best.
func (ps *pass) closest(primary, second []int) (int, int) {
	bi, bj, best := primary[0], second[0], -1
	if len(primary) == 1 && len(second) == 1 {
		return bi, bj
	}
	for _, i := range primary[:min(len(primary), 20)] {
		for _, j := range second[:min(len(second), 20)] {
			if d := apart(ps.contentSet(ps.p, []int{i}), ps.contentSet(ps.s, []int{j})); best < 0 || d < best {
				bi, bj, best = i, j, d
			}
		}
	}
	return bi, bj
}

func (ps *pass) joint(v *view) []int {
	if v == ps.p {
		return ps.contests.primaryJoint
	}
	return ps.contests.secondJoint
}

// contentSet is the set of contests on a ballot, by joint number.
func (ps *pass) contentSet(v *view, styles []int) set {
	out := newSet(ps.contests.joint)
	joint := ps.joint(v)
	for _, s := range styles {
		for k := range v.Styles[s].Content {
			out.add(joint[v.Styles[s].Content[k].Contest])
		}
	}
	return out
}

// placements lists what stands on a face, in ballot order.
func placements(v *view, styles []int) []model.Placement {
	if len(styles) == 1 {
		return v.Styles[styles[0]].Content
	}
	var out []model.Placement
	for _, s := range styles {
		out = append(out, v.Styles[s].Content...)
	}
	return out
}
