package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
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
func bothStateUnits(ds *difference.Differences) bool {
	return len(ds.Primary.Units) > 0 && len(ds.Second.Units) > 0
}

func findUnitAbsent(ds *difference.Differences, r *reporter) {
	if !bothStateUnits(ds) {
		return
	}
	places := ds.Cards
	for j := range ds.Second.Units {
		if ds.Units.ToPrimary[j] >= 0 {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Check: "unit-absent", Grade: finding.MustFix, Precincts: ds.SecondNames(ds.Second.Units[j].Precincts.Value)}, -1, j)
		f.Second = f.Unit
		switch other := places.OtherName(1, j); {
		case places.Named[1][f.Unit] > 1:
			f.Message = fmt.Sprintf("Unit %s was keyed more often than the primary has it.", f.Unit)
		case other != "":
			f.Message = fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name; %s.", f.Unit, other)
		default:
			f.Message = fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name.", f.Unit)
		}
		r.report(f, ds.UnitSubject(-1, j)).claim(finding.RefTo(finding.Unit, finding.None, j).Claims(finding.Whole)...).mend(haveUnit(&f, j, true))
	}
}

func findUnitUnkeyed(ds *difference.Differences, r *reporter) {
	if !bothStateUnits(ds) {
		return
	}
	places := ds.Cards
	for i := range ds.Primary.Units {
		if ds.Units.ToSecond[i] >= 0 {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Check: "unit-unkeyed", Grade: finding.MustFix, Precincts: ds.PrimaryNames(ds.Primary.Units[i].Precincts.Value)}, i, -1)
		f.Primary = f.Unit
		switch other := places.OtherName(0, i); {
		case places.Named[0][f.Unit] > 1:
			f.Message = fmt.Sprintf("The primary has unit %s more often than it was keyed.", f.Unit)
		case other != "":
			f.Message = fmt.Sprintf("The primary has a unit %s, which was not keyed; %s.", f.Unit, other)
		default:
			f.Message = fmt.Sprintf("The primary has a unit %s, which was not keyed.", f.Unit)
		}
		r.report(f, ds.UnitSubject(i, -1)).claim(finding.RefTo(finding.Unit, i, finding.None).Claims(finding.Whole)...).mend(haveUnit(&f, i, false))
	}
}

func statesHeaders(v *pairing.Side) bool {
	return slices.ContainsFunc(v.Units, func(u model.Unit) bool { return u.Precincts.Known })
}

func findUnitHeader(ds *difference.Differences, r *reporter) {
	places := ds.Cards
	// Where the primary states card headers at all, a unit without one has an empty one.
	headers := statesHeaders(ds.Primary)
	for i, j := range ds.Units.ToSecond {
		if j < 0 {
			continue
		}
		if places.Another(i, j) != "" {
			continue // unit-site tells of site and card
		}
		a, b := ds.Primary.Units[i], ds.Second.Units[j]
		if !a.Precincts.Known && headers {
			a.Precincts = model.Say[[]int](nil)
		}
		var lacks, names []string // as the primary has it
		if a.Precincts.Known && b.Precincts.Known {
			x, y := ds.Leaves(ds.Primary, a.Precincts.Value), ds.Leaves(ds.Second, b.Precincts.Value)
			for _, n := range y {
				if !slices.Contains(x, n) && !strange(ds, n) {
					lacks = append(lacks, ds.LeafName(n))
				}
			}
			for _, n := range x {
				if !slices.Contains(y, n) && !strange(ds, n) {
					names = append(names, ds.LeafName(n))
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
		useDiffers := a.Use.Known && b.Use.Known && pairing.UnitUse(a) != pairing.UnitUse(b)
		if len(lacks)+len(names) == 0 && !useDiffers {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Check: "unit-header", Grade: finding.MustFix, Precincts: append(slices.Clone(lacks), names...)}, i, j)
		f.Primary = strings.Join(append(natural.Sorted(ds.PrimaryNames(a.Precincts.Value)), natural.Sorted(a.Unknown)...), ", ")
		f.Second = strings.Join(append(natural.Sorted(ds.SecondNames(b.Precincts.Value)), natural.Sorted(b.Unknown)...), ", ")
		var claims []finding.Claim
		if len(lacks)+len(names) > 0 {
			claims = finding.RefTo(finding.Unit, i, j).Claims(finding.Precincts)
		}
		var parts []string
		if len(lacks) > 0 {
			parts = append(parts, "lacks "+strings.Join(natural.Sorted(lacks), ", ")+elsewhere(ds, lacks, f.Site))
		}
		if len(names) > 0 {
			parts = append(parts, "names "+strings.Join(natural.Sorted(names), ", ")+elsewhere(ds, names, f.Site))
		}
		if useDiffers {
			claims = append(claims, finding.RefTo(finding.Unit, i, j).Claims(finding.Use)...)
			parts = append(parts, fmt.Sprintf("is for %s instead of %s", pairing.UnitUse(a), pairing.UnitUse(b)))
			if len(parts) == 1 {
				f.Precincts = ds.SecondNames(b.Precincts.Value)
				f.Primary, f.Second = string(pairing.UnitUse(a)), string(pairing.UnitUse(b))
			}
		}
		f.Message = fmt.Sprintf("Unit %s: the card header in the primary %s.", f.Unit, strings.Join(parts, ", and "))
		if len(a.Unknown) > 0 && !slices.Equal(a.Unknown, b.Unknown) {
			f.Message += fmt.Sprintf(" The export holds no precinct %s.", strings.Join(natural.Sorted(a.Unknown), ", "))
		}
		r.report(f, ds.UnitSubject(i, j)).claim(claims...).mend(setHeader(&f, i, j))
	}
}

// strange is true for a precinct that only one side knows, which a finding of its
// own says; n is what leaves returns.
func strange(ds *difference.Differences, n int) bool {
	if n >= len(ds.Primary.Precincts) {
		return true
	}
	return len(ds.Primary.StylesOf[n]) > 0 && !ds.Precincts.Keyed[n]
}

// elsewhere says where precincts vote that one side names on a unit of another site.
func elsewhere(ds *difference.Differences, names []string, site string) string {
	at := map[string]bool{}
	for i := range ds.Second.Precincts {
		if slices.Contains(names, ds.Second.PrecinctName[i]) {
			for _, u := range ds.Second.Precincts[i].Sites.Value {
				at[ds.Second.SiteName[u.Site]] = true
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

func findUnitLoad(ds *difference.Differences, r *reporter) {
	limit := r.options.UnitLimit
	if limit <= 0 {
		limit = DefaultUnitLimit
	}
	spoken := map[string]bool{}
	for _, f := range r.found {
		if f.Check == "unit-header" || f.Check == "unit-unkeyed" {
			spoken[f.Unit] = true
		}
	}
	// The load is the primary's. Where its header is short of a precinct that it does
	// not hold, which another finding says, the keyed one tells what the card will have.
	load := func(v *pairing.Side, i int) int {
		if i < 0 || pairing.UnitUse(v.Units[i]) != model.UseElectionDay {
			return 0
		}
		return len(v.Units[i].Precincts.Value) + len(v.Units[i].Unknown)
	}
	report := func(pi, si int) {
		x, y := load(ds.Primary, pi), load(ds.Second, si)
		if max(x, y) <= limit {
			return
		}
		f := ds.AboutUnit(finding.Finding{Check: "unit-load", Grade: finding.Confirm}, pi, si)
		if spoken[f.Unit] {
			return
		}
		if x > limit || si < 0 {
			f.Precincts = ds.PrimaryNames(ds.Primary.Units[pi].Precincts.Value)
		} else {
			f.Precincts = ds.SecondNames(ds.Second.Units[si].Precincts.Value)
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
		r.report(f, ds.UnitSubject(pi, si))
	}
	for i := range ds.Primary.Units {
		report(i, ds.Units.ToSecond[i])
	}
	if len(ds.Primary.Units) == 0 {
		for j := range ds.Second.Units {
			report(-1, j)
		}
	}
}
