package sheets

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"counterproof/model"
)

// Place is where a row was typed. Line counts from 1; 0 means that the place is
// the file as a whole.
type Place struct {
	File string
	Line int
}

// other names the place in an error that stands at another place of the same sheet.
func (p Place) other() string {
	if p.Line > 0 {
		return fmt.Sprintf("line %d", p.Line)
	}
	return oneLine(p.File)
}

// whole names the place with its file.
func (p Place) whole() string {
	if p.Line > 0 {
		return fmt.Sprintf("line %d of %s", p.Line, oneLine(p.File))
	}
	return oneLine(p.File)
}

func placeOf(o model.Origin) Place { return Place{o.File, o.Line} }

// Error is one fault of the sheets: where it is, what is wrong, and what would be
// right. Its text is one line.
type Error struct {
	Place
	// Column is the name of the column, empty where the fault is not in one.
	Column string
	Fault  string
	Remedy string
	// Cause is the error behind this one, if any.
	Cause error
}

// Error names the place, the fault and the remedy.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(oneLine(e.File))
	if e.Line > 0 {
		fmt.Fprintf(&b, ", line %d", e.Line)
	}
	if e.Column != "" {
		fmt.Fprintf(&b, ", column %s", e.Column)
	}
	b.WriteString(": ")
	b.WriteString(e.Fault)
	if e.Remedy != "" {
		b.WriteString("; ")
		b.WriteString(e.Remedy)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

// fault is an Error at a cell. Values that go into it are quoted first.
func fault(at Place, column, remedy, format string, values ...any) *Error {
	return &Error{Place: at, Column: column, Fault: fmt.Sprintf(format, values...), Remedy: remedy}
}

// quote shows a value in an error: in quotation marks, on one line, cut where it
// is long.
func quote(value string) string {
	const most = 80
	if utf8.RuneCountInString(value) > most {
		n := 0
		for i := range value {
			if n++; n > most {
				value = value[:i] + "…"
				break
			}
		}
	}
	return strconv.Quote(value)
}

// oneLine shows a file name, in quotation marks only where it holds something
// that does not print.
func oneLine(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return quote(name)
	}
	return name
}

// list joins words for people: "a, b or c".
func list(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}

// nearest returns the known name that differs least from the one typed, and
// whether it is near enough to be what was meant. It looks at a bounded number
// of names of bounded length, so that it costs little on any input.
func nearest(typed string, known []string) (string, bool) {
	const mostNames, mostLetters = 20_000, 80
	fold := func(s string) []rune { return []rune(strings.ToLower(norm.NFC.String(s))) }
	if len(typed) > 4*mostLetters {
		return "", false
	}
	want := fold(typed)
	best, found := "", len(want)/3+2
	for _, name := range known[:min(len(known), mostNames)] {
		if len(name) > 4*mostLetters {
			continue
		}
		have := fold(name)
		if d := len(have) - len(want); d >= found || -d >= found {
			continue
		}
		if d := distance(want, have); d < found && d < max(len(want), len(have)) {
			best, found = name, d
		}
	}
	return best, best != ""
}

// distance is the Levenshtein distance of a and b.
func distance(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range b {
			cost := diagonal
			if x != y {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(b)]
}

// didYouMean is the remedy for a name that is not known.
func didYouMean(typed string, known []string, otherwise string) string {
	if name, ok := nearest(typed, known); ok {
		return "did you mean " + quote(name) + "? " + strings.ToUpper(otherwise[:1]) + otherwise[1:]
	}
	return otherwise
}
