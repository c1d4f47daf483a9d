package checks

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/assignment"
)

// contestPairs says which contest of one side is which of the other.
//
// A contest may exist in several versions: a late change made on some styles
// only leaves the old contest on the others. Then one version is the pair and
// the rest are variants of it, so that the change shows as what it is and not as
// a contest missing here and extra there.
type contestPairs struct {
	toSecond, toPrimary []int // the pair, -1 where there is none
	pairs               []contestPair
	// primaryJoint and secondJoint number contests so that what is one contest has
	// one number on both sides; joint counts the numbers.
	primaryJoint, secondJoint []int
	joint                     int
}

// contestPair is two versions of one contest that are compared.
type contestPair struct {
	primary, second int
	variant         bool // not the main pair of these contests
	choices         choicePairs
}

// areaSets says, for each contest, on the ballots of which areas it stands.
func areaSets(v *view, areas []area, precinct func(area) int) []set {
	out := make([]set, len(v.Contests))
	for i := range out {
		out[i] = newSet(len(areas))
	}
	for ai, a := range areas {
		for _, si := range v.stylesOf[precinct(a)] {
			for k := range v.Styles[si].Content {
				out[v.Styles[si].Content[k].Contest].add(ai)
			}
		}
	}
	return out
}

// severalBallots is true where some precinct gets more than one ballot.
func (ps *pass) severalBallots() bool {
	return slices.ContainsFunc(ps.precincts.areas, func(a area) bool {
		return len(ps.p.stylesOf[a.primary]) > 1 || len(ps.s.stylesOf[a.second]) > 1
	})
}

// ballotSets says, for each contest of a side, on which ballots it stands: those
// of an area for voters of a party. Where the sides have ballots for other parties'
// voters in an area, all of them count as one.
func (ps *pass) ballotSets(second bool) []set {
	type ballot struct {
		area    int
		parties string
	}
	number := map[ballot]int{}
	at := make([]map[string]int, len(ps.precincts.areas)) // party → ballot
	for ai, a := range ps.precincts.areas {
		keys := [2][]string{}
		for _, st := range ps.p.stylesOf[a.primary] {
			keys[0] = append(keys[0], ps.stylePartyKey(ps.p, st))
		}
		for _, st := range ps.s.stylesOf[a.second] {
			keys[1] = append(keys[1], ps.stylePartyKey(ps.s, st))
		}
		for side := range keys {
			slices.Sort(keys[side])
			keys[side] = slices.Compact(keys[side])
		}
		at[ai] = map[string]int{}
		for side := range keys {
			for _, k := range keys[side] {
				b := ballot{ai, k}
				if !slices.Equal(keys[0], keys[1]) {
					b.parties = ""
				}
				if _, ok := number[b]; !ok {
					number[b] = len(number)
				}
				at[ai][k] = number[b]
			}
		}
	}
	v := ps.p
	if second {
		v = ps.s
	}
	out := make([]set, len(v.Contests))
	for i := range out {
		out[i] = newSet(len(number))
	}
	for ai, a := range ps.precincts.areas {
		precinct := a.primary
		if second {
			precinct = a.second
		}
		for _, st := range v.stylesOf[precinct] {
			n := at[ai][ps.stylePartyKey(v, st)]
			for k := range v.Styles[st].Content {
				out[v.Styles[st].Content[k].Contest].add(n)
			}
		}
	}
	return out
}

func (ps *pass) pairContests(fixed []couple) contestPairs {
	p, s, parties := ps.p, ps.s, ps.parties
	pf := gatherFacts(p, ps.standing[0], func(list []int) string {
		return numberList(list, func(i int) int { return i })
	})
	sf := gatherFacts(s, ps.standing[1], func(list []int) string {
		return numberList(list, func(i int) int {
			if q := parties.toPrimary[i]; q >= 0 {
				return q
			}
			return len(p.Parties) + i
		})
	})
	cp := contestPairs{toSecond: filled(len(pf)), toPrimary: filled(len(sf))}
	for _, c := range fixed {
		cp.pair(c.primary, c.second)
	}
	cp.pairEqual(pf, sf)
	cp.pairAlike(pf, sf)
	for i, j := range cp.toSecond {
		if j >= 0 {
			cp.pairs = append(cp.pairs, contestPair{primary: i, second: j})
		}
	}
	if ps.severalBallots() {
		pf, sf = slices.Clone(pf), slices.Clone(sf) // with other areas
		for side, facts := range [][]contestFacts{pf, sf} {
			for i, on := range ps.ballotSets(side == 1) {
				facts[i].areas = on
			}
		}
	}
	cp.pairVariants(pf, sf)
	cp.number(len(pf), len(sf))
	return cp
}

func numberList(list []int, joint func(int) int) string {
	numbers := make([]int, len(list))
	for k, i := range list {
		numbers[k] = joint(i)
	}
	slices.Sort(numbers)
	var b strings.Builder
	for _, n := range numbers {
		b.WriteString(string(rune(n+1)) + ",")
	}
	return b.String()
}

// pairEqual pairs what says the same. Contests that say the same in several
// districts are told apart by the precincts they are on.
func (cp *contestPairs) pairEqual(pf, sf []contestFacts) {
	groups := map[string][2][]int{}
	for i := range pf {
		if cp.toSecond[i] >= 0 {
			continue // mapped
		}
		g := groups[pf[i].key()]
		g[0] = append(g[0], i)
		groups[pf[i].key()] = g
	}
	for j := range sf {
		if cp.toPrimary[j] >= 0 {
			continue
		}
		g := groups[sf[j].key()]
		g[1] = append(g[1], j)
		groups[sf[j].key()] = g
	}
	for _, g := range groups {
		if len(g[0]) == 1 && len(g[1]) == 1 {
			cp.pair(g[0][0], g[1][0])
			continue
		}
		if len(g[0]) == 0 || len(g[1]) == 0 {
			continue
		}
		byPlace := map[string][2][]int{}
		for side, list := range g {
			for _, i := range list {
				f := pf
				if side == 1 {
					f = sf
				}
				k := f[i].areas.key() + "\x00" + f[i].text
				e := byPlace[k]
				e[side] = append(e[side], i)
				byPlace[k] = e
			}
		}
		for _, e := range byPlace {
			if len(e[0]) == 1 && len(e[1]) == 1 {
				cp.pair(e[0][0], e[1][0])
			}
		}
	}
}

func (cp *contestPairs) pair(i, j int) { cp.toSecond[i], cp.toPrimary[j] = j, i }

// pairAlike pairs the rest by how much of what they say they share, as the best
// one-to-one assignment.
func (cp *contestPairs) pairAlike(pf, sf []contestFacts) {
	rows, cols := unpaired(cp.toSecond, pf), unpaired(cp.toPrimary, sf)
	if len(rows)*len(cols) > maxLikenesses {
		// No honest county comes here. What has one title on both sides is paired;
		// the rest is reported as missing and extra.
		byTitle := map[string]int{}
		for _, j := range cols {
			byTitle[sf[j].title] = j
		}
		for _, i := range rows {
			if j, ok := byTitle[pf[i].title]; ok && cp.toPrimary[j] < 0 {
				cp.pair(i, j)
			}
		}
		return
	}
	best := assignment.Best(len(rows), len(cols), func(r, c int) float64 {
		return max(0, likeness(&pf[rows[r]], &sf[cols[c]], true)-likenessThreshold)
	})
	for r, c := range best {
		if c >= 0 {
			cp.pair(rows[r], cols[c])
		}
	}
}

// unpaired lists what has no counterpart, in an order that depends only on what
// it says.
func unpaired(to []int, facts []contestFacts) []int {
	var list []int
	for i := range to {
		if to[i] < 0 {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int {
		return cmp.Or(cmp.Compare(facts[a].key(), facts[b].key()), cmp.Compare(facts[a].text, facts[b].text),
			cmp.Compare(facts[a].areas.key(), facts[b].areas.key()))
	})
	return list
}

// pairVariants finds unpaired contests that are another version of a paired one:
// they say nearly the same, and stand on ballots where the other side has that
// contest and this side's main version is not.
func (cp *contestPairs) pairVariants(pf, sf []contestFacts) {
	main := slices.Clone(cp.pairs)
	if len(main) == 0 {
		return
	}
	find := func(own, other []contestFacts, to []int, ownOf, otherOf func(contestPair) int, pair func(i, j int)) {
		for _, i := range unpaired(to, own) {
			best, at := variantThreshold, -1
			if own[i].areas.count() == 0 {
				continue
			}
			for k, m := range main {
				o := otherOf(m)
				// Most ballots that carry this version must carry that contest on the
				// other side, and none the main version.
				if 2*common(own[i].areas, other[o].areas) <= own[i].areas.count() || common(own[i].areas, own[ownOf(m)].areas) > 0 {
					continue
				}
				if like := likeness(&own[i], &other[o], false); like > best {
					best, at = like, k
				}
			}
			if at >= 0 {
				pair(i, otherOf(main[at]))
			}
		}
	}
	first, second := func(m contestPair) int { return m.primary }, func(m contestPair) int { return m.second }
	find(pf, sf, cp.toSecond, first, second, func(i, j int) {
		cp.pairs = append(cp.pairs, contestPair{primary: i, second: j, variant: true})
	})
	find(sf, pf, cp.toPrimary, second, first, func(j, i int) {
		cp.pairs = append(cp.pairs, contestPair{primary: i, second: j, variant: true})
	})
}

func (cp *contestPairs) number(primaries, seconds int) {
	cp.primaryJoint, cp.secondJoint = filled(primaries), filled(seconds)
	for _, m := range cp.pairs {
		switch {
		case !m.variant:
			cp.primaryJoint[m.primary], cp.secondJoint[m.second] = cp.joint, cp.joint
			cp.joint++
		case cp.primaryJoint[m.primary] < 0:
			cp.primaryJoint[m.primary] = cp.secondJoint[m.second]
		default:
			cp.secondJoint[m.second] = cp.primaryJoint[m.primary]
		}
	}
	for _, list := range [][]int{cp.primaryJoint, cp.secondJoint} {
		for i := range list {
			if list[i] < 0 {
				list[i] = cp.joint
				cp.joint++
			}
		}
	}
}
