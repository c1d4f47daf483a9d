package pairing

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/assignment"
)

// Contests pairs the contests of the two sides.
//
// A contest may exist in several versions: a late change that was made only on some styles leaves
// the old version on the others. Then one version forms the pair and the others are its variants.
// The change is then reported as a change, not as one missing and one extra contest.
type Contests struct {
	ToSecond, ToPrimary []int // the pair, -1 if there is none
	Pairs               []ContestPair
	// PrimaryKey and SecondKey number the contests so that versions of one contest have the same
	// number on both sides. Keys is how many numbers there are.
	PrimaryKey, SecondKey []int
	Keys                  int

	Exchanges Exchanges
}

// ContestPair is a pair of versions of one contest that are compared.
type ContestPair struct {
	Primary, Second int
	Variant         bool // not the main pair of these contests
	Choices         Choices
}

// areaSets returns, for each contest, the areas whose ballots carry it.
func areaSets(v *Side, areas []Area, precinct func(Area) int) []Set {
	out := make([]Set, len(v.Contests))
	for i := range out {
		out[i] = NewSet(len(areas))
	}
	for ai, a := range areas {
		for _, si := range v.StylesOf[precinct(a)] {
			for k := range v.Styles[si].Content {
				out[v.Styles[si].Content[k].Contest].Add(ai)
			}
		}
	}
	return out
}

// severalBallots reports whether any precinct gets more than one ballot.
func (pg *Pairing) severalBallots() bool {
	return slices.ContainsFunc(pg.Precincts.Areas, func(a Area) bool {
		return len(pg.Primary.StylesOf[a.Primary]) > 1 || len(pg.Second.StylesOf[a.Second]) > 1
	})
}

// ballotSets returns, for each contest of a side, the ballots that carry it. A ballot is given by
// an area and the party of its voters. If the two sides have ballots for different parties in an
// area, all ballots of that area count as one.
func (pg *Pairing) ballotSets(second bool) []Set {
	type ballot struct {
		area    int
		parties string
	}
	number := map[ballot]int{}
	at := make([]map[string]int, len(pg.Precincts.Areas)) // party → number of the ballot
	for ai, a := range pg.Precincts.Areas {
		keys := [2][]string{}
		for _, st := range pg.Primary.StylesOf[a.Primary] {
			keys[0] = append(keys[0], pg.VotersKey(pg.Primary, st))
		}
		for _, st := range pg.Second.StylesOf[a.Second] {
			keys[1] = append(keys[1], pg.VotersKey(pg.Second, st))
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
	v := pg.Primary
	if second {
		v = pg.Second
	}
	out := make([]Set, len(v.Contests))
	for i := range out {
		out[i] = NewSet(len(number))
	}
	for ai, a := range pg.Precincts.Areas {
		precinct := a.Primary
		if second {
			precinct = a.Second
		}
		for _, st := range v.StylesOf[precinct] {
			n := at[ai][pg.VotersKey(v, st)]
			for k := range v.Styles[st].Content {
				out[v.Styles[st].Content[k].Contest].Add(n)
			}
		}
	}
	return out
}

func (pg *Pairing) contestsOf(fixed []couple) Contests {
	p, s, parties := pg.Primary, pg.Second, pg.Parties
	pf := gatherFacts(p, pg.on[0], func(list []int) string {
		return NumberList(list, func(i int) int { return i })
	})
	sf := gatherFacts(s, pg.on[1], func(list []int) string {
		return NumberList(list, func(i int) int {
			if q := parties.ToPrimary[i]; q >= 0 {
				return q
			}
			return len(p.Parties) + i
		})
	})
	cp := Contests{ToSecond: Filled(len(pf)), ToPrimary: Filled(len(sf))}
	for _, c := range fixed {
		cp.pair(c.primary, c.second)
	}
	cp.pairEqual(pf, sf)
	pg.releaseMeasures(&cp, pf, sf, fixed)
	cp.pairSimilar(pf, sf)
	pg.repairMeasures(&cp, pf, sf, fixed)
	for i, j := range cp.ToSecond {
		if j >= 0 {
			cp.Pairs = append(cp.Pairs, ContestPair{Primary: i, Second: j})
		}
	}
	onBallots := [2][]contestFacts{pf, sf}
	if pg.severalBallots() {
		for side := range onBallots {
			onBallots[side] = slices.Clone(onBallots[side]) // copies, with other areas
			for i, on := range pg.ballotSets(side == 1) {
				onBallots[side][i].areas = on
			}
		}
	}
	cp.pairVariants(onBallots[0], onBallots[1])
	cp.number(len(pf), len(sf))
	pg.findExchanges(&cp, pf, sf)
	return cp
}

// NumberList returns a string that is equal for equal sets of numbers; key maps each element to its
// number.
func NumberList(list []int, key func(int) int) string {
	numbers := make([]int, len(list))
	for k, i := range list {
		numbers[k] = key(i)
	}
	slices.Sort(numbers)
	var b strings.Builder
	for _, n := range numbers {
		b.WriteString(string(rune(n+1)) + ",")
	}
	return b.String()
}

// pairEqual pairs contests with equal contents. If several districts have equal contests, their
// precincts decide.
func (cp *Contests) pairEqual(pf, sf []contestFacts) {
	groups := map[string][2][]int{}
	for i := range pf {
		if cp.ToSecond[i] >= 0 {
			continue // mapped
		}
		g := groups[pf[i].key()]
		g[0] = append(g[0], i)
		groups[pf[i].key()] = g
	}
	for j := range sf {
		if cp.ToPrimary[j] >= 0 {
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
				k := f[i].areas.Key() + "\x00" + f[i].text
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

func (cp *Contests) pair(i, j int) { cp.ToSecond[i], cp.ToPrimary[j] = j, i }

// pairSimilar pairs the rest by similarity, as the best one-to-one assignment.
func (cp *Contests) pairSimilar(pf, sf []contestFacts) {
	rows, cols := unpaired(cp.ToSecond, pf), unpaired(cp.ToPrimary, sf)
	if len(rows)*len(cols) > maxSimilarities {
		// No real county is this large. Contests with the same title are paired; the rest is
		// reported as missing and extra.
		byTitle := map[string]int{}
		for _, j := range cols {
			byTitle[sf[j].title] = j
		}
		for _, i := range rows {
			if j, ok := byTitle[pf[i].title]; ok && cp.ToPrimary[j] < 0 {
				cp.pair(i, j)
			}
		}
		return
	}
	best := assignment.Best(len(rows), len(cols), func(r, c int) float64 {
		return max(0, similarity(&pf[rows[r]], &sf[cols[c]], true)-similarityThreshold)
	})
	for r, c := range best {
		if c >= 0 {
			cp.pair(rows[r], cols[c])
		}
	}
}

// unpaired lists the contests without a counterpart, in an order that depends only on their
// contents.
func unpaired(to []int, facts []contestFacts) []int {
	var list []int
	for i := range to {
		if to[i] < 0 {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int {
		return cmp.Or(cmp.Compare(facts[a].key(), facts[b].key()), cmp.Compare(facts[a].text, facts[b].text),
			cmp.Compare(facts[a].areas.Key(), facts[b].areas.Key()))
	})
	return list
}

// pairVariants finds unpaired contests that are another version of a paired one: they have nearly
// the same contents, and are on ballots where the other side has the paired contest and this side
// does not have its main version.
func (cp *Contests) pairVariants(pf, sf []contestFacts) {
	main := slices.Clone(cp.Pairs)
	if len(main) == 0 {
		return
	}
	find := func(own, other []contestFacts, to []int, ownOf, otherOf func(ContestPair) int, pair func(i, j int)) {
		for _, i := range unpaired(to, own) {
			best, at := variantThreshold, -1
			if own[i].areas.Count() == 0 {
				continue
			}
			for k, m := range main {
				o := otherOf(m)
				// On the other side, most of the ballots with this version must carry that contest.
				// On this side, none of them may carry the main version.
				if 2*common(own[i].areas, other[o].areas) <= own[i].areas.Count() || common(own[i].areas, own[ownOf(m)].areas) > 0 {
					continue
				}
				if like := similarity(&own[i], &other[o], false); like > best {
					best, at = like, k
				}
			}
			if at >= 0 {
				pair(i, otherOf(main[at]))
			}
		}
	}
	first, second := func(m ContestPair) int { return m.Primary }, func(m ContestPair) int { return m.Second }
	find(pf, sf, cp.ToSecond, first, second, func(i, j int) {
		cp.Pairs = append(cp.Pairs, ContestPair{Primary: i, Second: j, Variant: true})
	})
	find(sf, pf, cp.ToPrimary, second, first, func(j, i int) {
		cp.Pairs = append(cp.Pairs, ContestPair{Primary: i, Second: j, Variant: true})
	})
}

func (cp *Contests) number(primaries, seconds int) {
	cp.PrimaryKey, cp.SecondKey = Filled(primaries), Filled(seconds)
	for _, m := range cp.Pairs {
		switch {
		case !m.Variant:
			cp.PrimaryKey[m.Primary], cp.SecondKey[m.Second] = cp.Keys, cp.Keys
			cp.Keys++
		case cp.PrimaryKey[m.Primary] < 0:
			cp.PrimaryKey[m.Primary] = cp.SecondKey[m.Second]
		default:
			cp.SecondKey[m.Second] = cp.PrimaryKey[m.Primary]
		}
	}
	for _, list := range [][]int{cp.PrimaryKey, cp.SecondKey} {
		for i := range list {
			if list[i] < 0 {
				list[i] = cp.Keys
				cp.Keys++
			}
		}
	}
}
