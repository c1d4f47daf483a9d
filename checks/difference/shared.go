package difference

import (
	"counterproof/checks/pairing"
	"counterproof/model"
)

// SharedPlacement is a face on which both sides print the contests of a pair.
type SharedPlacement struct {
	Face            int
	Primary, Second *model.Placement
}

// findShared says, for each pair of contests, where its two contests meet.
func (ds *Differences) findShared() {
	ds.Shared = make([][]SharedPlacement, len(ds.Contests.Pairs))
	pairAt := map[[2]int]int{}
	for k, m := range ds.Contests.Pairs {
		pairAt[[2]int{m.Primary, m.Second}] = k
	}
	main := make([]int, len(ds.Primary.Compared)) // the main pair of each contest, to spare the map
	for i := range main {
		main[i] = -1
	}
	for k, m := range ds.Contests.Pairs {
		if !m.Variant {
			main[m.Primary] = k
		}
	}
	// All in one list first, then by pair: the list is long and grows no further.
	type shared struct {
		pair int
		SharedPlacement
	}
	var all []shared
	most := 0
	for f := range ds.Ballots.Faces {
		for _, st := range ds.Ballots.Faces[f].Primary {
			most += len(ds.Primary.Styles[st].Content)
		}
	}
	all = make([]shared, 0, most)
	count := make([]int, len(ds.Contests.Pairs))
	at := make([]*model.Placement, ds.Contests.Keys)
	for f := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[f]
		primaryStyles, secondStyles := fc.Primary, fc.Second
		if fc.Carried >= 0 { // a ballot that is another style's is compared with that style
			secondStyles = []int{fc.Carried}
		}
		if fc.KeyedAs >= 0 {
			primaryStyles = []int{fc.KeyedAs}
		}
		second := pairing.Placements(ds.Second, secondStyles)
		for i := range second {
			if j := ds.Contests.SecondKey[second[i].Contest]; at[j] == nil {
				at[j] = &second[i]
			}
		}
		primary := pairing.Placements(ds.Primary, primaryStyles)
		for i := range primary {
			s := at[ds.Contests.PrimaryKey[primary[i].Contest]]
			if s == nil {
				continue
			}
			k := main[primary[i].Contest]
			if k < 0 || ds.Contests.Pairs[k].Second != s.Contest {
				var ok bool
				if k, ok = pairAt[[2]int{primary[i].Contest, s.Contest}]; !ok {
					continue
				}
			}
			all = append(all, shared{k, SharedPlacement{f, &primary[i], s}})
			count[k]++
		}
		for i := range second {
			at[ds.Contests.SecondKey[second[i].Contest]] = nil
		}
	}
	list := make([]SharedPlacement, len(all))
	for k, n := range count {
		ds.Shared[k], list = list[:0:n], list[n:]
	}
	for i := range all {
		k := all[i].pair
		ds.Shared[k] = append(ds.Shared[k], all[i].SharedPlacement)
	}
}
