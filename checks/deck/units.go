package deck

import (
	"slices"

	"counterproof/model"
)

// OfUnit are the tallies of a unit that is fed the ballots of the precincts in its header: those of
// the whole deck, with the unit. They share their votes with the key's.
func (k *Key) OfUnit(e *model.Election, unit int) []Tally {
	var out []Tally
	for _, t := range k.Tallies {
		if _, in := slices.BinarySearch(e.Units[unit].Precincts.Value, t.Precinct); in {
			t.Unit = unit
			out = append(out, t)
		}
	}
	return out
}

// ByUnit are the tallies of all units, as OfUnit gives them, and the precincts of the deck that no unit
// is fed the ballots of. It is an error if they are too many.
func (k *Key) ByUnit(e *model.Election) (tallies []Tally, unfed []string, err error) {
	of := map[int][]Tally{} // by precinct
	var precincts []int
	for _, t := range k.Tallies {
		if of[t.Precinct] == nil {
			precincts = append(precincts, t.Precinct)
		}
		of[t.Precinct] = append(of[t.Precinct], t)
	}
	counts := 0
	fed := map[int]bool{}
	for u := range e.Units {
		for _, p := range e.Units[u].Precincts.Value {
			fed[p] = true
			for _, t := range of[p] {
				if counts += others + len(t.Votes)*(1+len(t.Ranks)); counts > mostCounts {
					return nil, nil, errTooLarge
				}
				t.Unit = u
				tallies = append(tallies, t)
			}
		}
	}
	for _, p := range precincts {
		if !fed[p] {
			unfed = append(unfed, precinctLabel(e, p))
		}
	}
	return tallies, unfed, nil
}
