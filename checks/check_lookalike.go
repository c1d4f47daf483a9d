package checks

import (
	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

const codeLookalike finding.Code = "lookalike"

var lookalike = &Check{Check: finding.Check{
	Code:    codeLookalike,
	Purpose: "two wordings look the same and are not",
	Doc: `Letters or digits that look alike and are other characters (a Cyrillic letter among
Latin ones), invisible characters, or marks that turn the direction of writing. Two
wordings that a reader cannot tell apart are different to every machine. Found by the
skeletons of UTS #39. It takes the place of the wording's own code. Graded must-fix.`,
	Example:  `"Town Justice": the о in "Moreno" is a Cyrillic letter in the export`,
	Mark:     finding.MarkSpelling,
	Field:    "a look-alike letter",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest, finding.Choice},
}}

// wordingFinding fills in code and grade for two wordings that differ: look-alike
// letters under a code of their own, small differences to be confirmed.
func wordingFinding(primary, second string) (f finding.Finding, differs bool) {
	d := wording.Compare(primary, second)
	if d.Same {
		return f, false
	}
	f = finding.Finding{Grade: finding.MustFix, Primary: primary, Second: second}
	switch {
	case d.Lookalike:
		f.Check = codeLookalike
	case d.Minor:
		f.Grade = finding.Confirm
	}
	return f, true
}
