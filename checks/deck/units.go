package deck

import (
	"cmp"
	"slices"

	"counterproof/model"
)

// OfUnit are the tallies of a unit that is fed the ballots of the precincts in its header: those of
// the whole deck, as Count gives them, with the unit. They share their votes with the key's.
func (k *Key) OfUnit(e *model.Election, unit int) []Tally {
	var out []Tally
	for _, p := range e.Units[unit].Precincts.Value {
		first, _ := slices.BinarySearchFunc(k.Tallies, p, func(t Tally, p int) int { return cmp.Compare(t.Precinct, p) })
		for i := first; i < len(k.Tallies) && k.Tallies[i].Precinct == p; i++ {
			t := k.Tallies[i]
			t.Unit = unit
			out = append(out, t)
		}
	}
	return out
}

// ByUnit are the tallies of all units, as OfUnit gives them, and the precincts of the deck that no unit
// is fed the ballots of. It is an error if they are too many.
func (k *Key) ByUnit(e *model.Election) (tallies []Tally, unfed []string, err error) {
	counts := 0
	fed := map[int]bool{}
	for u := range e.Units {
		of := k.OfUnit(e, u)
		for _, t := range of {
			fed[t.Precinct] = true
			counts += others + len(t.Votes)*(1+len(t.Ranks))
		}
		if counts > mostCounts {
			return nil, nil, errTooLarge
		}
		tallies = append(tallies, of...)
	}
	for i, t := range k.Tallies {
		if !fed[t.Precinct] && (i == 0 || k.Tallies[i-1].Precinct != t.Precinct) {
			unfed = append(unfed, precinctLabel(e, t.Precinct))
		}
	}
	return tallies, unfed, nil
}
