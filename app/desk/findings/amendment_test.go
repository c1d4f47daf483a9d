package findings

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestContestsOfAnAmendmentAreFoundByTheWordsOfTheirTitles(t *testing.T) {
	list, err := ContestsOf(demoReview(t).Case())
	require.NoError(t, err)
	fit := func(typed string) (out []string) {
		for n, fits := range Fitting(list, typed) {
			if fits {
				out = append(out, list[n].Title)
			}
		}
		return out
	}
	assert.Len(t, fit(""), len(list))
	assert.Equal(t, []string{"Town Justice · Town of Dunmere"}, fit("dunmere JUSTICE"))
	assert.Empty(t, fit("sheriff"))
}

func TestAnAmendmentSaysWhyItDoesNotGoOn(t *testing.T) {
	whole := casefile.Amendment{Contests: []casefile.Row{{Table: casefile.Contests, Row: 2}}, Document: "Order 12",
		Date: "2027-10-01", Reason: "a withdrawal"}
	assert.Empty(t, AmendmentLacks(whole, false))
	adds := whole
	adds.Contests = nil
	assert.Empty(t, AmendmentLacks(adds, true))
	assert.Contains(t, AmendmentLacks(adds, false), "No contest is chosen")
	assert.Contains(t, AmendmentLacks(whole, true), "Take one of the two back")
	for words, lack := range map[string]func(*casefile.Amendment){
		"Name the document":     func(a *casefile.Amendment) { a.Document = "" },
		"year-month-day":        func(a *casefile.Amendment) { a.Date = "1 October" },
		"Write down the reason": func(a *casefile.Amendment) { a.Reason = "" },
	} {
		a := whole
		lack(&a)
		assert.Contains(t, AmendmentLacks(a, false), words)
	}
}
