package checks

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// precinct is own's precinct for one of the other side's; own is given one that
// it lacks, with its ballots and on the cards that name it.
func (r *repair) precinct(o int) int {
	if i := r.toOwn(r.ds.Precincts.ToSecond, r.ds.Precincts.ToPrimary)[o]; i >= 0 {
		return i
	}
	if i, ok := r.precincts[o]; ok {
		return i
	}
	from := r.other.Precincts[o]
	p := model.Precinct{Name: slices.Clone(from.Name), Number: from.Number, Kind: from.Kind}
	if r.statesSites() {
		p.Sites = r.siteUses(from.Sites)
	}
	r.to.Precincts = append(r.to.Precincts, p)
	i := len(r.to.Precincts) - 1
	setOrigin(&r.to.Origins.Precincts, i, identity(r.other.Origins.Precinct(o)))
	r.precincts[o] = i
	for _, s := range r.other.StylesOf[o] {
		r.give(s, []int{i})
	}
	r.name(i, o)
	if len(r.other.StylesOf[o]) > 0 {
		r.draw(i)
		return i
	}
	// It votes with others: with those that join it, or as those that it joins.
	toOwn := r.toOwn(r.ds.Precincts.ToSecond, r.ds.Precincts.ToPrimary)
	for _, within := range r.other.Within[o] {
		if w := toOwn[within]; w >= 0 {
			r.to.Precincts[w].Members = append(r.to.Precincts[w].Members, i)
		}
	}
	for _, m := range from.Members {
		if w := toOwn[m]; w >= 0 {
			r.to.Precincts[i].Members = append(r.to.Precincts[i].Members, w)
		}
	}
	return i
}

// name puts a new precinct of own into the card headers that name the other
// side's.
func (r *repair) name(precinct, o int) {
	for u, own := range r.toOwn(r.ds.Units.ToSecond, r.ds.Units.ToPrimary) {
		if own < 0 || !slices.Contains(r.other.Units[u].Precincts.Value, o) || !r.to.Units[own].Precincts.Known {
			continue
		}
		header := append(slices.Clone(r.to.Units[own].Precincts.Value), precinct)
		slices.Sort(header)
		r.to.Units[own].Precincts.Value = header
	}
}

func (r *repair) statesSites() bool {
	return slices.ContainsFunc(r.own.Precincts, func(p model.Precinct) bool { return p.Sites.Known })
}

func (r *repair) siteUses(list model.Stated[[]model.SiteUse]) model.Stated[[]model.SiteUse] {
	out := model.Stated[[]model.SiteUse]{Known: list.Known}
	for _, u := range list.Value {
		out.Value = append(out.Value, model.SiteUse{Site: r.site(u.Site), Use: u.Use})
	}
	return out
}

// dropPrecincts takes precincts out of own, and out of its card headers.
func (r *repair) dropPrecincts(gone map[int]bool) {
	at, next := make([]int, len(r.to.Precincts)), 0
	for i := range at {
		at[i] = -1
		if !gone[i] {
			at[i] = next
			next++
		}
	}
	kept := func(list []int) []int {
		if list == nil {
			return nil
		}
		out := make([]int, 0, len(list))
		for _, i := range list {
			if at[i] >= 0 {
				out = append(out, at[i])
			}
		}
		return out
	}
	for u := range r.to.Units {
		r.to.Units[u].Precincts.Value = kept(r.to.Units[u].Precincts.Value)
	}
	for s := range r.to.Styles {
		r.to.Styles[s].Precincts = kept(r.to.Styles[s].Precincts)
	}
	for d := range r.to.Districts {
		r.to.Districts[d].Precincts = kept(r.to.Districts[d].Precincts)
	}
	for i := range r.to.Precincts {
		r.to.Precincts[i].Members = kept(r.to.Precincts[i].Members)
	}
	r.to.Precincts, r.to.Origins.Precincts = without(r.to.Precincts, r.to.Origins.Precincts, func(i int) bool { return gone[i] })
}

// havePrecinct adds or removes a precinct with its ballots: index of the second
// entry (ofSecond) or of the primary.
func havePrecinct(f *finding.Finding, index int, ofSecond bool) mending {
	lacking := finding.SidePrimary
	if !ofSecond {
		lacking = finding.SideSecond
	}
	return having(lacking, "precinct "+strings.Join(f.Precincts, ", "), func(r *repair) {
		if r.second != ofSecond {
			r.precinct(index)
			return
		}
		gone := map[int]bool{index: true}
		// Precincts that voted with this one alone go with it.
		toOther := r.toOther(r.ds.Precincts.ToSecond, r.ds.Precincts.ToPrimary)
		for i := range r.own.Precincts {
			if c := pairing.Carriers(r.own, i); toOther[i] < 0 && len(c) == 1 && c[0] == index {
				gone[i] = true
			}
		}
		r.dropPrecincts(gone)
	})
}

// haveBallot gives a precinct of the primary's ballots to the second entry's
// precinct (ofSecond false), or the other way round, where both know the precinct.
func haveBallot(f *finding.Finding, own, other int, ofSecond bool) mending {
	m := mending{pair: -1, primary: actionAdd, second: actionAdd, what: "ballot of precinct " + strings.Join(f.Precincts, ", "),
		do: func(r *repair) {
			given := map[int]bool{}
			for _, c := range pairing.Carriers(r.other, other) {
				for _, s := range r.other.StylesOf[c] {
					if !given[s] {
						given[s] = true
						r.give(s, []int{own})
					}
				}
			}
		}}
	if ofSecond {
		return m.only(finding.SidePrimary)
	}
	return m.only(finding.SideSecond)
}
