package checks

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// header says in own's precincts which the other side's card header names.
// Precincts that own does not know are put in.
func (r *repair) header(list []int) []int {
	want := map[int]bool{} // what the header covers, as leaves
	for _, n := range r.ds.Leaves(r.other, list) {
		want[n] = true
	}
	var out []int
	covered := map[int]bool{}
	take := func(i int) {
		out = append(out, i)
		for _, n := range r.ds.Leaves(r.own, []int{i}) {
			covered[n] = true
		}
	}
	toOwn := r.toOwn(r.ds.Precincts.ToSecond, r.ds.Precincts.ToPrimary)
	for _, o := range list {
		if toOwn[o] >= 0 {
			take(toOwn[o])
		}
	}
	var rest []int
	for _, o := range list {
		if toOwn[o] < 0 && !coversAll(covered, r.ds.Leaves(r.other, []int{o})) {
			rest = append(rest, o)
		}
	}
	if len(rest) > 0 { // a combined precinct stands for its members
		for i := range r.own.Precincts {
			n := r.ds.Leaves(r.own, []int{i})
			if !slices.Contains(out, i) && coversAll(want, n) && !coversAll(covered, n) {
				take(i)
			}
		}
	}
	for _, o := range rest {
		if !coversAll(covered, r.ds.Leaves(r.other, []int{o})) {
			out = append(out, r.precinct(o))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func coversAll(covered map[int]bool, leaves []int) bool {
	for _, n := range leaves {
		if !covered[n] {
			return false
		}
	}
	return true
}

// haveUnit adds or removes a voting unit: index of the second entry (ofSecond) or
// of the primary.
func haveUnit(f *finding.Finding, index int, ofSecond bool) mending {
	lacking := finding.SidePrimary
	if !ofSecond {
		lacking = finding.SideSecond
	}
	return having(lacking, thing(f), func(r *repair) {
		if r.second == ofSecond {
			r.to.Units, r.to.Origins.Units = without(r.to.Units, r.to.Origins.Units, func(i int) bool { return i == index })
			return
		}
		u := r.other.Units[index]
		u.Unknown = slices.Clone(u.Unknown)
		if u.Site.Known {
			u.Site = model.Say(r.site(u.Site.Value))
		}
		if u.Precincts.Known {
			u.Precincts = model.Say(r.header(u.Precincts.Value))
		}
		r.to.Units = append(r.to.Units, u)
		setOrigin(&r.to.Origins.Units, len(r.to.Units)-1, identity(r.other.Origins.Unit(index)))
	})
}

// units are own's and the other side's unit of a pair.
func (r *repair) units(primary, second int) (own, other *model.Unit) {
	if r.second {
		return &r.to.Units[second], &r.other.Units[primary]
	}
	return &r.to.Units[primary], &r.other.Units[second]
}

func setHeader(f *finding.Finding, primary, second int) mending {
	return setting(f, "card header of "+thing(f), func(r *repair) {
		own, other := r.units(primary, second)
		if r.ds.Second.Units[second].Precincts.Known && (r.ds.Primary.Units[primary].Precincts.Known || statesHeaders(r.ds.Primary)) {
			unknown := slices.Clone(other.Unknown)
			own.Precincts, own.Unknown = model.Say(r.header(other.Precincts.Value)), unknown
		}
		if own.Use.Known && other.Use.Known {
			own.Use = other.Use
		}
	})
}

func setUnitSite(f *finding.Finding, primary, second int) mending {
	return setting(f, "site of "+thing(f), func(r *repair) {
		own, other := r.units(primary, second)
		if !other.Site.Known {
			own.Site = model.Stated[int]{}
			return
		}
		own.Site = model.Say(r.site(other.Site.Value))
	})
}

// setUnitPlace gives a unit the site and the card that the other side states.
func setUnitPlace(f *finding.Finding, primary, second int) mending {
	return setting(f, "site and card of "+thing(f), func(r *repair) {
		own, other := r.units(primary, second)
		own.Site = model.Say(r.site(other.Site.Value))
		own.Precincts, own.Unknown = model.Say(r.header(other.Precincts.Value)), slices.Clone(other.Unknown)
	})
}

func setSiteName(f *finding.Finding, primary, second int) mending {
	return setting(f, "name of the site "+finding.Quote(f.Site), func(r *repair) {
		own, words := primary, r.ds.Second.SiteName[second]
		if r.second {
			own, words = second, r.ds.Primary.SiteName[primary]
		}
		r.to.Sites[own].Name = r.reword(r.to.Sites[own].Name, words)
	})
}

// setPrecinctSites gives precincts of a pair, by the second entry's numbers, the
// sites at which the other side says that they vote, for one use.
func setPrecinctSites(f *finding.Finding, seconds []int, use model.Use) mending {
	return setting(f, "polling site of "+strings.Join(briefly(f.Precincts), ", "), func(r *repair) {
		for _, j := range seconds {
			i := r.ds.Precincts.ToPrimary[j]
			if i < 0 {
				continue
			}
			own, there := i, r.ds.Second.Precincts[j].Sites.Value
			have := sitesOfPrimary(r.ds, i)
			if r.second {
				own, there, have = j, have, there
			}
			var list []model.SiteUse
			for _, u := range have {
				if len(sitesFor([]model.SiteUse{u}, use)) == 0 {
					list = append(list, u)
				}
			}
			for _, site := range sitesFor(there, use) {
				list = append(list, model.SiteUse{Site: r.site(site), Use: use})
			}
			r.to.Precincts[own].Sites = model.Say(list)
		}
	})
}
