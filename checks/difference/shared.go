package difference

import (
	"counterproof/checks/pairing"
	"counterproof/model"
)

// meeting is a face on which both sides print the contests of a pair.
type SharedPlacement struct {
	Face            int
	Primary, Second *model.Placement
}

// findMeetings says, for each pair of contests, where its two contests meet.
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
			ds.Shared[k] = append(ds.Shared[k], SharedPlacement{f, &primary[i], s})
		}
		for i := range second {
			at[ds.Contests.SecondKey[second[i].Contest]] = nil
		}
	}
}
