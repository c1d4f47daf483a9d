package checks

import (
	"fmt"
	"strings"

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
	Example:  `"Town Justice": the о in "Moreno" is a Cyrillic letter in the primary`,
	Headline: "look-alike letters",
	Mark:     finding.MarkSpelling,
	Field:    "a look-alike letter",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest, finding.Choice},
	Change: func(f *finding.Finding, subject string) string {
		now, before := lookalikes(f.Primary, f.Second)
		return fmt.Sprintf("a look-alike letter of %s: %s, before %s", subject, now, before)
	},
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

// lookalikes names the letters in which two wordings differ that look the same, with
// their code points: to print them both alone would tell nothing.
func lookalikes(now, before string) (n, b string) {
	var letters [2][]string
	for _, step := range wording.Script(now, before) {
		side := 0
		switch step.Op {
		case wording.Keep:
			continue
		case wording.Add:
			side = 1
		}
		for _, r := range step.Text {
			letters[side] = append(letters[side], strings.TrimSpace(fmt.Sprintf("%s U+%04X", visible(r), r)))
		}
	}
	said := func(list []string) string {
		if len(list) == 0 {
			return "nothing"
		}
		return strings.Join(list, ", ")
	}
	return said(letters[0]), said(letters[1])
}

// visible is a letter, or nothing where it cannot be seen.
func visible(r rune) string {
	if s := string(r); wording.Visible(s) == s {
		return s
	}
	return ""
}
