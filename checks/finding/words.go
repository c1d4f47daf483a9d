package finding

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/dustin/go-humanize"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
)

// Quote puts words in quotation marks: curly ones around words that have straight ones of their own.
func Quote(s string) string {
	if strings.Contains(s, `"`) {
		return "“" + s + "”"
	}
	return `"` + s + `"`
}

// Title is what the findings of a check stand under, in lists and in the report: "choice order".
func (c Code) Title() string { return strings.ReplaceAll(string(c), "-", " ") }

// PrecinctList lists precincts for people: "1-01 to 1-09, 2-03 (10)", or "all 24" if they are all
// that there are.
func PrecinctList(names []string, all int) string {
	switch n := len(names); {
	case n <= 3:
		return strings.Join(natural.Ranges(names), ", ")
	case n == all:
		return "all " + humanize.Comma(int64(n))
	default:
		return fmt.Sprintf("%s (%s)", strings.Join(natural.Ranges(names), ", "), humanize.Comma(int64(n)))
	}
}

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

// DifferenceIn says where two long wordings differ, to follow "differs in the export, ": the words of
// the first place.
func DifferenceIn(primary, second string) string {
	d := wording.Compare(primary, second)
	if d.Lookalike || d.Minor {
		return DiffersIn(primary, second)
	}
	var there, keyed string
	places := 0
	steps := wording.Readable(primary, second)
	for i, step := range steps {
		if step.Op == wording.Keep {
			continue
		}
		if i == 0 || steps[i-1].Op == wording.Keep {
			places++
		}
		if places > 1 {
			continue
		}
		if step.Op == wording.Drop {
			there = step.Text
		} else {
			keyed = step.Text
		}
	}
	where := "in one place"
	if places > 1 {
		where = fmt.Sprintf("in %d places, first", places)
	}
	there, keyed = firstWords(there), firstWords(keyed)
	switch {
	case there == "" && keyed == "":
		return "in its wording"
	case there == "":
		return fmt.Sprintf("%s: %s was keyed and is not there", where, Quote(keyed))
	case keyed == "":
		return fmt.Sprintf("%s: %s is there and was not keyed", where, Quote(there))
	}
	return fmt.Sprintf("%s: it has %s where %s was keyed", where, Quote(there), Quote(keyed))
}

// firstWords are the first words of a difference, without blanks around them.
func firstWords(s string) string {
	words := strings.Fields(s)
	if len(words) > 6 {
		return strings.Join(words[:6], " ") + " …"
	}
	return strings.Join(words, " ")
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
