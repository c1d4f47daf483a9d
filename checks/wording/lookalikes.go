package wording

import (
	"fmt"
	"strings"
)

// Lookalikes names the letters in which two wordings differ that look the same, with
// their code points: to print them both alone would tell nothing.
func Lookalikes(now, before string) (n, b string) {
	var letters [2][]string
	for _, step := range Script(now, before) {
		side := 0
		switch step.Op {
		case Keep:
			continue
		case Add:
			side = 1
		}
		for _, r := range step.Text {
			letters[side] = append(letters[side], strings.TrimSpace(fmt.Sprintf("%s U+%04X", visibleLetter(r), r)))
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

// visibleLetter is a letter, or nothing where it cannot be seen.
func visibleLetter(r rune) string {
	if s := string(r); Visible(s) == s {
		return s
	}
	return ""
}
