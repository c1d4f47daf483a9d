package tables

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// The orders of day and month in dates with slashes, in Mapping.Dates.
const (
	MonthFirst = "month/day/year"
	DayFirst   = "day/month/year"
)

// numberWords are the numbers that lists write out.
var numberWords = []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
	"eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"}

// voteWords are those that may stand beside the number of votes. Common practice, no source.
var voteWords = strings.Fields("vote votes for elect choose select mark up to at most any no not more than only " +
	"candidate candidates choice choices seat seats to be elected")

// votes reads a number of votes as lists write it: "2", "Vote for TWO", "Vote for no more than two (2)".
// What holds other words or two numbers is returned as it is, and refused where a number is needed.
func votes(text string) string {
	if _, err := strconv.Atoi(text); err == nil || text == "" {
		return text
	}
	found := -1
	for _, word := range strings.FieldsFunc(strings.ToLower(text),
		func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("()[]", r) }) {
		word = strings.Trim(word, ".,:")
		n, err := strconv.Atoi(word)
		if err != nil {
			n = slices.Index(numberWords, word)
		}
		switch {
		case n < 0 && slices.Index(voteWords, word) < 0, n >= 0 && found >= 0 && n != found:
			return text
		case n >= 0:
			found = n
		}
	}
	if found < 0 {
		return text
	}
	return strconv.Itoa(found)
}

// writtenDays are days in words, which no order of day and month can make ambiguous.
var writtenDays = []string{"January 2, 2006", "Jan 2, 2006", "January 2 2006", "2 January 2006", "2 Jan 2006",
	"Monday, January 2, 2006"}

// day reads a day as lists write it, as year-month-day. A day with slashes that is none in the order of
// the mapping, or for which it gives no order, is not ok. Others are for the sheets to refuse.
func day(text, order string) (iso string, ok bool) {
	for _, form := range writtenDays {
		if at, err := time.Parse(form, strings.Join(strings.Fields(text), " ")); err == nil {
			return at.Format(time.DateOnly), true
		}
	}
	if !strings.Contains(text, "/") {
		return text, true
	}
	at, err := time.Parse(map[string]string{MonthFirst: "1/2/2006", DayFirst: "2/1/2006"}[order], text)
	if err != nil {
		return text, false
	}
	return at.Format(time.DateOnly), true
}
