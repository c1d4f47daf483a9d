package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

const codeUnitAbsent finding.Code = "unit-absent"

var unitAbsent = &Check{Check: finding.Check{
	Code:    codeUnitAbsent,
	Purpose: "a voting unit that only the second entry knows",
	Doc: `A voting unit was keyed, and the export has none of that name. Where the export has a unit
at the same site, whose serial number differs by one slip and whose card names most of the
same precincts, the two are one unit with a mistyped number: one finding, and their cards
are compared. Units are not compared at all where one side states none. Graded must-fix.`,
	Example:  `Unit 1042: keyed, and not in the export`,
	Mark:     finding.MarkMissing,
	Mirror:   codeUnitUnkeyed,
	Lone:     true,
	Keyed:    []finding.Thing{finding.Unit},
	Sentence: sayUnitAbsent,
},
	find: findUnitAbsent,

	pattern: loneUnits,
}

const codeUnitUnkeyed finding.Code = "unit-unkeyed"

var unitUnkeyed = &Check{Check: finding.Check{
	Code:     codeUnitUnkeyed,
	Purpose:  "a voting unit that only the export knows",
	Doc:      `The export has a voting unit that was not keyed. Graded must-fix.`,
	Example:  `Unit 1043: in the export, and not keyed`,
	Mark:     finding.MarkExtra,
	Mirror:   codeUnitAbsent,
	Lone:     true,
	Keyed:    []finding.Thing{finding.Unit},
	Sentence: sayUnitUnkeyed,
},
	find: findUnitUnkeyed,

	pattern: loneUnits,
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
		if ds.Units.Mistyped[j] {
			reportMistyped(ds, r, ds.Units.ToPrimary[j], j)
		}
		if ds.Units.ToPrimary[j] >= 0 {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix,
			Precincts: ds.SecondNames(ds.Second.Units[j].Precincts.Value)}, -1, j)
		f.Second = f.Unit
		f.Facts = loneUnit{ds.Cards.Named[1][f.Unit] > 1, ds.Cards.OtherName(1, j)}
		r.report(f, ds.UnitSubject(-1, j)).claim(finding.RefTo(finding.Unit, finding.None,
			j).Claims(finding.Whole)...)
	}
}

// reportMistyped reports a unit that each side has under another serial number.
func reportMistyped(ds *difference.Differences, r *reporter, i, j int) {
	f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix, Facts: mistypedUnit{},
		Precincts: ds.SecondNames(ds.Second.Units[j].Precincts.Value)}, i, j)
	f.Primary, f.Second = ds.Primary.UnitName(i), f.Unit
	r.report(f, ds.UnitSubject(i, j)).claim(finding.RefTo(finding.Unit, i, j).Claims(finding.Name)...)
}

// mistypedUnit is a unit under two serial numbers of which one is a slip.
type mistypedUnit struct{}

func findUnitUnkeyed(ds *difference.Differences, r *reporter) {
	if !bothStateUnits(ds) {
		return
	}
	for i := range ds.Primary.Units {
		if ds.Units.ToSecond[i] >= 0 {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix,
			Precincts: ds.PrimaryNames(ds.Primary.Units[i].Precincts.Value)}, i, -1)
		f.Primary = f.Unit
		f.Facts = loneUnit{ds.Cards.Named[0][f.Unit] > 1, ds.Cards.OtherName(0, i)}
		r.report(f, ds.UnitSubject(i, -1)).claim(finding.RefTo(finding.Unit, i,
			finding.None).Claims(finding.Whole)...)
	}
}

// loneUnit is a unit that only one side has.
type loneUnit struct {
	Oftener bool // the side has it more often than the other
	Other   *difference.Namesake
}

func sayUnitAbsent(f *finding.Finding) string {
	if _, ok := f.Facts.(mistypedUnit); ok {
		if wording.Compare(f.Primary, f.Second).Lookalike {
			return fmt.Sprintf("Unit %s was keyed, and the export has %s in its place, at the same site; the names differ %s.",
				f.Second, f.Primary, finding.DiffersIn(f.Primary, f.Second))
		}
		return fmt.Sprintf("Unit %s was keyed, and the export has no unit of that name; it has %s in its place, at the same "+
			"site and with nearly the same number: one of the two is mistyped.", f.Second, f.Primary)
	}
	switch x := f.Facts.(loneUnit); {
	case x.Oftener:
		return fmt.Sprintf("Unit %s was keyed more often than the export has it.", f.Unit)
	case x.Other == nil:
		return fmt.Sprintf("Unit %s was keyed, and the export has no unit of that name.", f.Unit)
	case x.Other.LooksAlike:
		return fmt.Sprintf(
			"Unit %s was keyed, and the export has no unit of that name; %s is in the export and differs %s.",
			f.Unit, x.Other.Name, finding.DiffersIn(x.Other.Name, f.Unit))
	default:
		return fmt.Sprintf("Unit %s was keyed, and the export has no unit of that name; %s, which was not keyed, has the "+
			"same site and card.", f.Unit, x.Other.Name)
	}
}

func sayUnitUnkeyed(f *finding.Finding) string {
	if h, ok := f.Facts.(harmedLabels); ok {
		return h.sentence(f)
	}
	switch x := f.Facts.(loneUnit); {
	case x.Oftener:
		return fmt.Sprintf("The export has unit %s more often than it was keyed.", f.Unit)
	case x.Other == nil:
		return fmt.Sprintf("The export has a unit %s, which was not keyed.", f.Unit)
	case x.Other.LooksAlike:
		return fmt.Sprintf("The export has a unit %s, which was not keyed; %s was keyed and differs %s.",
			f.Unit, x.Other.Name, finding.DiffersIn(f.Unit, x.Other.Name))
	default:
		return fmt.Sprintf("The export has a unit %s, which was not keyed; %s, which the export does not have, has the "+
			"same site and card.", f.Unit, x.Other.Name)
	}
}

// loneUnits is the pattern of units that only one side knows.
func loneUnits(f *finding.Finding) pattern {
	if f.Primary != "" && f.Second != "" {
		return pattern{} // it has its counterpart
	}
	return pattern{"unit names",
		"Units that only one side knows, in %d findings: one may be the other under another name."}
}
