package review_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
)

// The people of package casetest.
const (
	programmer = casetest.Programmer
	second     = casetest.Second
	supervisor = casetest.Supervisor
)

func compareDemo(t testing.TB, export string) []finding.Finding {
	t.Helper()
	e, _, err := cdf.Read([]cdf.Part{{Name: export, Data: casetest.File(t, export)}}, cdf.Options{})
	require.NoError(t, err)
	s, err := casetest.Sheets(t).Election()
	require.NoError(t, err)
	return checks.Compare(e, s, checks.Options{UnitLimit: checks.DefaultUnitLimit}).Findings
}

func ids(findings []finding.Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, f.ID)
	}
	return out
}

func itemIDs(items []review.Item) []string {
	var out []string
	for _, i := range items {
		out = append(out, i.ID)
	}
	return out
}

func decide(t testing.TB, r *review.Review, outcome casefile.Outcome, findings ...string) {
	t.Helper()
	require.NoError(t, r.Decide(review.Verdict{Findings: findings, Outcome: outcome, Reason: "as the proof has it",
		Document: "Certified list of 3 September"}, programmer, second))
}

func TestNothingIsComparedBeforeTheSeal(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	r := review.New(c)
	_, err := r.Now()
	require.ErrorIs(t, err, review.ErrBlind)
	_, err = r.BringIn(programmer, review.File{Name: "export.xml", Data: casetest.File(t, "export.xml")})
	require.ErrorIs(t, err, review.ErrBlind)
	require.Empty(t, c.State().Exports)
	casetest.Seal(t, c, casefile.ScopeBallots)
	_, err = r.Now()
	require.ErrorIs(t, err, review.ErrBlind)
	_, err = r.BringIn(programmer, review.File{Name: "export.xml", Data: casetest.File(t, "export.xml")})
	require.NoError(t, err)
	_, err = r.Now()
	require.NoError(t, err)
}

func TestOpeningTheBallotsShowsNothingOfTheUnits(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots)
	r := review.New(c)
	_, err := r.BringIn(programmer, review.File{Name: "export.xml", Data: casetest.File(t, "export.xml")})
	require.NoError(t, err)
	s := casetest.Now(t, r)
	mistakes, slips := casetest.Planted(t)
	require.Len(t, s.Items, mistakes+slips-2, "one card header and one unit's site are of the units")
	require.Empty(t, s.Primary.Units)
	require.Empty(t, s.Primary.Sites)
	require.Empty(t, s.Second.Units)
	require.Empty(t, s.Result.Coverage.Units)
	require.Zero(t, s.Result.Summary.Units)
	for _, i := range s.Items {
		require.Empty(t, i.Unit)
		require.Empty(t, i.Site)
	}
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	require.Contains(t, missing, review.Missing{ID: "units",
		Words: "Key and seal the voting units with their card headers: they were not compared."})
	casetest.Seal(t, c, casefile.ScopeUnits)
	require.Len(t, casetest.Now(t, r).Items, mistakes+slips)
}

func TestACaseAndPlainSheetsGiveTheSameFindings(t *testing.T) {
	s := casetest.Now(t, casetest.Sealed(t))
	require.Equal(t, ids(compareDemo(t, "export.xml")), itemIDs(s.Items))
	mistakes, slips := casetest.Planted(t)
	require.Len(t, s.Items, mistakes+slips)
}

func TestTheDemoGoesToItsEnd(t *testing.T) {
	r := casetest.Sealed(t)
	first := casetest.Now(t, r)
	casetest.Settle(t, r)
	s := casetest.Now(t, r)
	mistakes, slips := casetest.Planted(t)
	require.Len(t, s.Items, mistakes)
	require.Len(t, s.Cleared, slips)
	require.Equal(t, review.Counts{Waiting: mistakes, Cleared: slips}, s.Counts())
	_, err := r.MaySign(nil, programmer, second, supervisor)
	require.ErrorIs(t, err, review.ErrNotFinished)

	brought, err := r.BringIn(programmer, review.File{Name: "corrected.xml", Data: casetest.File(t, "corrected.xml")})
	require.NoError(t, err)
	require.Len(t, brought.Cleared, mistakes)
	require.Empty(t, brought.New)
	require.Empty(t, brought.Unasked)
	s = casetest.Now(t, r)
	require.Empty(t, s.Items)
	require.Len(t, s.Cleared, mistakes+slips)
	for _, i := range s.Cleared {
		was := first.Item(i.ID)
		require.Equal(t, []string{string(was.Check), was.Message}, []string{string(i.Check), i.Message},
			"what the pair read is kept")
	}
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	require.Empty(t, missing)

	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, 2)
	require.GreaterOrEqual(t, len(rounds[1].Asked), mistakes)
	require.Empty(t, rounds[1].Unasked)
	require.Contains(t, rounds[1].Asked, `a look-alike letter of "Paloma Escribano" in "Superintendent of Highways Town `+
		`of Dunmere" changed from о U+043E to o U+006F`)

	report := []byte(`{"format":"counterproof-report/1"}`)
	require.Error(t, r.SignOff(report, nil, nil, programmer, second))
	require.NoError(t, r.SignOff(report, nil, nil, programmer, second, supervisor))
	require.Len(t, r.Case().State().SignOffs, 1)
}

func TestAChangeThatNobodyAskedForIsReported(t *testing.T) {
	// The corrected export, and a name that changed silently with it.
	corrected := casetest.File(t, "corrected.xml")
	silent := bytes.Replace(corrected, []byte("Stonebridge"), []byte("Stonebrige"), 1)
	name, changedTo := "Stonebridge", "Stonebrige"
	mistakes, _ := casetest.Planted(t)
	if bytes.Equal(corrected, silent) {
		t.Fatalf("the demo has no %s to change", name)
	}
	t.Run("beside what was asked", func(t *testing.T) {
		r := casetest.Sealed(t)
		casetest.Settle(t, r)
		brought, err := r.BringIn(programmer, review.File{Name: "silent.xml", Data: silent})
		require.NoError(t, err)
		require.Len(t, brought.Unasked, 1)
		require.Len(t, brought.Cleared, mistakes)
		item := casetest.Now(t, r).Item(brought.Unasked[0])
		require.EqualValues(t, "unasked-change", item.Check)
		require.Contains(t, item.Message, changedTo)
		require.Contains(t, item.Message, name)
		require.Equal(t, review.StatusOpen, item.Status)
		decide(t, r, casefile.OutcomeFixConfiguration, item.ID)
		require.Equal(t, review.StatusWaiting, casetest.Now(t, r).Item(item.ID).Status)
		// Put back: it is gone.
		_, err = r.BringIn(programmer, review.File{Name: "again.xml", Data: corrected})
		require.NoError(t, err)
		for _, i := range casetest.Now(t, r).Items {
			require.NotEqualValues(t, "unasked-change", i.Check, i.Message)
		}
	})
	t.Run("a right change without a decision is one too", func(t *testing.T) {
		r := casetest.Sealed(t)
		brought, err := r.BringIn(programmer, review.File{Name: "corrected.xml", Data: corrected})
		require.NoError(t, err)
		require.Len(t, brought.Cleared, mistakes)
		require.GreaterOrEqual(t, len(brought.Unasked), mistakes)
	})
}

func TestADecisionHoldsForWhatWasSaid(t *testing.T) {
	r := casetest.Sealed(t)
	casetest.Settle(t, r)
	// Asked for: vote for 2. The next export says 3.
	export := casetest.File(t, "export.xml")
	var judge *review.Item
	for i := range casetest.Now(t, r).Items {
		if it := &casetest.Now(t, r).Items[i]; it.Check == "vote-for" {
			judge = it
		}
	}
	require.NotNil(t, judge)
	require.Equal(t, "County Judge", judge.Contest)
	at := bytes.Index(export, []byte("County Judge"))
	require.Positive(t, at)
	votes := bytes.Index(export[at:], []byte("<VotesAllowed>1<"))
	require.Positive(t, votes)
	wrong := bytes.Clone(export)
	wrong[at+votes+len("<VotesAllowed>")] = '3'
	brought, err := r.BringIn(programmer, review.File{Name: "wrong.xml", Data: wrong})
	require.NoError(t, err)
	require.Empty(t, brought.Unasked, "it was asked to change; that it changed wrongly is the finding's own")
	item := casetest.Now(t, r).Item(judge.ID)
	require.Equal(t, review.StatusReopened, item.Status)
	require.Equal(t, "3", item.Primary)
	for _, i := range casetest.Now(t, r).Items {
		if i.ID != judge.ID {
			require.Equal(t, review.StatusWaiting, i.Status, i.Message)
		}
	}
}

func TestASlipIsOnlyTakenWithACorrectionThatMendsIt(t *testing.T) {
	r := casetest.Sealed(t)
	item := casetest.Now(t, r).Items[0]
	verdict := review.Verdict{Findings: []string{item.ID}, Outcome: casefile.OutcomeKeyingSlip, Reason: "misread",
		Document: "Proof 2"}
	require.ErrorIs(t, r.Decide(verdict, programmer, second), review.ErrUndecidable)
	verdict.Correction = []casefile.Change{casefile.Set(casefile.Facts, 1, "name", "Another Election")}
	require.ErrorIs(t, r.Decide(verdict, programmer, second), review.ErrUndecidable)
	require.ErrorIs(t, r.Decide(review.Verdict{Findings: []string{"vote-for-none"}, Outcome: casefile.OutcomeRefer,
		Reason: "x"}, programmer, second), review.ErrUndecidable)
	require.Empty(t, r.Case().State().Decisions)
}

func TestWhatWasReferredIsDecidedBySupervisorToo(t *testing.T) {
	r := casetest.Sealed(t)
	id := casetest.Now(t, r).Items[0].ID
	decide(t, r, casefile.OutcomeRefer, id)
	require.Equal(t, review.StatusReferred, casetest.Now(t, r).Item(id).Status)
	certified := review.Verdict{Findings: []string{id}, Outcome: casefile.OutcomeAsCertified, Reason: "so certified",
		Document: "Certificate 12"}
	require.ErrorIs(t, r.Decide(certified, programmer, second), review.ErrUndecidable)
	require.NoError(t, r.Decide(certified, programmer, second, supervisor))
	require.Equal(t, review.StatusSettled, casetest.Now(t, r).Item(id).Status)
}

func TestExceptionsAreWrittenDownOneByOne(t *testing.T) {
	r := casetest.Sealed(t)
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	mistakes, slips := casetest.Planted(t)
	require.Len(t, missing, mistakes+slips)
	reasons := map[string]string{}
	for _, m := range missing[1:] {
		reasons[m.ID] = "by order of the board"
	}
	_, err = r.MaySign(reasons, programmer, second, supervisor)
	require.ErrorIs(t, err, review.ErrNotFinished)
	reasons[missing[0].ID] = "by order of the board"
	written, err := r.MaySign(reasons, programmer, second, supervisor)
	require.NoError(t, err)
	require.Len(t, written, mistakes+slips)
	require.Contains(t, written[0], "by order of the board")
	reasons["nothing-like-it"] = "x"
	_, err = r.MaySign(reasons, programmer, second, supervisor)
	require.ErrorIs(t, err, review.ErrNotFinished)
}

func TestSupervisorsOfTwoPartiesBothSign(t *testing.T) {
	r := casetest.Sealed(t)
	casetest.Enrol(t, r.Case(), "Maud Ellery", "Clearwater", casefile.SeatSupervisor, programmer, second)
	casetest.Settle(t, r)
	_, err := r.BringIn(programmer, review.File{Name: "corrected.xml", Data: casetest.File(t, "corrected.xml")})
	require.NoError(t, err)
	require.Len(t, r.Signers(), 4)
	_, err = r.MaySign(nil, programmer, second, supervisor)
	require.ErrorIs(t, err, review.ErrNotFinished)
	_, err = r.MaySign(nil, programmer, second, supervisor, "p4")
	require.NoError(t, err)
}

func TestCorrectionsGiveWhatReadingEverythingAgainGives(t *testing.T) {
	if testing.Short() {
		t.Skip("every stage of a case read twice: long; run without -short")
	}
	r := casetest.Sealed(t)
	c := r.Case()
	casetest.Now(t, r)
	for _, change := range [][]casefile.Change{
		{casefile.Set(casefile.Contests, 3, "title", "Another Title")},
		{casefile.Set(casefile.Contests, 2, "vote_for", "7")},
		{casefile.Set(casefile.Choices, 4, "name", "Ada Quill"), casefile.Set(casefile.Choices, 5, "party_lines", "-")},
		{casefile.Set(casefile.Choices, 4, "position", "2.5")},
		{casefile.Set(casefile.Choices, 4, "contest", ""), casefile.Set(casefile.Choices, 4, "position", ""),
			casefile.Set(casefile.Choices, 4, "name", ""), casefile.Set(casefile.Choices, 4, "party_lines", ""),
			casefile.Set(casefile.Choices, 4, "person", "")},
		{casefile.Set(casefile.Choices, 9, "party_lines", "A New Party")},
		{casefile.Set(casefile.Contests, 5, "contest", "another-code")},
		{casefile.Set(casefile.Contests, 3, "title", "A Third Title")},
		{casefile.Set(casefile.Faces, 1, "style", "Another Label")},
		{casefile.Set(casefile.Contests, 3, "title", "A Fourth Title")},
		{casefile.Set(casefile.Units, 1, "site", "Another Site")},
	} {
		require.NoError(t, c.Correct("Ballot proof", "misread", change, programmer, second), change)
		got, err := r.Second()
		require.NoError(t, err)
		want, err := review.New(c).Second()
		require.NoError(t, err)
		require.Equal(t, want, got, change)
		require.Equal(t, itemIDs(casetest.Now(t, review.New(c)).Items), itemIDs(casetest.Now(t, r).Items), change)
	}
}
