package review_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// otherDay is an export of the demo for another day.
func otherDay(t *testing.T) []byte {
	return bytes.ReplaceAll(casetest.File(t, "export.xml"), []byte("2027-11-02"), []byte("2028-03-14"))
}

func withdraw(r *review.Review, export string) error {
	entries, err := r.Exported(export)
	if err != nil {
		return err
	}
	return r.Case().Withdraw(casefile.Withdrawal{Exports: entries, Reason: "the spring election's"}, programmer, second)
}

// An export of another day is told as that in one sentence. Withdrawn, it is as if it had
// never come in: nothing is unasked, nothing reopened, and what was asked still waits.
func TestAnExportOfAnotherElectionIsToldAndWithdrawn(t *testing.T) {
	r := casetest.Sealed(t)
	require.Empty(t, casetest.Now(t, r).OtherElection())
	casetest.Settle(t, r)
	before := casetest.Now(t, r)
	statuses := func(s *review.Snapshot) (out []string) {
		for _, i := range s.Items {
			out = append(out, i.ID+" "+string(i.Status))
		}
		return out
	}
	casetest.Bring(t, r, "spring.xml", otherDay(t))
	now := casetest.Now(t, r)
	require.Contains(t, now.OtherElection(),
		"spring.xml is dated 2028-03-14, and the case is for the election of 2027-11-02")
	require.NotEqual(t, statuses(before), statuses(now))
	require.NoError(t, withdraw(r, "spring.xml"))
	for _, look := range []*review.Review{r, review.New(r.Case())} { // as it goes on, and opened anew
		after := casetest.Now(t, look)
		require.Empty(t, after.OtherElection())
		require.Equal(t, statuses(before), statuses(after))
		require.Equal(t, "export.xml", after.Latest.Name())
		rounds, err := look.Rounds()
		require.NoError(t, err)
		require.Len(t, rounds, 1)
	}
	require.ErrorContains(t, withdraw(r, "spring.xml"), "no export")
	// The right one goes on from where the case was.
	casetest.Bring(t, r, "corrected.xml", casetest.File(t, "corrected.xml"))
	require.Empty(t, casetest.Now(t, r).Items)
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, 2)
	require.Empty(t, rounds[1].Unasked)
}

// One on which a decision or a report rests stays; one that came in between does not hold
// what was decided after it.
func TestWhatADecisionRestsOnIsNotWithdrawn(t *testing.T) {
	r := casetest.Sealed(t)
	casetest.Bring(t, r, "spring.xml", otherDay(t))
	casetest.Bring(t, r, "again.xml", casetest.File(t, "export.xml"))
	decide(t, r, casefile.OutcomeRefer, casetest.Now(t, r).Items[0].ID)
	require.ErrorContains(t, withdraw(r, "again.xml"), "rests on")
	require.ErrorContains(t, withdraw(r, "export.xml"), "rests on", "changes are told from the first")
	require.NoError(t, withdraw(r, "spring.xml"))
	require.ErrorContains(t, r.Case().Withdraw(casefile.Withdrawal{Exports: []int64{1}, Reason: "x"}, programmer, second),
		"no export came in by entry 1")

	whole := casetest.Finished(t)
	require.ErrorContains(t, withdraw(whole, "export.xml"), "rests on")
}

// The first export, withdrawn, leaves a case with nothing to compare, which takes another.
func TestTheOnlyExportIsWithdrawn(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	r := review.New(c)
	casetest.Bring(t, r, "spring.xml", otherDay(t))
	err := c.Withdraw(casefile.Withdrawal{Exports: []int64{c.State().Seq}, Reason: "x"}, programmer)
	require.Error(t, err, "both of the pair sign")
	require.NoError(t, withdraw(r, "spring.xml"))
	_, err = r.Now()
	require.ErrorIs(t, err, review.ErrBlind)
	require.ErrorContains(t, err, "withdrawn")
	casetest.Bring(t, r, "export.xml", casetest.File(t, "export.xml"))
	mistakes, slips := casetest.Planted(t)
	require.Len(t, casetest.Now(t, r).Items, mistakes+slips)
	require.Empty(t, unaskedIn(t, r))
}
