package loading

import (
	"fmt"
	"strconv"
	"strings"

	"counterproof/model/cards"
)

// TeamWords names a team in a sentence.
func TeamWords(team string) string {
	if team == "" {
		return "the office"
	}
	return "team " + team
}

// FieldWords names a field in a sentence: "the card", "the key power".
func FieldWords(k Key) string {
	switch k.Field {
	case cards.Header:
		return "the header"
	case cards.Election:
		return "the election"
	case cards.Date:
		return "the date of the election"
	case cards.Label:
		return "the card"
	case cards.Clock:
		return "the clock"
	case cards.Key:
		return "the key " + k.Name
	case cards.SealRemoved:
		return "the seal found on the " + k.Name
	case cards.SealApplied:
		return "the seal applied to the " + k.Name
	case cards.Zero:
		return "the zero report"
	case cards.Initials:
		return "the initials on the zero report"
	case cards.Counter:
		return "the counter " + k.Name
	case cards.LoadTime:
		return "the load time"
	case cards.Visit:
		return "the visit"
	}
	return string(k.Field)
}

// ReadingWords says what was read: "all zero", "1-01, 1-02", "none".
func ReadingWords(r cards.Reading) string {
	switch r.Field {
	case cards.Header, cards.Initials:
		if len(r.List) == 0 {
			return "none"
		}
		return strings.Join(r.List, ", ")
	case cards.SealRemoved:
		if r.Value == "" {
			return "no seal there"
		}
	case cards.Key:
		if r.Value == cards.Fails {
			return "does not turn"
		}
	case cards.Zero:
		if r.Value == cards.NotZero {
			return "not all zero"
		}
		return "all zero"
	case cards.LoadTime:
		if seconds, err := strconv.Atoi(r.Value); err == nil {
			return TimeWords(seconds)
		}
	}
	return r.Value
}

// TimeWords says a load time in minutes and seconds: 140 seconds are "2:20".
func TimeWords(seconds int) string { return fmt.Sprintf("%d:%02d", seconds/60, seconds%60) }
