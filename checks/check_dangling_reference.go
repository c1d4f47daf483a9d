package checks

import (
	"fmt"
	"slices"
	"strings"

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
	Advice: `This is about the export alone: it points at something that it does not hold. Nothing that was keyed can ` +
		`mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayDanglingReference,
},
	find: findDanglingReference,
}

func findDanglingReference(ds *difference.Differences, r *reporter) {
	type reference struct{ from, field, to, found string }
	seen := map[reference]bool{}
	for _, d := range ds.Primary.Origins.Dangling {
		from := d.From
		places := []string{pairing.Place("", model.Origin{File: d.File, Line: d.Line})}
		if len(d.Others) > 0 {
			// The class stands for all of them: which is first says nothing.
			from, _, _ = strings.Cut(d.From, " ")
			for _, o := range d.Others {
				places = append(places, pairing.Place("", model.Origin{File: o.File, Line: o.Line}))
			}
		}
		if k := (reference{from, d.Field, d.To, d.Found}); len(d.Others) == 0 {
			if seen[k] {
				continue
			}
			seen[k] = true
		}
		f := finding.Finding{Grade: finding.MustFix, Primary: d.To,
			Places: finding.Places{Primary: strings.Join(slices.Compact(places), "; ")}}
		f.Facts = d
		r.report(f, from, d.Field, d.To)
	}
}

func sayDanglingReference(f *finding.Finding) string {
	d := f.Facts.(model.Dangling)
	if len(d.Others) > 0 {
		return sayManyDangling(&d)
	}
	if d.Found != "" {
		return fmt.Sprintf("%s: %s points at %s, which is a %s.", d.From, d.Field, finding.Quote(d.To), d.Found)
	}
	return fmt.Sprintf("%s: %s points at %s, and the export holds no such thing.", d.From, d.Field, finding.Quote(d.To))
}

// sayManyDangling words references of several things to one target.
func sayManyDangling(d *model.Dangling) string {
	class, _, _ := strings.Cut(d.From, " ")
	from := []string{d.From}
	for _, o := range d.Others {
		from = append(from, o.From)
	}
	first := "in "
	if len(from) < d.More+1 {
		first = "the first in "
	}
	what := "the export holds no such thing"
	if d.Found != "" {
		what = "that is a " + d.Found
	}
	return fmt.Sprintf("%d references (%s, %s) point at %s, and %s: %s%s.", d.More+1, class, d.Field,
		finding.Quote(d.To), what, first, strings.Join(from, ", "))
}
