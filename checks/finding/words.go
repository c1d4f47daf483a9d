package finding

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
)

// Quote puts words in quotation marks.
func Quote(s string) string { return `"` + s + `"` }

// Capital begins words with a capital letter.
func Capital(s string) string {
	_, size := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:size]) + s[size:]
}

// Sentence makes a sentence of an error's text.
func Sentence(err error) string {
	s := Capital(strings.TrimSpace(err.Error()))
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

// CountPrecincts names one precinct and counts more.
func CountPrecincts(names []string) string {
	names = natural.Sorted(names)
	switch len(names) {
	case 0:
		return "no precinct"
	case 1:
		return "precinct " + names[0]
	}
	return fmt.Sprintf("%d precincts", len(names))
}

// ShortList names a few and counts the rest.
func ShortList(names []string) string {
	names = natural.Sorted(names)
	if len(names) > 4 {
		return strings.Join(names[:4], ", ") + fmt.Sprintf(" and %d more", len(names)-4)
	}
	return strings.Join(names, ", ")
}

// DiffersIn says in a few words in what two wordings differ, to follow "differs".
func DiffersIn(primary, second string) string {
	d := wording.Compare(primary, second)
	word := d.Word()
	if d.Lookalike && len(d.Notes) > 0 {
		return "in letters that look the same and are not: " + strings.Join(d.Notes, "; ")
	}
	if d.Minor {
		return "only in " + word
	}
	return "in its wording"
}

// Verb is the verb that goes with a number of precincts.
func Verb(precincts []string, one, many string) string {
	if len(precincts) == 1 {
		return one
	}
	return many
}

// StyleName is what a ballot style goes by: its label, else a precinct that it is for.
type StyleName struct{ Label, Precinct string }

func (s StyleName) String() string {
	switch {
	case s.Label != "":
		return s.Label
	case s.Precinct != "":
		return "the ballot of " + s.Precinct
	}
	return "an unnamed style"
}

// Words names the style in a sentence.
func (s StyleName) Words() string {
	if s.Label != "" {
		return "style " + Quote(s.Label)
	}
	return s.String()
}

// Ballot names its ballot in a sentence.
func (s StyleName) Ballot() string {
	if s.Label == "" && s.Precinct != "" {
		return s.String()
	}
	return "the ballot of " + s.Words()
}

// Owner names whose ballot it is: the style, or the precinct by which it goes.
func (s StyleName) Owner() string {
	if s.Label == "" && s.Precinct != "" {
		return s.Precinct
	}
	return s.Words()
}
