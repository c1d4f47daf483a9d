package difference

import (
	"slices"

	"counterproof/checks/pairing"
)

// Straying lists where a contest is missing inside its district and where it is printed outside, by
// precinct of the export.
type Straying struct {
	Missing, Stray []int
	Nowhere        bool // it is on no ballot of the district and on none outside
}

// findStrays compares the district of each contest of the export with the contest's ballots.
func findStrays(pg *pairing.Pairing) []Straying {
	out := make([]Straying, len(pg.Primary.Contests))
	withBallot := pairing.NewSet(len(pg.Primary.Precincts))
	for i := range pg.Primary.Precincts {
		// A ballot without any contest is a style-conflict.
		if slices.ContainsFunc(pg.Primary.StylesOf[i], func(s int) bool { return len(pg.Primary.Styles[s].Content) > 0 }) {
			withBallot.Add(i)
		}
	}
	versions := make([][]int, pg.Contests.Keys)
	for i, j := range pg.Contests.PrimaryKey {
		versions[j] = append(versions[j], i)
	}
	for ci := range pg.Primary.Contests {
		d := pg.Primary.Contests[ci].District
		if !d.Known {
			continue
		}
		inside := pairing.NewSet(len(pg.Primary.Precincts))
		drawn := false // also by the members of precincts that vote together
		for _, i := range pg.Primary.Districts[d.Value].Precincts {
			if withBallot.Has(i) {
				inside.Add(i)
			}
			drawn = drawn || withBallot.Has(i) || slices.ContainsFunc(pg.Primary.Within[i], withBallot.Has)
		}
		if !drawn {
			continue
		}
		on := pairing.NewSet(len(pg.Primary.Precincts)) // precincts with the contest in any of its versions
		for _, other := range versions[pg.Contests.PrimaryKey[ci]] {
			for w := range on {
				on[w] |= pg.Primary.On[other][w]
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
