package checks

import (
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
)

// redraw keeps the districts of own in step with its ballots. Where a contest was
// put onto a precinct's ballot or taken off, and the district had agreed with what
// was wrong, it is drawn as the other side's ballots are: a boundary that was moved
// is moved back.
func (r *repair) redraw() {
	type change struct {
		district, precinct int
		on                 bool
	}
	if len(r.to.Precincts) < len(r.own.Precincts) || len(r.own.Districts) == 0 {
		return
	}
	// By joint number: the versions of a contest are one here.
	standing := func(styles []model.Style) []pairing.Set {
		on := make([]pairing.Set, r.ds.Contests.Keys)
		for j := range on {
			on[j] = pairing.NewSet(len(r.own.Precincts))
		}
		for s := range styles {
			for _, pl := range styles[s].Content {
				for _, p := range styles[s].Precincts {
					if p < len(r.own.Precincts) {
						on[r.joint(pl.Contest)].Add(p)
					}
				}
			}
		}
		return on
	}
	before, after := standing(r.own.Styles), standing(r.to.Styles)
	right := make([]pairing.Set, r.ds.Contests.Keys) // as the other side has it
	for j := range right {
		right[j] = pairing.NewSet(len(r.own.Precincts))
	}
	for a := range r.ds.Precincts.Areas {
		for _, s := range r.other.StylesOf[r.otherPrecinctIn(a)] {
			for _, pl := range r.other.Styles[s].Content {
				right[r.otherJoint(pl.Contest)].Add(r.precinctIn(a))
			}
		}
	}
	// A precinct is in a district, or out of it, with all contests of the district: one
	// that the other side has nowhere counts for nothing.
	agreed := func(district, precinct int, on bool) bool {
		for c := range r.own.Contests {
			if d, j := r.own.Contests[c].District, r.joint(c); d.Known && d.Value == district && after[j].Count() > 0 && right[j].Count() > 0 && right[j].Has(precinct) != on {
				return false
			}
		}
		return true
	}
	var changes []change
	for c := range r.own.Contests {
		d, j := r.own.Contests[c].District, r.joint(c)
		if !d.Known || len(r.own.Districts[d.Value].Precincts) == 0 || after[j].Count() == 0 || pairing.Apart(before[j], after[j]) == 0 {
			continue
		}
		for p := range r.own.Precincts {
			was, is := before[j].Has(p), after[j].Has(p)
			if was != is && is == right[j].Has(p) && slices.Contains(r.own.Districts[d.Value].Precincts, p) == was && agreed(d.Value, p, is) {
				changes = append(changes, change{d.Value, p, is})
			}
		}
	}
	for _, ch := range changes {
		list := slices.DeleteFunc(slices.Clone(r.to.Districts[ch.district].Precincts), func(p int) bool { return p == ch.precinct })
		if ch.on {
			list = append(list, ch.precinct)
			slices.Sort(list)
		}
		r.to.Districts[ch.district].Precincts = list
	}
}

// draw puts a new precinct of own into the districts of the contests on its
// ballots.
func (r *repair) draw(precinct int) {
	for _, st := range r.to.Styles {
		if !slices.Contains(st.Precincts, precinct) {
			continue
		}
		for _, pl := range st.Content {
			d := r.to.Contests[pl.Contest].District
			if !d.Known || slices.Contains(r.to.Districts[d.Value].Precincts, precinct) {
				continue
			}
			r.to.Districts[d.Value].Precincts = append(slices.Clone(r.to.Districts[d.Value].Precincts), precinct)
		}
	}
}
