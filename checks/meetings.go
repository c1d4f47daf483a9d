package checks

import "counterproof/model"

// meeting is a face on which both sides print the contests of a pair.
type meeting struct {
	face            int
	primary, second *model.Placement
}

// findMeetings says, for each pair of contests, where its two contests meet.
func (ps *pass) findMeetings() {
	ps.meetings = make([][]meeting, len(ps.contests.pairs))
	pairAt := map[[2]int]int{}
	for k, m := range ps.contests.pairs {
		pairAt[[2]int{m.primary, m.second}] = k
	}
	main := make([]int, len(ps.p.contests)) // the main pair of each contest, to spare the map
	for i := range main {
		main[i] = -1
	}
	for k, m := range ps.contests.pairs {
		if !m.variant {
			main[m.primary] = k
		}
	}
	at := make([]*model.Placement, ps.contests.joint)
	for f := range ps.ballots.faces {
		fc := &ps.ballots.faces[f]
		primaryStyles, secondStyles := fc.primary, fc.second
		if fc.carried >= 0 { // a ballot that is another style's is compared with that style
			secondStyles = []int{fc.carried}
		}
		if fc.keyedAs >= 0 {
			primaryStyles = []int{fc.keyedAs}
		}
		second := placements(ps.s, secondStyles)
		for i := range second {
			if j := ps.contests.secondJoint[second[i].Contest]; at[j] == nil {
				at[j] = &second[i]
			}
		}
		primary := placements(ps.p, primaryStyles)
		for i := range primary {
			s := at[ps.contests.primaryJoint[primary[i].Contest]]
			if s == nil {
				continue
			}
			k := main[primary[i].Contest]
			if k < 0 || ps.contests.pairs[k].second != s.Contest {
				var ok bool
				if k, ok = pairAt[[2]int{primary[i].Contest, s.Contest}]; !ok {
					continue
				}
			}
			ps.meetings[k] = append(ps.meetings[k], meeting{f, &primary[i], s})
		}
		for i := range second {
			at[ps.contests.secondJoint[second[i].Contest]] = nil
		}
	}
}
