package checks

import (
	"fmt"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeUnitLoad finding.Code = "unit-load"

var unitLoad = &Check{Check: finding.Check{
	Code:     codeUnitLoad,
	Purpose:  "more precincts on one election-day unit than the limit allows",
	Doc:      `The limit is 10 unless set otherwise (common practice, no source). Graded confirm.`,
	Example:  `Unit 1042: 14 precincts in the header`,
	Mark:     finding.MarkNumber,
	Keyed:    []finding.Thing{finding.Unit},
	Inspects: true,
	Sentence: sayUnitLoad,
},
	find: findUnitLoad,
}

func findUnitLoad(ds *difference.Differences, r *reporter) {
	limit := r.options.UnitLimit
	if limit <= 0 {
		limit = DefaultUnitLimit
	}
	reported := map[string]bool{} // units whose header another finding is about
	for _, f := range r.found {
		if slices.ContainsFunc(f.Claims, func(c finding.Claim) bool {
			return c.Thing == finding.Unit && (c.Field == finding.Use || c.Field == finding.Precincts &&
				c.Second != finding.None || c.Field == finding.Whole && c.Primary != finding.None)
		}) {
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
			f.Primary = fmt.Sprintf("%d %s", x, english.PluralWord(x, "precinct", ""))
		}
		if si >= 0 {
			f.Second = fmt.Sprintf("%d %s", y, english.PluralWord(y, "precinct", ""))
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

// loadOfUnit is the number of precincts on a unit, and the limit.
type loadOfUnit struct {
	Precincts, Limit int
	Keyed            bool // the header that was keyed is what has them
}

func sayUnitLoad(f *finding.Finding) string {
	x := f.Facts.(loadOfUnit)
	if x.Keyed {
		return fmt.Sprintf("Unit %s was keyed with %s in its card header; the limit is %d.", f.Unit,
			english.Plural(x.Precincts, "precinct", ""), x.Limit)
	}
	return fmt.Sprintf("Unit %s has %s in its card header; the limit is %d.", f.Unit,
		english.Plural(x.Precincts, "precinct", ""), x.Limit)
}
