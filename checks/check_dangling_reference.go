package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeDanglingReference finding.Code = "dangling-reference"

var danglingReference = &Check{Check: finding.Check{
	Code:    codeDanglingReference,
	Purpose: "the export points at something it does not hold",
	Doc: `An identifier in the export leads nowhere, or to a thing of the wrong kind. What hangs
on it is lost in whatever reads the export. Graded must-fix.`,
	Example:  `Contest cc-7: CandidateIds names can-31, and there is no such candidate`,
	Headline: "points at nothing",
	Mark:     finding.MarkMissing,
	Advice:   `This is about the export alone: it points at something that it does not hold. Nothing that was keyed can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayDanglingReference,
},
	find: findDanglingReference,
}

func findDanglingReference(ds *difference.Differences, r *reporter) {
	seen := map[model.Dangling]bool{}
	for _, d := range ds.Primary.Origins.Dangling {
		file, line := d.File, d.Line
		d.File, d.Line = "", 0
		if seen[d] {
			continue
		}
		seen[d] = true
		f := finding.Finding{Grade: finding.MustFix, Primary: d.To, Places: finding.Places{Primary: pairing.Place("",
			model.Origin{File: file, Line: line})}}
		f.Facts = d
		r.report(f, d.From, d.Field, d.To)
	}
}

func sayDanglingReference(f *finding.Finding) string {
	d := f.Facts.(model.Dangling)
	if d.Found != "" {
		return fmt.Sprintf("%s: %s points at %s, which is a %s.", d.From, d.Field, finding.Quote(d.To), d.Found)
	}
	return fmt.Sprintf("%s: %s points at %s, and the export holds no such thing.", d.From, d.Field, finding.Quote(d.To))
}
