package checks

import (
	"cmp"
	"fmt"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
)

var heading = &Check{
	Code:    "heading",
	Purpose: "a heading on a ballot differs",
	Doc: `Headings are compared on the ballots for which headings were keyed: their wording, and
above which contest they stand. One heading that differs on many ballots is one finding.
Graded by how the wording differs; a heading on one side only is must-fix.`,
	Example: `"TOWN OFFICES": the primary prints "TOWN OFFICE"`,
	find:    findHeading,
}

func findHeading(ds *difference.Differences, r *reporter) {
	for _, d := range ds.Headings {
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
		f, _ := wordingFinding("heading", d.Primary, d.Second)
		if d.Primary == "" || d.Second == "" {
			f = finding.Finding{Check: "heading", Grade: finding.MustFix, Primary: d.Primary, Second: d.Second}
		}
		f = ds.About(f, pi, si)
		f.Precincts = ds.AreaNames(d.Areas)
		above := ""
		if f.Contest != "" {
			above = " above " + finding.Quote(f.Contest)
		}
		switch {
		case d.Primary == d.Second:
			f.Grade, f.Primary, f.Second = finding.MustFix, "elsewhere", cmp.Or(strings.TrimSpace(above), "at the end")
			f.Check = "heading"
			f.Message = fmt.Sprintf("The heading %s was keyed%s, and stands elsewhere on the ballot in the primary.", finding.Quote(d.Second), above)
		case d.Primary == "":
			f.Message = fmt.Sprintf("The heading %s%s was keyed, and the primary does not print it there.", finding.Quote(d.Second), above)
		case d.Second == "":
			f.Message = fmt.Sprintf("The primary prints the heading %s%s, where none was keyed.", finding.Quote(d.Primary), above)
		default:
			f.Message = fmt.Sprintf("The heading keyed as %s is %s in the primary; it differs %s.", finding.Quote(d.Second), finding.Quote(d.Primary), finding.DiffersIn(d.Primary, d.Second))
		}
		r.report(f, "heading", cmp.Or(d.Second, d.Primary)).claim(claims...).mend(setHeading(&f, d))
	}
}
