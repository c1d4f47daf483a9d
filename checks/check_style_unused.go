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
are missing. Graded note.`,
	Example:  `Style 11 is given to no precinct in the export`,
	Headline: "unused ballot",
	Mark:     finding.MarkExtra,
	Advice: `This is about the export alone: it holds a ballot style that no precinct uses. Nothing that was keyed ` +
		`can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayStyleUnused,
},
	find: findStyleUnused,
}

func findStyleUnused(ds *difference.Differences, r *reporter) {
	for i, st := range ds.Primary.Styles {
		origin := ds.Primary.Origins.Style(i)
		if len(st.Precincts) > 0 || len(origin.Lacks(model.LostPrecinct)) > 0 {
			continue // it is used, or dangling-reference tells of the precincts that it points at
		}
		name := pairing.StyleName(ds.Primary, i)
		f := finding.Finding{Grade: finding.Note, Style: name, Primary: "no precincts",
			Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		r.report(f, "style", name)
	}
	for i, st := range ds.Second.Styles {
		if len(st.Precincts) > 0 {
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

func sayStyleUnused(f *finding.Finding) string {
	if f.Primary != "" {
		return fmt.Sprintf("Style %s is given to no precinct in the export.", finding.Quote(f.Style))
	}
	return fmt.Sprintf("Style %s was keyed and given to no precinct.", finding.Quote(f.Style))
}
