package checks

import (
	"cmp"
	"fmt"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
)

const codeHeading finding.Code = "heading"

var heading = &Check{Check: finding.Check{
	Code:    codeHeading,
	Purpose: "a heading on a ballot differs",
	Doc: `Headings are compared on the ballots for which headings were keyed: their wording, and
above which contest they stand. One heading that differs on many ballots is one finding.
Graded by how the wording differs; a heading on one side only is must-fix.`,
	Example:  `"TOWN OFFICES": the export prints "TOWN OFFICE"`,
	Mark:     finding.MarkSpelling,
	Field:    "the heading",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Ballot},
	LeftOut:  finding.Headings,
	Sentence: sayHeading,
},
	find: findHeading, further: true,

	pattern: spelling, exchange: exchangedValue,
}

func findHeading(ds *difference.Differences, r *reporter) {
	for _, d := range ds.Headings {
		if r.lost.headings[d] {
			continue
		}
		var claims []finding.Claim
		for _, fi := range d.Faces {
			for _, ballot := range ballotRefs(&ds.Ballots.Faces[fi]) {
				claims = append(claims, ballot.Claims(finding.Headings)...)
			}
		}
		pi, si := -1, -1
		if d.Key >= 0 {
			pi, si = ds.ByKey(d.Key)
		}
		f, _ := wordingFinding(d.Primary, d.Second)
		if d.Primary == "" || d.Second == "" {
			f = finding.Finding{Grade: finding.MustFix, Primary: d.Primary, Second: d.Second}
		}
		f = ds.About(f, pi, si)
		f.Precincts = ds.AreaNames(d.Areas)
		f.Facts = headings{d.Primary, d.Second}
		if d.Primary == d.Second {
			f.Check, f.Grade, f.Primary, f.Second = codeHeading, finding.MustFix, "elsewhere",
				cmp.Or(strings.TrimSpace(aboveContest(&f)), "at the end")
		}
		r.report(f, "heading", cmp.Or(d.Second, d.Primary)).claim(claims...)
	}
}

// headings are the headings as each side prints them, one and the same where it is
// printed elsewhere.
type headings struct{ Primary, Second string }

// aboveContest says above which contest a heading is, to follow a word.
func aboveContest(f *finding.Finding) string {
	if f.Contest == "" {
		return ""
	}
	return " above " + finding.Quote(f.Contest)
}

func sayHeading(f *finding.Finding) string {
	x, above := f.Facts.(headings), aboveContest(f)
	switch {
	case x.Primary == x.Second:
		return fmt.Sprintf("The heading %s was keyed%s, and stands elsewhere on the ballot in the export.",
			finding.Quote(x.Second), above)
	case x.Primary == "":
		return fmt.Sprintf("The heading %s%s was keyed, and the export does not print it there.", finding.Quote(x.Second),
			above)
	case x.Second == "":
		return fmt.Sprintf("The export prints the heading %s%s, where none was keyed.", finding.Quote(x.Primary), above)
	}
	return fmt.Sprintf("The heading keyed as %s is %s in the export; it differs %s.", finding.Quote(x.Second),
		finding.Quote(x.Primary), finding.DiffersIn(x.Primary, x.Second))
}
