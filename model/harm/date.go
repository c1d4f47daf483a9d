package harm

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

// date is a date as a spreadsheet writes it. Where a month and a number stand, the number
// is a day or a year: which is not said. A part that is not there is -1.
type date struct {
	month, day int
	year       int // its last two digits
	// either says that day and month may be the other way round: 1/2/2027.
	either bool
}

var months = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// The forms in which spreadsheets write dates: 1-Jan, Jan-01, 01-Jan-27, 2027-01-01,
// 1/2/2027, each with a time or without. Two numbers alone (1-01, 1/2) are no such form:
// that is how labels look.
var (
	anyMonth = strings.Join(months, "|")
	dayMonth = regexp.MustCompile(`(?i)^(\d{1,2})[- ](` + anyMonth + `)(?:[- ](\d{2}|\d{4}))?$`)
	monthDay = regexp.MustCompile(`(?i)^(` + anyMonth + `)-(\d{2}|\d{4})$`)
	yearDay  = regexp.MustCompile(`^(\d{4})-(\d{2})-(\d{2})$`)
	slashes  = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})/(\d{4}|\d{2})$`)
	clock    = regexp.MustCompile(`[ T]0?0:00(:00)?$`)
	parts    = regexp.MustCompile(`^(\d{1,4})[-/.](\d{1,4})(?:[-/.](\d{1,4}))?$`)
)

func monthOf(name string) int {
	for i, m := range months {
		if strings.EqualFold(m, name) {
			return i + 1
		}
	}
	return -1
}

func numberOf(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return -1
	}
	return n
}

func yearOf(s string) int {
	if s == "" {
		return -1
	}
	return numberOf(s) % 100
}

// written reads a date in one of the forms in which spreadsheets write them.
func written(label string) (date, bool) {
	if strings.HasSuffix(label, ":00") {
		label = clock.ReplaceAllString(label, "")
	}
	// Most labels are no dates: a form is tried only where its beginning fits.
	n := len(label) - len(strings.TrimLeft(label, "0123456789"))
	after := label[n:]
	begins := func(with string) bool { return after != "" && strings.IndexByte(with, after[0]) >= 0 }
	var d date
	switch {
	case n > 0 && n <= 2 && begins("- ") && dayMonth.MatchString(label):
		m := dayMonth.FindStringSubmatch(label)
		d = date{month: monthOf(m[2]), day: numberOf(m[1]), year: yearOf(m[3])}
	case n == 0 && len(label) < 10 && monthDay.MatchString(label):
		m := monthDay.FindStringSubmatch(label)
		d = date{month: monthOf(m[1]), day: -1, year: yearOf(m[2])}
	case n == 4 && begins("-") && yearDay.MatchString(label):
		m := yearDay.FindStringSubmatch(label)
		d = date{month: numberOf(m[2]), day: numberOf(m[3]), year: yearOf(m[1])}
	case n > 0 && begins("/") && slashes.MatchString(label):
		m := slashes.FindStringSubmatch(label)
		d = date{month: numberOf(m[1]), day: numberOf(m[2]), year: yearOf(m[3]), either: true}
		if d.month > 12 {
			d.month, d.day = d.day, d.month
		}
	default:
		return d, false
	}
	return d, d.month >= 1 && d.month <= 12 && d.day <= 31 && d.day != 0
}

// A spreadsheet counts the days of dates. Day 1 is here 31 December 1899: programs that
// take 1900 for a leap year count the same from 1 March 1900 on.
var (
	serial      = regexp.MustCompile(`^[1-9]\d{4}$`)
	serialStart = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
)

// The years of such dates. A month and a day get the year in which they are typed; a year
// of two digits is one of the hundred from 1930.
const (
	firstSerialYear, lastSerialYear = 1930, 2069
	firstTyped                      = 2020
)

// counted reads a date that a spreadsheet shows as the number of its day: what becomes of
// 1-Jan where the column is made Text only afterwards.
func counted(label string) (d date, year int, ok bool) {
	if !serial.MatchString(label) {
		return date{}, 0, false
	}
	day := serialStart.AddDate(0, 0, numberOf(label))
	year = day.Year()
	d = date{month: int(day.Month()), day: day.Day(), year: year % 100}
	return d, year, year >= firstSerialYear && year <= lastSerialYear
}

// countedOf is true where a label is the number of the day that a spreadsheet reads
// another label as.
func countedOf(label, whole string) bool {
	d, year, ok := counted(label)
	if !ok || year < firstTyped && d.day != 1 {
		return false
	}
	if year < firstTyped { // a month of a year, and no day of it
		d.day = -1
	}
	return d.madeOf(whole)
}

// madeOf is true where a spreadsheet reads a label of two or three numbers as this date,
// with month and day in the one order or the other. Of two numbers it makes a day of
// this year, or a month of a year.
func (d date) madeOf(label string) bool {
	m := parts.FindStringSubmatch(label)
	if m == nil || len(m[1]) == 4 && m[3] == "" && numberOf(m[2]) > 12 {
		return false
	}
	a, b, c := numberOf(m[1]), numberOf(m[2]), -1
	if m[3] != "" {
		c = numberOf(m[3])
	}
	if c >= 0 { // 1-2-27, 2027-1-2
		is := func(year, month, day int) bool { return d.year == year%100 && d.month == month && d.day == day }
		return is(c, a, b) || is(c, b, a) || is(a, b, c)
	}
	if d.day < 0 { // Jan-01: of 1-01, 1-2001, 2001-1
		return d.month == a && d.year == b%100 || d.month == b && d.year == a%100
	}
	day := d.month == a && d.day == b || d.month == b && d.day == a
	// A month of a year is its first day: Jan-45 may be written 1-Jan-45, 1945-01-01.
	month := d.day == 1 && d.year >= 0 && (d.month == a && d.year == b%100 || d.month == b && d.year == a%100)
	return day || month
}

// pairsOf are the two numbers of a date, or of a label of which a date may be made, that
// both have in common: month and day, or month and year.
func pairsOf(label string) (pairs [][2]int) {
	if d, ok := written(label); ok {
		if d.day > 0 {
			pairs = append(pairs, [2]int{d.month, d.day})
		}
		if d.year >= 0 {
			pairs = append(pairs, [2]int{d.month, d.year})
		}
	}
	if d, _, ok := counted(label); ok {
		pairs = append(pairs, [2]int{d.month, d.day}, [2]int{d.month, d.year})
	}
	if m := parts.FindStringSubmatch(label); m != nil {
		pairs = append(pairs, [2]int{numberOf(m[1]) % 100, numberOf(m[2]) % 100})
		if m[3] != "" {
			pairs = append(pairs, [2]int{numberOf(m[2]) % 100, numberOf(m[3]) % 100})
		}
	}
	return pairs
}
