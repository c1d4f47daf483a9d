package checks

import (
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeStyleUnused finding.Code = "style-unused"

var styleUnused = &Check{Check: finding.Check{
	Code:    codeStyleUnused,
	Purpose: "a style has no precincts",
	Doc: `A ballot style that no precinct gets. Harmless if it is a leftover; else its precincts
are missing. What stands on its ballot alone is no further finding. Graded note.`,
	Example: `Style 11 is given to no precinct in the export`,
	Mark:    finding.MarkExtra,
	Advice: `This is about the export alone: it holds a ballot style that no precinct uses. Nothing that was keyed ` +
		`can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayStyleUnused,
},
	find: findStyleUnused,
}

func findStyleUnused(ds *difference.Differences, r *reporter) {
	alone := onUnusedStyles(ds)
	explainUnused(ds, r)
	for i, st := range ds.Primary.Styles {
		origin := ds.Primary.Origins.Style(i)
		if len(st.Precincts) > 0 || r.unused[[2]int{0, i}] || len(origin.Lacks(model.LostPrecinct)) > 0 {
			continue // it is used, or its precincts are those without a ballot, or not there
		}
		name := pairing.StyleName(ds.Primary, i)
		var there []string // what stands on it and on no other ballot
		var claims []finding.Claim
		for _, p := range st.Content {
			if alone[p.Contest] {
				there = append(there, finding.Quote(ds.Primary.Title(p.Contest)))
				if ds.Contests.ToSecond[p.Contest] < 0 {
					claims = append(claims, finding.RefTo(finding.Contest, p.Contest, finding.None).Claims(finding.Whole)...)
				}
			}
		}
		f := finding.Finding{Grade: finding.Note, Style: name, Primary: "no precincts", Facts: there,
			Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		r.report(f, "style", name).claim(claims...)
	}
	for i, st := range ds.Second.Styles {
		if len(st.Precincts) > 0 || r.unused[[2]int{1, i}] {
			continue
		}
		name := pairing.StyleName(ds.Second, i)
		if slices.ContainsFunc(r.found, func(f *found) bool { return f.Check == codeStyleUnused && f.Style == name }) {
			continue
		}
		f := finding.Finding{Grade: finding.Note, Style: name, Second: "no precincts",
			Places: finding.Places{Second: pairing.Place("style", ds.Second.Origins.Style(i))}}
		r.report(f, "style", name)
	}
}

// onUnusedStyles are the contests of the export that stand on styles without precincts and on no
// ballot that anybody gets.
func onUnusedStyles(ds *difference.Differences) map[int]bool {
	out := map[int]bool{}
	for i := range ds.Primary.Styles {
		st := &ds.Primary.Styles[i]
		if len(st.Precincts) > 0 {
			continue
		}
		for _, p := range st.Content {
			if ds.Primary.On[p.Contest].Count() == 0 {
				out[p.Contest] = true
			}
		}
	}
	return out
}

func sayStyleUnused(f *finding.Finding) string {
	if f.Primary != "" {
		words := fmt.Sprintf("Style %s is given to no precinct in the export", finding.Quote(f.Style))
		if alone := f.Facts.([]string); len(alone) > 0 {
			words += "; no other ballot has " + finding.ShortList(alone)
		}
		return words + "."
	}
	return fmt.Sprintf("Style %s was keyed and given to no precinct.", finding.Quote(f.Style))
}
