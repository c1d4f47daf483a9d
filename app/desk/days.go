package desk

import (
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// dayForms are the ways in which people write a day; the first form of slashForms is that of the
// United States, the second that of most other countries.
var (
	dayForms = []string{time.DateOnly, "January 2, 2006", "Jan 2, 2006", "January 2 2006", "Jan 2 2006", "2 January 2006",
		"2 Jan 2006"}
	slashForms = [2][]string{{"1/2/2006", "1/2/06", "1-2-2006"}, {"2/1/2006", "2/1/06", "2-1-2006", "2.1.2006"}}
	weekday    = regexp.MustCompile(`(?i)^(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\.?,?\s+`)
	ordinal    = regexp.MustCompile(`(\d)(?:st|nd|rd|th)\b`)
	monthDot   = regexp.MustCompile(`^(\d{1,2} )?(\pL{3})\.`)
	sept       = regexp.MustCompile(`(?i)\bsept\b`)
)

// Day reads a day as people write it: 2026-11-03, November 3, 2026, Tue, Nov. 3rd, 2026; with slashes in
// the order of the reader's country, dayFirst or, as in the United States, month first.
func Day(text string, dayFirst bool) (time.Time, bool) {
	text = strings.Join(strings.Fields(plainDashes.Replace(text)), " ")
	text = weekday.ReplaceAllString(text, "")
	text = sept.ReplaceAllString(ordinal.ReplaceAllString(text, "$1"), "Sep")
	text = monthDot.ReplaceAllString(text, "$1$2")
	for _, form := range append(slashForms[boolInt(dayFirst)], dayForms...) {
		if day, err := time.Parse(form, text); err == nil {
			return day, true
		}
	}
	return time.Time{}, false
}

// DayWords says a day in full.
func DayWords(day time.Time) string { return day.Format("Monday, January 2, 2006") }

// numberOf reads a number of votes as a ballot prints it: 2, "Vote for 2", "vote for any two", in the
// digits of any script.
func numberOf(text string) (int, bool) {
	if m := voteForAt.FindStringSubmatch(text); m != nil && trim(m[1]) == "" {
		text = votes(m[2])
	}
	text = strings.Map(func(r rune) rune {
		if r > unicode.MaxASCII && unicode.IsDigit(r) {
			return digitOf(r)
		}
		return r
	}, text)
	n, err := strconv.Atoi(text)
	return n, err == nil && n >= 0
}

// digitOf is the ASCII digit of a digit of any script; the ten digits of a script follow each other,
// and sets of them may follow each other too.
func digitOf(r rune) rune {
	n := rune(0)
	for unicode.IsDigit(r - n - 1) {
		n++
	}
	return '0' + n%10
}
