// Package harm recognises what spreadsheet programs do to labels when a sheet is opened
// and saved: 1-01 becomes the date 1-Jan, 007 the number 7, a long serial number
// 1.23E+17 or a number with its last digits cut off, a broken formula #REF!.
//
// What the programs make of which text is common practice, from memory; no standard says
// it. A label that only looks so may really be so: Form says what a label looks like, and
// only Of, with the label that stands elsewhere, that one was made of the other.
package harm

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Kind is one kind of harm.
type Kind int

// The kinds. None is no harm that can be seen.
const (
	None Kind = iota
	// Error is an error value, or a row of # where a column was too narrow.
	Error
	// Date is a date where a label stood.
	Date
	// Scientific is a number written as 1.2E+05.
	Scientific
	// Cut is a number of more than 15 digits whose last ones are zeros: programs that
	// calculate with 15 digits put them there.
	Cut
	// Zeros is a number without the zeros that it began or ended with.
	Zeros
	// Serial is the number of a day, in place of the date that was made of a label.
	Serial
)

// Kinds are all kinds of harm.
var Kinds = []Kind{Error, Date, Scientific, Cut, Zeros, Serial}

// Words says what happened, as the beginning of a sentence.
func (k Kind) Words() string {
	switch k {
	case Error:
		return "an error value of a spreadsheet stands where something else stood"
	case Date:
		return "a spreadsheet made dates of labels"
	case Scientific:
		return "a spreadsheet wrote labels in scientific notation"
	case Cut:
		return "a spreadsheet cut long numbers after 15 digits and put zeros there"
	case Zeros:
		return "numbers stand without their zeros, as a spreadsheet leaves them"
	case Serial:
		return "a spreadsheet made dates of labels, and these are the numbers of the days"
	}
	return "no harm was done"
}

// Remedy says how to key the labels again.
const Remedy = "set the column's format to Text in the spreadsheet, then key them again as they are printed"

// longest bounds what is looked at: a label, not a text.
const longest = 40

// Digits are how many a spreadsheet calculates with.
const digits = 15

var (
	errorValue = regexp.MustCompile(`^(#REF!|#N/A|#VALUE!|#NAME\?|#DIV/0!|#NUM!|#NULL!|#SPILL!|#CALC!|Err:5\d\d|#{3,})$`)
	scientific = regexp.MustCompile(`^-?\d(\.\d+)?[Ee]\+\d{2,3}$|^-?\d\.\d+[Ee][+-]?\d{1,3}$`)
	number     = regexp.MustCompile(`^\d+(\.\d+)?([Ee][+-]?\d{1,3})?$`)
	whole      = regexp.MustCompile(`^\d+$`)
)

// Form says what a label looks like: Error, Date, Scientific or Cut, else None. That
// zeros are gone, or that a number is that of a day, cannot be seen in a label alone.
func Form(label string) Kind {
	switch {
	case label == "" || len(label) > longest:
		return None
	case (label[0] == '#' || label[0] == 'E') && errorValue.MatchString(label):
		return Error
	case strings.ContainsAny(label, "Ee") && scientific.MatchString(label):
		return Scientific
	case CutDigits(label) > 0:
		return Cut
	}
	if _, ok := written(label); ok {
		return Date
	}
	return None
}

// CutDigits returns how many zeros stand after the fifteenth digit of a number, if nothing
// else stands there; else 0.
func CutDigits(label string) int {
	if len(label) <= digits || len(label) > longest || !whole.MatchString(label) || label[0] == '0' {
		return 0
	}
	if strings.Trim(label[digits:], "0") != "" {
		return 0
	}
	return len(label) - digits
}

// Of says what harm made one label of another one that stands elsewhere; None where the
// one was not made of the other.
func Of(label, whole string) Kind {
	if label == whole || label == "" || whole == "" || len(label) > longest || len(whole) > longest {
		return None
	}
	switch form := Form(label); form {
	case Date:
		made, _ := written(label)
		if made.madeOf(whole) {
			return Date
		}
	case Scientific:
		if n, err := strconv.ParseFloat(whole, 64); err == nil && number.MatchString(whole) && sameNumber(label, n) {
			return Scientific
		}
	case Cut:
		if len(label) == len(whole) && label[:digits] == whole[:digits] && number.MatchString(whole) {
			return Cut
		}
	}
	if number.MatchString(whole) && !strings.ContainsAny(whole, "Ee") && plain(whole) == label {
		return Zeros
	}
	if countedOf(label, whole) {
		return Serial
	}
	return None
}

// plain is a number as a spreadsheet shows it.
func plain(n string) string {
	n = strings.TrimLeft(n, "0")
	if strings.Contains(n, ".") {
		n = strings.TrimSuffix(strings.TrimRight(n, "0"), ".")
	}
	if n == "" || n[0] == '.' {
		n = "0" + n
	}
	return n
}

// sameNumber is true where a number in scientific notation is n, to the digits it shows.
func sameNumber(label string, n float64) bool {
	mantissa, _, _ := strings.Cut(strings.ToUpper(label), "E")
	_, decimals, _ := strings.Cut(mantissa, ".")
	shown, err := strconv.ParseFloat(label, 64)
	to := func(n float64) string { return strconv.FormatFloat(n, 'E', len(decimals), 64) }
	return err == nil && to(n) == to(shown)
}

// Long says that a label is a number of more digits than a spreadsheet keeps.
func Long(label string) bool { return len(label) > digits && whole.MatchString(label) }

// ReadsAsDate says that a label is of two or three numbers, as 1-01 is: a spreadsheet makes
// dates of such labels where a calendar has them.
func ReadsAsDate(label string) bool { return len(label) <= longest && parts.MatchString(label) }

// keys are what a label and the one that it was made of have in common: where Of says a
// harm, they share a key. So the few labels that fit are found among very many.
func keys(label string) (list []string) {
	if label == "" || len(label) > longest {
		return nil
	}
	if number.MatchString(label) {
		if !strings.ContainsAny(label, "Ee") {
			list = append(list, "number "+plain(label))
		}
		if Long(label) {
			list = append(list, "digits "+label[:digits])
		}
	}
	numeric := number.MatchString(label) || scientific.MatchString(label)
	if n, err := strconv.ParseFloat(label, 64); err == nil && numeric {
		_, exponent, _ := strings.Cut(strconv.FormatFloat(n, 'E', -1, 64), "E")
		e, _ := strconv.Atoi(exponent)
		// 9.99 is written 1E+01 where no decimals are shown.
		list = append(list, fmt.Sprint("power ", e), fmt.Sprint("power ", e+1))
	}
	for _, pair := range pairsOf(label) {
		list = append(list, fmt.Sprint("date ", min(pair[0], pair[1]), max(pair[0], pair[1])))
	}
	return list
}

// Labels are labels among which others are looked for.
type Labels struct {
	list  []string
	byKey map[string][]int
}

// NewLabels returns the labels, in their order.
func NewLabels(list []string) *Labels {
	l := &Labels{list, map[string][]int{}}
	for i, label := range list {
		for _, key := range keys(label) {
			if at := l.byKey[key]; len(at) == 0 || at[len(at)-1] != i {
				l.byKey[key] = append(at, i)
			}
		}
	}
	return l
}

// mostFits bounds how many labels of one key are looked at, so that no input takes long.
const mostFits = 64

// MadeInto returns the places of the labels of which another one was made, by the harm
// that was done.
func (l *Labels) MadeInto(label string) map[Kind][]int {
	found := map[Kind][]int{}
	seen := map[int]bool{}
	for _, key := range keys(label) {
		at := l.byKey[key]
		for _, i := range at[:min(len(at), mostFits)] {
			if kind := Of(label, l.list[i]); kind != None && !seen[i] {
				seen[i] = true
				found[kind] = append(found[kind], i)
			}
		}
	}
	return found
}

// First returns the first label of which another one was made, and the harm; None where
// there is none.
func (l *Labels) First(label string) (string, Kind) {
	found := l.MadeInto(label)
	for _, kind := range Kinds {
		if at := found[kind]; len(at) > 0 {
			return l.list[at[0]], kind
		}
	}
	return "", None
}
