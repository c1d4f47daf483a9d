package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/natural"
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
day. Combined and split precincts stand for their members. Where the primary states
headers at all, a unit without one has an empty one. Graded must-fix.`,
	Example: `Unit 1042: the header lacks 3-01 and names 3-03, which votes at Grange Hall`,
	find:    findUnitHeader,
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
		f.Site = cmp.Or(siteOf(ps.s, ps.s.Units[si]), f.Site)
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
	places := ps.cards
	for j := range ps.s.Units {
		if ps.units.toPrimary[j] >= 0 {
			continue
		}
		f := ps.aboutUnit(Finding{Check: "unit-absent", Grade: MustFix, Precincts: ps.secondNames(ps.s.Units[j].Precincts.Value)}, -1, j)
		f.Second = f.Unit
		switch other := places.otherName(1, j); {
		case places.named[1][f.Unit] > 1:
			f.Message = fmt.Sprintf("Unit %s was keyed more often than the primary has it.", f.Unit)
		case other != "":
			f.Message = fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name; %s.", f.Unit, other)
		default:
			f.Message = fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name.", f.Unit)
		}
		ps.report(f, ps.unitSubject(-1, j)).mend(haveUnit(&f, j, true))
	}
}

func findUnitUnkeyed(ps *pass) {
	if !ps.bothStateUnits() {
		return
	}
	places := ps.cards
	for i := range ps.p.Units {
		if ps.units.toSecond[i] >= 0 {
			continue
		}
		f := ps.aboutUnit(Finding{Check: "unit-unkeyed", Grade: MustFix, Precincts: ps.primaryNames(ps.p.Units[i].Precincts.Value)}, i, -1)
		f.Primary = f.Unit
		switch other := places.otherName(0, i); {
		case places.named[0][f.Unit] > 1:
			f.Message = fmt.Sprintf("The primary has unit %s more often than it was keyed.", f.Unit)
		case other != "":
			f.Message = fmt.Sprintf("The primary has a unit %s, which was not keyed; %s.", f.Unit, other)
		default:
			f.Message = fmt.Sprintf("The primary has a unit %s, which was not keyed.", f.Unit)
		}
		ps.report(f, ps.unitSubject(i, -1)).mend(haveUnit(&f, i, false))
	}
}

func statesHeaders(v *view) bool {
	return slices.ContainsFunc(v.Units, func(u model.Unit) bool { return u.Precincts.Known })
}

func findUnitHeader(ps *pass) {
	places := ps.cards
	// Where the primary states card headers at all, a unit without one has an empty one.
	headers := statesHeaders(ps.p)
	for i, j := range ps.units.toSecond {
		if j < 0 {
			continue
		}
		if places.another(i, j) != "" {
			ps.claims.add("unit", i, "Precincts", "Unknown")
			continue // unit-site tells of site and card
		}
		a, b := ps.p.Units[i], ps.s.Units[j]
		if !a.Precincts.Known && headers {
			a.Precincts = model.Say[[]int](nil)
		}
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
		f.Primary = strings.Join(append(natural.Sorted(ps.primaryNames(a.Precincts.Value)), natural.Sorted(a.Unknown)...), ", ")
		f.Second = strings.Join(append(natural.Sorted(ps.secondNames(b.Precincts.Value)), natural.Sorted(b.Unknown)...), ", ")
		var parts []string
		if len(lacks) > 0 {
			parts = append(parts, "lacks "+strings.Join(natural.Sorted(lacks), ", ")+ps.elsewhere(lacks, f.Site))
		}
		if len(names) > 0 {
			parts = append(parts, "names "+strings.Join(natural.Sorted(names), ", ")+ps.elsewhere(names, f.Site))
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
			f.Message += fmt.Sprintf(" The export holds no precinct %s.", strings.Join(natural.Sorted(a.Unknown), ", "))
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

// elsewhere says where precincts vote that one side names on a unit of another site.
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
	return verb + slices.Sorted(maps.Keys(at))[0]
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
	// The load is the primary's. Where its header is short of a precinct that it does
	// not hold, which another finding says, the keyed one tells what the card will have.
	load := func(v *view, i int) int {
		if i < 0 || unitUse(v.Units[i]) != model.UseElectionDay {
			return 0
		}
		return len(v.Units[i].Precincts.Value) + len(v.Units[i].Unknown)
	}
	report := func(pi, si int) {
		x, y := load(ps.p, pi), load(ps.s, si)
		if max(x, y) <= limit {
			return
		}
		f := ps.aboutUnit(Finding{Check: "unit-load", Grade: Confirm}, pi, si)
		if spoken[f.Unit] {
			return
		}
		if x > limit || si < 0 {
			f.Precincts = ps.primaryNames(ps.p.Units[pi].Precincts.Value)
		} else {
			f.Precincts = ps.secondNames(ps.s.Units[si].Precincts.Value)
		}
		if pi >= 0 {
			f.Primary = countOf(x, "precinct")
		}
		if si >= 0 {
			f.Second = countOf(y, "precinct")
		}
		n := x
		if x <= limit {
			n = y
		}
		f.Message = fmt.Sprintf("Unit %s has %s in its card header; the limit is %d.", f.Unit, countOf(n, "precinct"), limit)
		if pi >= 0 && x <= limit {
			f.Message = fmt.Sprintf("Unit %s was keyed with %s in its card header; the limit is %d.", f.Unit, countOf(n, "precinct"), limit)
		}
		ps.report(f, ps.unitSubject(pi, si))
	}
	for i := range ps.p.Units {
		report(i, ps.units.toSecond[i])
	}
	if len(ps.p.Units) == 0 {
		for j := range ps.s.Units {
			report(-1, j)
		}
	}
}
