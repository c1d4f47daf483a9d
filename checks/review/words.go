package review

import (
	"fmt"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

// Changed says in a few words what a difference between two exports is, without a
// full stop. The finding's primary side is the later export.
func Changed(f finding.Finding) string {
	what := subject(&f)
	switch f.Check {
	case "precinct-absent":
		return "precincts are gone: " + strings.Join(f.Precincts, ", ")
	case "precinct-unkeyed":
		return "precincts are new: " + strings.Join(f.Precincts, ", ")
	case "contest-missing":
		return fmt.Sprintf("%s was taken off the ballot of %s", what, strings.Join(f.Precincts, ", "))
	case "contest-extra":
		return fmt.Sprintf("%s was put on the ballot of %s", what, strings.Join(f.Precincts, ", "))
	case "choice-missing":
		return what + " was taken out"
	case "choice-extra":
		return what + " was put in"
	case "unit-absent":
		return what + " is gone"
	case "unit-unkeyed":
		return what + " is new"
	}
	field := fieldNames[string(f.Check)]
	if field == "" {
		field = strings.ReplaceAll(string(f.Check), "-", " ")
	}
	if f.Check == "lookalike" {
		now, before := lookalikes(f.Primary, f.Second)
		return fmt.Sprintf("%s of %s: %s, before %s", field, what, now, before)
	}
	if f.Primary != "" || f.Second != "" {
		return fmt.Sprintf("%s of %s: %s, before %s", field, what, orNothing(f.Primary), orNothing(f.Second))
	}
	return fmt.Sprintf("%s of %s changed", field, what)
}

// fieldNames name what a check compares.
var fieldNames = map[string]string{
	"contest-title": "the title", "contest-kind": "the kind", "measure-text": "the text", "primary-party": "the primary party",
	"vote-for": "the vote-for", "choice-name": "the name", "choice-order": "the order of choices", "party-line": "the party line",
	"write-in": "the number of write-in positions", "heading": "the heading", "party-name": "the name", "election": "what is said",
	"style-label": "the label", "wrong-style": "the ballot", "contest-order": "the order of contests", "unit-header": "the card header",
	"unit-site": "the polling site", "candidate-unlinked": "the candidate", "lookalike": "a look-alike letter",
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

func subject(f *finding.Finding) string {
	switch {
	case f.Unit != "":
		return "unit " + f.Unit
	case f.Choice != "" && f.Contest != "":
		return fmt.Sprintf("%q in %q", f.Choice, f.Contest)
	case f.Contest != "" && f.Party != "":
		return fmt.Sprintf("%q (%s)", f.Contest, f.Party)
	case f.Contest != "":
		return fmt.Sprintf("%q", f.Contest)
	case f.Style != "":
		return "ballot style " + f.Style
	case f.Site != "":
		return f.Site
	case len(f.Precincts) > 0:
		return "precincts " + strings.Join(f.Precincts, ", ")
	case f.Party != "":
		return f.Party
	}
	return "the election"
}

func orNothing(words string) string {
	if words == "" {
		return "nothing"
	}
	return fmt.Sprintf("%q", words)
}
