package difference

import (
	"counterproof/checks/pairing"
	"counterproof/model"
)

// sharedPlacements lists, for each pair of contests, the faces on which both sides print them.
type sharedPlacements struct {
	all   []sharedPlacement // a county has very many: those of a pair are linked, not copied
	first []int             // by pair of contests: its first index in all; -1 for none
}

type sharedPlacement struct {
	primary, second *model.Placement
	face, next      int32
}

// each visits the faces on which both sides print a pair of contests, in order, with both
// placements.
func (s *sharedPlacements) each(pair int, visit func(face int, primary, second *model.Placement)) {
	for i := s.first[pair]; i >= 0; i = int(s.all[i].next) {
		visit(int(s.all[i].face), s.all[i].primary, s.all[i].second)
	}
}

// findShared finds, for each pair of contests, the faces that print both.
func findShared(pg *pairing.Pairing, faces []Face) *sharedPlacements {
	pairAt := map[[2]int]int{}
	for k, m := range pg.Contests.Pairs {
		pairAt[[2]int{m.Primary, m.Second}] = k
	}
	main := pairing.Filled(len(pg.Primary.Compared)) // the main pair of each contest, to avoid map look-ups
	for k, m := range pg.Contests.Pairs {
		if !m.Variant {
			main[m.Primary] = k
		}
	}
	most := 0
	for f := range faces {
		for _, st := range faces[f].Primary {
			most += len(pg.Primary.Styles[st].Content)
		}
	}
	out := &sharedPlacements{make([]sharedPlacement, 0, most), pairing.Filled(len(pg.Contests.Pairs))}
	last := pairing.Filled(len(pg.Contests.Pairs))
	at := make([]*model.Placement, pg.Contests.Keys)
	for f := range faces {
		fc := &faces[f]
		primaryStyles, secondStyles := fc.Primary, fc.Second
		if fc.Carried >= 0 { // a ballot of another style is compared with that style
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
			k := main[primary[i].Contest]
			key := pg.Contests.PrimaryKey[primary[i].Contest]
			if k >= 0 && pg.Contests.Exchanges.Placed[k] { // its choices are those of the other contest
				key = pg.Contests.SecondKey[pg.Contests.Pairs[k].Second]
			}
			s := at[key]
			if s == nil {
				continue
			}
			if k < 0 || pg.Contests.Pairs[k].Second != s.Contest {
				var ok bool
				if k, ok = pairAt[[2]int{primary[i].Contest, s.Contest}]; !ok {
					continue
				}
			}
			n := len(out.all)
			out.all = append(out.all, sharedPlacement{&primary[i], s, int32(f), -1})
			if last[k] < 0 {
				out.first[k] = n
			} else {
				out.all[last[k]].next = int32(n)
			}
			last[k] = n
		}
		for i := range second {
			at[pg.Contests.SecondKey[second[i].Contest]] = nil
		}
	}
	return out
}
