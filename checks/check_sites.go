package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/natural"
	"counterproof/model"
)

var unitSite = &Check{
	Code:    "unit-site",
	Purpose: "the unit, or the precinct, is at another polling site",
	Doc: `The polling site of a unit, or of a precinct, differs; or one site is called otherwise.
Precincts that moved together are one finding. Graded must-fix; a site whose name differs
a little is graded confirm. A unit that has both the site and the card of another unit
is one finding.`,
	Example: `2-04 votes at Fire House No. 2 in the primary, at Grange Hall as keyed`,
	find:    findUnitSite,
}

var precinctUnserved = &Check{
	Code:    "precinct-unserved",
	Purpose: "no unit of its own site serves a precinct, for a use for which units are configured",
	Doc: `For each use for which the primary has units, a precinct must stand in the header of a
unit at its own site. The site is the primary's, else the one keyed. Graded must-fix.`,
	Example:  `4-03: no election-day unit at Mill Street School has it in its header`,
	find:     findPrecinctUnserved,
	inspects: true,
}

func findUnitSite(ps *pass) {
	// Sites that are one, under two names.
	for i, j := range ps.sites.toSecond {
		if j < 0 || ps.p.siteName[i] == ps.s.siteName[j] {
			continue
		}
		f, differs := wordingFinding("unit-site", ps.p.siteName[i], ps.s.siteName[j])
		if !differs {
			continue
		}
		f.Site = ps.s.siteName[j]
		for p := range ps.s.Precincts {
			for _, u := range ps.s.Precincts[p].Sites.Value {
				if u.Site == j {
					f.Precincts = append(f.Precincts, ps.s.precinctName[p])
				}
			}
		}
		f.Message = fmt.Sprintf("The site keyed as %s is %s in the primary; it differs %s.", quote(f.Second), quote(f.Primary), differsIn(f.Primary, f.Second))
		ps.report(f, "site", f.Site).mend(setSiteName(&f, i, j))
	}
	places := ps.cards
	for i, j := range ps.units.toSecond {
		ps.claims.add("unit", i, "Site")
		if j < 0 {
			continue
		}
		a, b := ps.p.Units[i], ps.s.Units[j]
		if !b.Site.Known || !ps.primaryHasUnitSites() || a.Site.Known && ps.sites.toSecond[a.Site.Value] == b.Site.Value {
			continue
		}
		f := ps.aboutUnit(Finding{Check: "unit-site", Grade: MustFix, Precincts: ps.secondNames(b.Precincts.Value)}, i, j)
		f.Primary, f.Second = cmp.Or(siteOf(ps.p, a), "no site"), siteOf(ps.s, b)
		f.Message = fmt.Sprintf("Unit %s is at %s in the primary, and was keyed at %s.", f.Unit, quoteSite(f.Primary), quote(f.Second))
		if other := places.another(i, j); other != "" {
			f.Precincts = append(f.Precincts, ps.primaryNames(a.Precincts.Value)...)
			f.Message = fmt.Sprintf("Unit %s is at %s with the card of that site in the primary, and was keyed at %s: on one side it stands in the place of unit %s.",
				f.Unit, quote(f.Primary), quote(f.Second), other)
			ps.report(f, ps.unitSubject(i, j)).mend(setUnitPlace(&f, i, j))
			continue
		}
		ps.report(f, ps.unitSubject(i, j)).mend(setUnitSite(&f, i, j))
	}
	ps.findPrecinctSites()
}

func quoteSite(name string) string {
	if name == "no site" {
		return name
	}
	return quote(name)
}

func (ps *pass) primaryHasUnitSites() bool {
	return slices.ContainsFunc(ps.p.Units, func(u model.Unit) bool { return u.Site.Known })
}

func (ps *pass) findPrecinctSites() {
	// Uses for which the primary states sites of precincts.
	stated := map[model.Use]bool{}
	for i := range ps.p.Precincts {
		for _, a := range ps.p.Precincts[i].Sites.Value {
			stated[a.Use] = true
		}
	}
	type move struct {
		use             model.Use
		primary, second string
	}
	moved := map[move][]int{}
	for i, j := range ps.precincts.toSecond {
		if j < 0 || !ps.s.Precincts[j].Sites.Known {
			continue
		}
		for use := range stated {
			x, y := sitesFor(ps.sitesOfPrimary(i), use), sitesFor(ps.s.Precincts[j].Sites.Value, use)
			if len(y) == 0 && (len(x) == 0 || sharesUse(ps.sitesOfPrimary(i), ps.s.Precincts[j].Sites.Value)) {
				continue // no site was keyed for this use, and one was for another
			}
			var joint []int
			for _, site := range x {
				if k := ps.sites.toSecond[site]; k >= 0 {
					joint = append(joint, k)
				} else {
					joint = append(joint, len(ps.s.Sites)+site)
				}
			}
			slices.Sort(joint)
			slices.Sort(y)
			if slices.Equal(joint, y) {
				continue
			}
			k := move{use, cmp.Or(siteList(ps.p, x), "no site"), cmp.Or(siteList(ps.s, y), "no site")}
			moved[k] = append(moved[k], j)
		}
	}
	for k, list := range moved {
		names := natural.Sorted(ps.secondNames(list))
		f := Finding{Check: "unit-site", Grade: MustFix, Precincts: names, Site: k.second, Primary: k.primary, Second: k.second,
			Look: Look{Second: place("precinct", ps.s.Origins.Precinct(list[0]))}}
		if p := ps.precincts.toPrimary[list[0]]; p >= 0 {
			f.Look.Primary = place("GpUnit", ps.p.Origins.Precinct(p))
		}
		where := countPrecincts(names)
		f.Message = fmt.Sprintf("%s %s at %s in the primary, and %s keyed at %s.", strings.ToUpper(where[:1])+where[1:], verb(names, "votes", "vote"), quoteSite(k.primary), verb(names, "was", "were"), quoteSite(k.second))
		if k.use != model.UseElectionDay {
			f.Message = strings.TrimSuffix(f.Message, ".") + fmt.Sprintf(" (%s voting).", k.use)
		}
		ps.report(f, "precinct site", k.second, string(k.use), names[0]).mend(setPrecinctSites(&f, list, k.use))
	}
}

// sharesUse is true where both lists name a site for some use.
func sharesUse(a, b []model.SiteUse) bool {
	return slices.ContainsFunc(a, func(x model.SiteUse) bool {
		return slices.ContainsFunc(b, func(y model.SiteUse) bool { return x.Use == y.Use })
	})
}

// sitesOfPrimary are the sites of a precinct, or of the combined precinct that it
// votes with.
func (ps *pass) sitesOfPrimary(i int) []model.SiteUse {
	if s := ps.p.Precincts[i].Sites; s.Known {
		return s.Value
	}
	for _, c := range carriers(ps.p, i) {
		if s := ps.p.Precincts[c].Sites; s.Known {
			return s.Value
		}
	}
	return nil
}

func sitesFor(list []model.SiteUse, use model.Use) []int {
	var out []int
	for _, u := range list {
		if u.Use == use || u.Use == "" && use == model.UseElectionDay {
			out = append(out, u.Site)
		}
	}
	return out
}

func siteList(v *view, sites []int) string {
	names := make([]string, len(sites))
	for i, s := range sites {
		names[i] = v.siteName[s]
	}
	return strings.Join(natural.Sorted(names), ", ")
}

func findPrecinctUnserved(ps *pass) {
	if !ps.primaryHasUnitSites() {
		return
	}
	// For each use: the sites of its units, and the precincts served there.
	served := map[model.Use]map[int]set{}
	for _, u := range ps.p.Units {
		if !u.Site.Known || !u.Precincts.Known {
			continue
		}
		bySite := served[unitUse(u)]
		if bySite == nil {
			bySite = map[int]set{}
			served[unitUse(u)] = bySite
		}
		if bySite[u.Site.Value] == nil {
			bySite[u.Site.Value] = newSet(len(ps.p.Precincts))
		}
		for _, n := range ps.leaves(ps.p, u.Precincts.Value) {
			bySite[u.Site.Value].add(n)
		}
	}
	explained := ps.explainedBySites()
	type at struct {
		use  model.Use
		site string
	}
	unserved := map[at][]int{}
	for i := range ps.p.Precincts {
		if len(ps.p.stylesOf[i]) == 0 || explained[i] {
			continue
		}
		for use, bySite := range served {
			var sites []int
			if s := ps.p.Precincts[i].Sites; s.Known {
				sites = sitesFor(s.Value, use)
			} else if j := ps.precincts.toSecond[i]; j >= 0 {
				for _, k := range sitesFor(ps.s.Precincts[j].Sites.Value, use) {
					if q := ps.sites.toPrimary[k]; q >= 0 {
						sites = append(sites, q)
					}
				}
			}
			if len(sites) == 0 {
				continue
			}
			var without []int
			leaves := ps.leaves(ps.p, []int{i})
			for _, n := range leaves {
				if !explained[n] && !slices.ContainsFunc(sites, func(s int) bool { return bySite[s].has(n) }) {
					without = append(without, n)
				}
			}
			if len(without) == len(leaves) {
				without = []int{i} // under its own name, not as its parts
			}
			if len(without) > 0 {
				k := at{use, siteList(ps.p, sites)}
				unserved[k] = append(unserved[k], without...)
			}
		}
	}
	for k, list := range unserved {
		names := natural.Sorted(ps.primaryNames(list))
		f := Finding{Check: "precinct-unserved", Grade: MustFix, Precincts: names, Site: k.site, Primary: "no unit"}
		f.Message = fmt.Sprintf("No %s unit at %s has %s in its card header.", k.use, quote(k.site), strings.Join(names, ", "))
		ps.report(f, k.site, string(k.use))
	}
}

// explainedBySites are precincts of the primary about whose site or unit another
// finding speaks.
func (ps *pass) explainedBySites() map[int]bool {
	out := map[int]bool{}
	for _, f := range ps.found {
		switch f.Check {
		case "unit-header", "unit-site", "unit-absent", "unit-unkeyed":
		default:
			continue
		}
		for i := range ps.p.Precincts {
			name := ps.p.precinctName[i]
			if s := ps.precincts.toSecond[i]; s >= 0 {
				name = ps.s.precinctName[s]
			}
			if _, ok := slices.BinarySearchFunc(f.Precincts, name, natural.Compare); ok {
				out[i] = true
			}
		}
	}
	return out
}
