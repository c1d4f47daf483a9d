package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// A finding says which export cleared it, or which correction; where neither is sure, it names none.
func TestAFindingSaysWhatClearedIt(t *testing.T) {
	_, made := signed(t)
	by := map[int]int{}
	for _, f := range made.Findings {
		by[f.ClearedBy]++
		if f.Decisions[0].Correction > 0 {
			require.Zero(t, f.ClearedBy, f.ID)
		}
	}
	require.Equal(t, map[int]int{0: 2, 2: 13}, by, "two keying slips, the rest fixed in the second export")

	// A judge's vote-for is to be fixed; then the pair corrects the second entry instead.
	r := casetest.Sealed(t)
	var id string
	for _, i := range casetest.Now(t, r).Items {
		if i.Contest == "County Judge" {
			id = i.ID
		}
	}
	require.NoError(t, r.Decide(review.Verdict{Findings: []string{id}, Outcome: casefile.OutcomeFixConfiguration,
		Reason: "two seats", Document: "Certified list, 1 October 2027"}, programmer, second))
	judge := casetest.Row(t, r.Case(), casefile.Contests, "title", "County Judge")
	require.NoError(t, r.Case().Correct("Certified list, 9 October 2027", "one seat after all",
		[]casefile.Change{casefile.Set(casefile.Contests, judge, "vote_for", "1")}, programmer, second))
	casetest.Bring(t, r, "again.xml", append(casetest.File(t, "export.xml"), '\n'))
	made, err := report.Make(r)
	require.NoError(t, err)
	for _, f := range made.Findings {
		if f.ID == id {
			require.Equal(t, "cleared", f.Status)
			require.Zero(t, f.ClearedBy)
		}
	}
	_, page, _ := forms(t, made)
	require.Contains(t, asRead(page), "the two entries do not differ there any more; which act ended it is not recorded")
}
