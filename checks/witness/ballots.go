package witness

import (
	"slices"

	"counterproof/checks/pairing"
)

// ballotSets are by key the areas on whose ballots a side has the contest: on all of those whose voters
// may vote on it, and on any.
type ballotSets struct {
	all, any []pairing.Set
	with     pairing.Set // areas that have a ballot
}

// ballotSets finds on which ballots a side has each contest.
func (x *examiner) ballotSets(second bool) ballotSets {
	pg, v := x.pg, x.pg.Primary
	if second {
		v = pg.Second
	}
	n, keys := len(pg.Precincts.Areas), pg.ContestKeys(v)
	b := ballotSets{with: pairing.NewSet(n), all: make([]pairing.Set, pg.Contests.Keys), any: make([]pairing.Set,
		pg.Contests.Keys)}
	for k := range b.all {
		b.all[k], b.any[k] = pairing.NewSet(n), pairing.NewSet(n)
	}
	for a, area := range pg.Precincts.Areas {
		precinct := area.Primary
		if second {
			precinct = area.Second
		}
		styles := slices.DeleteFunc(slices.Clone(v.StylesOf[precinct]),
			func(s int) bool { return len(v.Styles[s].Content) == 0 })
		if len(styles) == 0 {
			continue
		}
		b.with.Add(a)
		count := map[int]int{}
		for _, s := range styles {
			seen := map[int]bool{} // a contest may stand twice on a ballot
			for k := range v.Styles[s].Content {
				key := keys[v.Styles[s].Content[k].Contest]
				if len(styles) == 1 {
					b.all[key].Add(a)
					b.any[key].Add(a)
				} else if !seen[key] {
					seen[key] = true
					count[key]++
				}
			}
		}
		for key, on := range count {
			b.any[key].Add(a)
			if on >= x.eligible(v, styles, key) {
				b.all[key].Add(a)
			}
		}
	}
	return b
}

// eligible counts the ballots of a precinct whose voters may vote on a contest.
func (x *examiner) eligible(v *pairing.Side, styles []int, key int) (n int) {
	parties := map[int]bool{}
	for _, at := range x.ofKey[key] {
		u := x.units[at]
		if v == x.pg.Primary && u.pi >= 0 {
			for _, p := range v.Compared[u.pi].PrimaryParties.Value {
				parties[p] = true
			}
		}
		if v == x.pg.Second && u.si >= 0 {
			for _, p := range v.Compared[u.si].PrimaryParties.Value {
				parties[p] = true
			}
		}
	}
	for _, s := range styles {
		list := v.Styles[s].Parties
		if len(list) == 0 || len(parties) == 0 || slices.ContainsFunc(list, func(p int) bool { return parties[p] }) {
			n++
		}
	}
	return n
}
