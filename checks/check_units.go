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

const codeUnitAbsent finding.Code = "unit-absent"

var unitAbsent = &Check{Check: finding.Check{
	Code:    codeUnitAbsent,
	Purpose: "a voting unit that only the second entry knows",
	Doc: `A voting unit was keyed, and the primary has none of that name. Units are not compared
at all where one side states none. Graded must-fix.`,
	Example:  `Unit 1042: keyed, and not in the primary`,
	Headline: "missing unit",
	Mark:     finding.MarkMissing,
	Mirror:   codeUnitUnkeyed,
	Lone:     true,
	Keyed:    []finding.Thing{finding.Unit},
	Sentence: sayUnitAbsent,
	Change:   func(_ *finding.Finding, subject string) string { return subject + " is gone" },
},
	find: findUnitAbsent,

	pattern: loneUnits,
}

const codeUnitUnkeyed finding.Code = "unit-unkeyed"

var unitUnkeyed = &Check{Check: finding.Check{
	Code:     codeUnitUnkeyed,
	Purpose:  "a voting unit that only the primary knows",
	Doc:      `The primary has a voting unit that was not keyed. Graded must-fix.`,
	Example:  `Unit 1043: in the primary, and not keyed`,
	Headline: "extra unit",
	Mark:     finding.MarkExtra,
	Mirror:   codeUnitAbsent,
	Lone:     true,
	Keyed:    []finding.Thing{finding.Unit},
	Sentence: sayUnitUnkeyed,
	Change:   func(_ *finding.Finding, subject string) string { return subject + " is new" },
},
	find: findUnitUnkeyed,

	pattern: loneUnits,
}

const codeUnitHeader finding.Code = "unit-header"

var unitHeader = &Check{Check: finding.Check{
	Code:    codeUnitHeader,
	Purpose: "the precincts in a unit's card header differ",
	Doc: `The precincts named in the header of a unit's memory card, and what the unit is used
for, are compared. A card with another site's precincts turns voters away on election
day. Combined and split precincts stand for their members. Where the primary states
headers at all, a unit without one has an empty one. Graded must-fix.`,
	Example:  `Unit 1042: the header lacks 3-01 and names 3-03, which votes at Grange Hall`,
	Headline: "other precincts",
	Mark:     finding.MarkPlace,
	Field:    "the card header",
	Keyed:    []finding.Thing{finding.Unit},
	Sentence: sayUnitHeader,
},
	find: findUnitHeader,

	exchange: exchanged,
}

const codeUnitLoad finding.Code = "unit-load"

var unitLoad = &Check{Check: finding.Check{
	Code:     codeUnitLoad,
	Purpose:  "more precincts on one election-day unit than the limit allows",
	Doc:      `The limit is 10 unless set otherwise (common practice, no source). Graded confirm.`,
	Example:  `Unit 1042: 14 precincts in the header`,
	Headline: "many precincts",
	Mark:     finding.MarkNumber,
	Keyed:    []finding.Thing{finding.Unit},
	Inspects: true,
	Sentence: sayUnitLoad,
},
	find: findUnitLoad,
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
	for j := range ds.Second.Units {
		if ds.Units.ToPrimary[j] >= 0 {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix, Precincts: ds.SecondNames(ds.Second.Units[j].Precincts.Value)}, -1, j)
		f.Second = f.Unit
		f.Facts = loneUnit{ds.Cards.Named[1][f.Unit] > 1, ds.Cards.OtherName(1, j)}
		r.report(f, ds.UnitSubject(-1, j)).claim(finding.RefTo(finding.Unit, finding.None, j).Claims(finding.Whole)...).mend(haveUnit(&f, j, true))
	}
}

func findUnitUnkeyed(ds *difference.Differences, r *reporter) {
	if !bothStateUnits(ds) {
		return
	}
	for i := range ds.Primary.Units {
		if ds.Units.ToSecond[i] >= 0 {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix, Precincts: ds.PrimaryNames(ds.Primary.Units[i].Precincts.Value)}, i, -1)
		f.Primary = f.Unit
		f.Facts = loneUnit{ds.Cards.Named[0][f.Unit] > 1, ds.Cards.OtherName(0, i)}
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
		r.agree(finding.RefTo(finding.Unit, i, j).Claims(finding.Precincts, finding.Unknown, finding.Use)...)
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
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix, Precincts: append(slices.Clone(lacks), names...)}, i, j)
		f.Primary = strings.Join(append(natural.Sorted(ds.PrimaryNames(a.Precincts.Value)), natural.Sorted(a.Unknown)...), ", ")
		f.Second = strings.Join(append(natural.Sorted(ds.SecondNames(b.Precincts.Value)), natural.Sorted(b.Unknown)...), ", ")
		var claims []finding.Claim
		if len(lacks)+len(names) > 0 {
			claims = finding.RefTo(finding.Unit, i, j).Claims(finding.Precincts)
		}
		x := unlikeHeader{lacks: natural.Sorted(lacks), lacksAt: elsewhere(ds, lacks, f.Site), names: natural.Sorted(names), namesAt: elsewhere(ds, names, f.Site)}
		if useDiffers {
			claims = append(claims, finding.RefTo(finding.Unit, i, j).Claims(finding.Use)...)
			x.use, x.instead = pairing.UnitUse(a), pairing.UnitUse(b)
			if len(lacks)+len(names) == 0 {
				f.Precincts = ds.SecondNames(b.Precincts.Value)
				f.Primary, f.Second = string(x.use), string(x.instead)
			}
		}
		if !slices.Equal(a.Unknown, b.Unknown) {
			x.unknown = natural.Sorted(a.Unknown)
		}
		f.Facts = x
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
	return slices.Sorted(maps.Keys(at))[0]
}

func findUnitLoad(ds *difference.Differences, r *reporter) {
	limit := r.options.UnitLimit
	if limit <= 0 {
		limit = DefaultUnitLimit
	}
	reported := map[string]bool{} // units whose header another finding is about
	for _, f := range r.found {
		if f.Check == codeUnitHeader || f.Check == codeUnitUnkeyed {
			reported[f.Unit] = true
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
		f := ds.AboutUnit(finding.Finding{Grade: finding.Confirm}, pi, si)
		if reported[f.Unit] {
			return
		}
		if x > limit || si < 0 {
			f.Precincts = ds.PrimaryNames(ds.Primary.Units[pi].Precincts.Value)
		} else {
			f.Precincts = ds.SecondNames(ds.Second.Units[si].Precincts.Value)
		}
		if pi >= 0 {
			f.Primary = finding.Count(x, "precinct")
		}
		if si >= 0 {
			f.Second = finding.Count(y, "precinct")
		}
		n := x
		if x <= limit {
			n = y
		}
		f.Facts = loadOfUnit{n, limit, pi >= 0 && x <= limit}
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

// loneUnit is a unit that only one side has.
type loneUnit struct {
	oftener bool // the side has it more often than the other
	other   *difference.Namesake
}

func sayUnitAbsent(f *finding.Finding) string {
	switch x := f.Facts.(loneUnit); {
	case x.oftener:
		return fmt.Sprintf("Unit %s was keyed more often than the primary has it.", f.Unit)
	case x.other == nil:
		return fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name.", f.Unit)
	case x.other.LooksAlike:
		return fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name; %s is in the primary and differs %s.",
			f.Unit, x.other.Name, finding.DiffersIn(x.other.Name, f.Unit))
	default:
		return fmt.Sprintf("Unit %s was keyed, and the primary has no unit of that name; %s, which was not keyed, has the same site and card.", f.Unit, x.other.Name)
	}
}

func sayUnitUnkeyed(f *finding.Finding) string {
	if h, ok := f.Facts.(harmedLabels); ok {
		return h.sentence(f)
	}
	switch x := f.Facts.(loneUnit); {
	case x.oftener:
		return fmt.Sprintf("The primary has unit %s more often than it was keyed.", f.Unit)
	case x.other == nil:
		return fmt.Sprintf("The primary has a unit %s, which was not keyed.", f.Unit)
	case x.other.LooksAlike:
		return fmt.Sprintf("The primary has a unit %s, which was not keyed; %s was keyed and differs %s.",
			f.Unit, x.other.Name, finding.DiffersIn(f.Unit, x.other.Name))
	default:
		return fmt.Sprintf("The primary has a unit %s, which was not keyed; %s, which the primary does not have, has the same site and card.", f.Unit, x.other.Name)
	}
}

// unlikeHeader is what the card header of the primary lacks and names too much, and
// where those precincts vote if that is one other site.
type unlikeHeader struct {
	lacks, names     []string
	lacksAt, namesAt string
	use, instead     model.Use // where they differ
	unknown          []string  // precincts that the export does not hold
}

func sayUnitHeader(f *finding.Finding) string {
	x := f.Facts.(unlikeHeader)
	var parts []string
	list := func(verb string, names []string, site string) {
		if len(names) == 0 {
			return
		}
		words := verb + " " + strings.Join(names, ", ")
		if site != "" {
			words += ", which " + finding.Verb(names, "votes", "vote") + " at " + site
		}
		parts = append(parts, words)
	}
	list("lacks", x.lacks, x.lacksAt)
	list("names", x.names, x.namesAt)
	if x.use != x.instead {
		parts = append(parts, fmt.Sprintf("is for %s instead of %s", x.use, x.instead))
	}
	words := fmt.Sprintf("Unit %s: the card header in the primary %s.", f.Unit, strings.Join(parts, ", and "))
	if len(x.unknown) > 0 {
		words += fmt.Sprintf(" The export holds no precinct %s.", strings.Join(x.unknown, ", "))
	}
	return words
}

// loadOfUnit is the number of precincts on a unit, and the limit.
type loadOfUnit struct {
	precincts, limit int
	keyed            bool // the header that was keyed is what has them
}

func sayUnitLoad(f *finding.Finding) string {
	x := f.Facts.(loadOfUnit)
	if x.keyed {
		return fmt.Sprintf("Unit %s was keyed with %s in its card header; the limit is %d.", f.Unit, finding.Count(x.precincts, "precinct"), x.limit)
	}
	return fmt.Sprintf("Unit %s has %s in its card header; the limit is %d.", f.Unit, finding.Count(x.precincts, "precinct"), x.limit)
}

// loneUnits is the pattern of units that only one side knows.
func loneUnits(*finding.Finding) pattern {
	return pattern{"unit names", "Units that only one side knows, in %d findings: one may be the other under another name."}
}
