package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
)

var unitAbsent = &Check{
	Code:    "unit-absent",
	Purpose: "a voting unit that only the second entry knows",
	Doc: `A voting unit was keyed, and the primary has none of that name. Units are not compared
at all where one side states none. Graded must-fix.`,
	Example: `Unit 1042: keyed, and not in the primary`,
	find:    findUnitAbsent,
}

var unitUnkeyed = &Check{
	Code:    "unit-unkeyed",
	Purpose: "a voting unit that only the primary knows",
	Doc:     `The primary has a voting unit that was not keyed. Graded must-fix.`,
	Example: `Unit 1043: in the primary, and not keyed`,
	find:    findUnitUnkeyed,
}

var unitHeader = &Check{
	Code:    "unit-header",
	Purpose: "the precincts in a unit's card header differ",
	Doc: `The precincts named in the header of a unit's memory card, and what the unit is used
for, are compared. A card with another site's precincts turns voters away on election
day. Combined and split precincts stand for their members. Graded must-fix.`,
	Example: `Unit 1042: the header lacks 3-01 and names 3-03, which votes at Grange Hall`,
	find:    findUnitHeader,
}

var unitSite = &Check{
	Code:    "unit-site",
	Purpose: "the unit, or the precinct, is at another polling site",
	Doc: `The polling site of a unit, or of a precinct, differs; or one site is called otherwise.
Precincts that moved together are one finding. Graded must-fix; a site whose name differs
a little is graded confirm.`,
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

var unitLoad = &Check{
	Code:     "unit-load",
	Purpose:  "more precincts on one election-day unit than the limit allows",
	Doc:      `The limit is 10 unless set otherwise (common practice, no source). Graded confirm.`,
	Example:  `Unit 1042: 14 precincts in the header`,
	find:     findUnitLoad,
	inspects: true,
}

// bothStateUnits is false where one side says nothing about voting units: then
// nothing is compared, and the coverage says so.
func (ps *pass) bothStateUnits() bool { return len(ps.p.Units) > 0 && len(ps.s.Units) > 0 }

func unitUse(u model.Unit) model.Use {
	if u.Use.Known && u.Use.Value != "" {
		return u.Use.Value
	}
	return model.UseElectionDay
}

func siteOf(v *view, u model.Unit) string {
	if u.Site.Known {
		return v.siteName[u.Site.Value]
	}
	return ""
}

func (ps *pass) aboutUnit(f Finding, pi, si int) Finding {
	if pi >= 0 {
		f.Unit, f.Site = ps.p.unitName(pi), siteOf(ps.p, ps.p.Units[pi])
		f.Look.Primary = place("ReportingDevice", ps.p.Origins.Unit(pi))
	}
	if si >= 0 {
		f.Unit = ps.s.unitName(si)
		f.Site = firstOf(siteOf(ps.s, ps.s.Units[si]), f.Site)
		f.Look.Second = place("unit", ps.s.Origins.Unit(si))
	}
	return f
}

// unitSubject tells the cards of one unit apart by their use.
func (ps *pass) unitSubject(pi, si int) string {
	if si >= 0 {
		return string(unitUse(ps.s.Units[si]))
	}
	return string(unitUse(ps.p.Units[pi]))
}

func findUnitAbsent(ps *pass) {
	if !ps.bothStateUnits() {
		return
	}
	for j := range ps.s.Units {
		if ps.units.toPrimary[j] >= 0 {
			continue
		}
		f := ps.aboutUnit(Finding{Check: "unit-absent", Grade: MustFix, Precincts: ps.secondNames(ps.s.Units[j].Precincts.Value)}, -1, j)
		f.Second = f.Unit
		f.Message = fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name.", f.Unit)
		ps.report(f, ps.unitSubject(-1, j)).mend(haveUnit(&f, j, true))
	}
}

func findUnitUnkeyed(ps *pass) {
	if !ps.bothStateUnits() {
		return
	}
	for i := range ps.p.Units {
		if ps.units.toSecond[i] >= 0 {
			continue
		}
		f := ps.aboutUnit(Finding{Check: "unit-unkeyed", Grade: MustFix, Precincts: ps.primaryNames(ps.p.Units[i].Precincts.Value)}, i, -1)
		f.Primary = f.Unit
		f.Message = fmt.Sprintf("The primary has a unit %s, which was not keyed.", f.Unit)
		ps.report(f, ps.unitSubject(i, -1)).mend(haveUnit(&f, i, false))
	}
}

func findUnitHeader(ps *pass) {
	for i, j := range ps.units.toSecond {
		if j < 0 {
			continue
		}
		a, b := ps.p.Units[i], ps.s.Units[j]
		var lacks, names []string // as the primary has it
		if a.Precincts.Known && b.Precincts.Known {
			x, y := ps.leaves(ps.p, a.Precincts.Value), ps.leaves(ps.s, b.Precincts.Value)
			for _, n := range y {
				if !slices.Contains(x, n) && !ps.strange(n) {
					lacks = append(lacks, ps.leafName(n))
				}
			}
			for _, n := range x {
				if !slices.Contains(y, n) && !ps.strange(n) {
					names = append(names, ps.leafName(n))
				}
			}
			for _, n := range b.Unknown {
				if !slices.Contains(a.Unknown, n) {
					lacks = append(lacks, n)
				}
			}
			for _, n := range a.Unknown {
				if !slices.Contains(b.Unknown, n) {
					names = append(names, n)
				}
			}
		}
		useDiffers := a.Use.Known && b.Use.Known && unitUse(a) != unitUse(b)
		ps.claims.add("unit", i, "Precincts", "Unknown", "Use")
		if len(lacks)+len(names) == 0 && !useDiffers {
			continue
		}
		f := ps.aboutUnit(Finding{Check: "unit-header", Grade: MustFix, Precincts: append(slices.Clone(lacks), names...)}, i, j)
		f.Primary = strings.Join(append(sortNames(ps.primaryNames(a.Precincts.Value)), sortNames(a.Unknown)...), ", ")
		f.Second = strings.Join(append(sortNames(ps.secondNames(b.Precincts.Value)), sortNames(b.Unknown)...), ", ")
		var parts []string
		if len(lacks) > 0 {
			parts = append(parts, "lacks "+strings.Join(sortNames(lacks), ", "))
		}
		if len(names) > 0 {
			parts = append(parts, "names "+strings.Join(sortNames(names), ", ")+ps.elsewhere(names, f.Site))
		}
		if useDiffers {
			parts = append(parts, fmt.Sprintf("is for %s instead of %s", unitUse(a), unitUse(b)))
			if len(parts) == 1 {
				f.Precincts = ps.secondNames(b.Precincts.Value)
				f.Primary, f.Second = string(unitUse(a)), string(unitUse(b))
			}
		}
		f.Message = fmt.Sprintf("Unit %s: the card header in the primary %s.", f.Unit, strings.Join(parts, ", and "))
		if len(a.Unknown) > 0 && !slices.Equal(a.Unknown, b.Unknown) {
			f.Message += fmt.Sprintf(" The export holds no precinct %s.", strings.Join(sortNames(a.Unknown), ", "))
		}
		ps.report(f, ps.unitSubject(i, j)).mend(setHeader(&f, i, j))
	}
}

// strange is true for a precinct that only one side knows, which a finding of its
// own says; n is what leaves returns.
func (ps *pass) strange(n int) bool {
	if n >= len(ps.p.Precincts) {
		return true
	}
	return len(ps.p.stylesOf[n]) > 0 && !ps.precincts.keyed[n]
}

// elsewhere says where precincts vote that a unit of another site names.
func (ps *pass) elsewhere(names []string, site string) string {
	at := map[string]bool{}
	for i := range ps.s.Precincts {
		if slices.Contains(names, ps.s.precinctName[i]) {
			for _, u := range ps.s.Precincts[i].Sites.Value {
				at[ps.s.siteName[u.Site]] = true
			}
		}
	}
	if len(at) != 1 || site == "" || at[site] {
		return ""
	}
	verb := ", which votes at "
	if len(names) > 1 {
		verb = ", which vote at "
	}
	return verb + sortedKeys(at)[0]
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
		f.Primary, f.Second = firstOf(siteOf(ps.p, a), "no site"), siteOf(ps.s, b)
		f.Message = fmt.Sprintf("Unit %s is at %s in the primary, and was keyed at %s.", f.Unit, quoteSite(f.Primary), quote(f.Second))
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
			k := move{use, firstOf(siteList(ps.p, x), "no site"), firstOf(siteList(ps.s, y), "no site")}
			moved[k] = append(moved[k], j)
		}
	}
	for k, list := range moved {
		names := sortNames(ps.secondNames(list))
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
	return strings.Join(sortNames(names), ", ")
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
		names := sortNames(ps.primaryNames(list))
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
			if _, ok := slices.BinarySearchFunc(f.Precincts, name, compareNames); ok {
				out[i] = true
			}
		}
	}
	return out
}

func findUnitLoad(ps *pass) {
	limit := ps.opts.UnitLimit
	if limit <= 0 {
		limit = DefaultUnitLimit
	}
	spoken := map[string]bool{}
	for _, f := range ps.found {
		if f.Check == "unit-header" || f.Check == "unit-unkeyed" {
			spoken[f.Unit] = true
		}
	}
	report := func(v *view, i, pi, si int) {
		u := v.Units[i]
		n := len(u.Precincts.Value) + len(u.Unknown)
		if unitUse(u) != model.UseElectionDay || n <= limit {
			return
		}
		f := ps.aboutUnit(Finding{Check: "unit-load", Grade: Confirm}, pi, si)
		if spoken[f.Unit] {
			return
		}
		count := countOf(n, "precinct")
		if pi >= 0 {
			f.Primary, f.Precincts = count, ps.primaryNames(u.Precincts.Value)
		} else {
			f.Precincts = ps.secondNames(u.Precincts.Value)
		}
		if si >= 0 {
			f.Second = count
		}
		f.Message = fmt.Sprintf("Unit %s has %s in its card header; the limit is %d.", f.Unit, count, limit)
		ps.report(f, ps.unitSubject(pi, si))
	}
	for i := range ps.p.Units {
		report(ps.p, i, i, ps.units.toSecond[i])
	}
	if len(ps.p.Units) == 0 {
		for j := range ps.s.Units {
			report(ps.s, j, -1, j)
		}
	}
}
