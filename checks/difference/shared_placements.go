package difference

import (
	"counterproof/checks/pairing"
	"counterproof/model"
)

// sharedPlacement is a face on which both sides print the contests of a pair.
type sharedPlacement struct {
	Face            int
	Primary, Second *model.Placement
}

// findShared says, for each pair of contests, where its two contests meet.
func findShared(pg *pairing.Pairing, faces []Face) [][]sharedPlacement {
	out := make([][]sharedPlacement, len(pg.Contests.Pairs))
	pairAt := map[[2]int]int{}
	for k, m := range pg.Contests.Pairs {
		pairAt[[2]int{m.Primary, m.Second}] = k
	}
	main := make([]int, len(pg.Primary.Compared)) // the main pair of each contest, to spare the map
	for i := range main {
		main[i] = -1
	}
	for k, m := range pg.Contests.Pairs {
		if !m.Variant {
			main[m.Primary] = k
		}
	}
	// All in one list first, then by pair: the list is long and grows no further.
	type shared struct {
		pair int
		sharedPlacement
	}
	var all []shared
	most := 0
	for f := range faces {
		for _, st := range faces[f].Primary {
			most += len(pg.Primary.Styles[st].Content)
		}
	}
	all = make([]shared, 0, most)
	count := make([]int, len(pg.Contests.Pairs))
	at := make([]*model.Placement, pg.Contests.Keys)
	for f := range faces {
		fc := &faces[f]
		primaryStyles, secondStyles := fc.Primary, fc.Second
		if fc.Carried >= 0 { // a ballot that is another style's is compared with that style
			secondStyles = []int{fc.Carried}
		}
		if fc.KeyedAs >= 0 {
			primaryStyles = []int{fc.KeyedAs}
		}
		second := pairing.Placements(pg.Second, secondStyles)
		for i := range second {
			if j := pg.Contests.SecondKey[second[i].Contest]; at[j] == nil {
				at[j] = &second[i]
			}
		}
		primary := pairing.Placements(pg.Primary, primaryStyles)
		for i := range primary {
			s := at[pg.Contests.PrimaryKey[primary[i].Contest]]
			if s == nil {
				continue
			}
			k := main[primary[i].Contest]
			if k < 0 || pg.Contests.Pairs[k].Second != s.Contest {
				var ok bool
				if k, ok = pairAt[[2]int{primary[i].Contest, s.Contest}]; !ok {
					continue
				}
			}
			all = append(all, shared{k, sharedPlacement{f, &primary[i], s}})
			count[k]++
		}
		for i := range second {
			at[pg.Contests.SecondKey[second[i].Contest]] = nil
		}
	}
	list := make([]sharedPlacement, len(all))
	for k, n := range count {
		out[k], list = list[:0:n], list[n:]
	}
	for i := range all {
		k := all[i].pair
		out[k] = append(out[k], all[i].sharedPlacement)
	}
	return out
}
