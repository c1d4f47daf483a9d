package difference

import (
	"slices"

	"counterproof/checks/pairing"
)

// Straying is where a contest is missing from its district and where it stands
// outside, by precinct of the primary.
type Straying struct {
	Missing, Stray []int
	Nowhere        bool // it is on no ballot of the district and on none outside
}

// findStrays compares the district of each contest of the primary with its ballots.
func (ds *Differences) findStrays() []Straying {
	out := make([]Straying, len(ds.Primary.Contests))
	withBallot := pairing.NewSet(len(ds.Primary.Precincts))
	for i := range ds.Primary.Precincts {
		// A ballot without any contest is a style-conflict.
		if slices.ContainsFunc(ds.Primary.StylesOf[i], func(s int) bool { return len(ds.Primary.Styles[s].Content) > 0 }) {
			withBallot.Add(i)
		}
	}
	versions := make([][]int, ds.Contests.Keys)
	for i, j := range ds.Contests.PrimaryKey {
		versions[j] = append(versions[j], i)
	}
	for ci := range ds.Primary.Contests {
		d := ds.Primary.Contests[ci].District
		if !d.Known {
			continue
		}
		inside := pairing.NewSet(len(ds.Primary.Precincts))
		drawn := false // also by members alone of precincts that vote together
		for _, i := range ds.Primary.Districts[d.Value].Precincts {
			if withBallot.Has(i) {
				inside.Add(i)
			}
			drawn = drawn || withBallot.Has(i) || slices.ContainsFunc(ds.Primary.Within[i], withBallot.Has)
		}
		if !drawn {
			continue
		}
		on := pairing.NewSet(len(ds.Primary.Precincts)) // of the contest in any of its versions
		for _, other := range versions[ds.Contests.PrimaryKey[ci]] {
			for w := range on {
				on[w] |= ds.Primary.On[other][w]
			}
		}
		s := &out[ci]
		for w := range inside {
			for _, i := range (pairing.Set{inside[w] &^ on[w]}).List() {
				s.Missing = append(s.Missing, w*64+i)
			}
			for _, i := range (pairing.Set{on[w] &^ inside[w]}).List() {
				s.Stray = append(s.Stray, w*64+i)
			}
		}
		s.Nowhere = inside.Count() > 0 && len(s.Missing) == inside.Count() && len(s.Stray) == 0
	}
	return out
}
