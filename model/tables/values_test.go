package tables

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNumbersOfVotesAsListsWriteThem(t *testing.T) {
	for text, want := range map[string]string{"2": "2", "": "", "two": "2", "Vote for TWO": "2", "VOTE FOR ONE": "1",
		"Vote for no more than two (2)": "2", "Elect 3": "3", "up to: twelve": "12", "vote for any two": "2", "0": "0",
		// What may say something else is left for the sheets to refuse.
		"one or two": "one or two", "2 of 5": "2 of 5", "4 year term": "4 year term",
		"Elect 2, 4 year term": "Elect 2, 4 year term",
		"vote":                 "vote", "-1": "-1", "two (3)": "two (3)", "1-Mar": "1-Mar", "2.2": "2.2", "2-2": "2-2"} {
		assert.Equal(t, want, votes(text), text)
	}
}

func TestDaysAsListsWriteThem(t *testing.T) {
	for _, c := range []struct {
		text, order, want string
		ok                bool
	}{
		{"2027-11-02", "", "2027-11-02", true}, {"November 2, 2027", "", "2027-11-02", true},
		{"Tuesday, November 2, 2027", "", "2027-11-02", true}, {"2 Nov 2027", "", "2027-11-02", true},
		{"11/2/2027", MonthFirst, "2027-11-02", true}, {"11/2/2027", DayFirst, "2027-02-11", true},
		{"11/2/2027", "", "11/2/2027", false}, {"11/25/2027", DayFirst, "11/25/2027", false},
		{"soon", MonthFirst, "soon", true}, {"", "", "", true},
	} {
		got, ok := day(c.text, c.order)
		assert.Equal(t, c.want, got, c)
		assert.Equal(t, c.ok, ok, c)
	}
}
