package report_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// amended is the demo after its first report was signed: an order of a court reopened a
// contest, which was keyed again, and an export followed it and changed a name that
// nobody asked for.
func amended(t testing.TB) *review.Review {
	t.Helper()
	r, _ := signed(t)
	c := r.Case()
	judge := casetest.Row(t, c, casefile.Contests, "title", "County Judge")
	require.NoError(t, c.Amend(casefile.Amendment{
		Contests: []casefile.Row{{Table: casefile.Contests, Row: judge}}, Document: "Order 12 of the County Court",
		Date:   "2027-10-14",
		Reason: "One seat was abolished", MailedStand: true,
	}, programmer, second))
	k, err := c.Keying(second)
	require.NoError(t, err)
	require.NoError(t, k.Set(casefile.Set(casefile.Contests, judge, "vote_for", "1")))
	casetest.Seal(t, c, casefile.ScopeBallots)
	require.NoError(t, c.CompareAs(casefile.ComparedAs{UnitLimit: 8, Reason: "The board's own limit"}, programmer, second))
	export := bytes.Replace(casetest.File(t, "corrected.xml"), []byte("<VotesAllowed>2</VotesAllowed>"),
		[]byte("<VotesAllowed>1</VotesAllowed>"), 1)
	casetest.Bring(t, r, "amended.xml", bytes.ReplaceAll(export, []byte("Stonebridge"), []byte("Stonebrige")))
	return r
}

func TestAnAmendmentAndAnUnaskedChangeStandOnTheReport(t *testing.T) {
	made, err := report.Make(amended(t))
	require.NoError(t, err)
	require.Len(t, made.Amendments, 1)
	require.Len(t, made.Exports, 3)
	require.Len(t, made.Exports[2].Asked, 1)
	require.Len(t, made.Exports[2].Unasked, 1)
	require.False(t, made.Finished)
	_, page, pdf := forms(t, made)
	for _, text := range []string{squeeze(asRead(page)), squeeze(poppler(t, pdf, "pdftotext", "-raw", "FILE", "-"))} {
		for _, words := range []string{
			"Order 12 of the County Court", "One seat was abolished", "14 October 2027", "stay valid", made.Exports[2].Asked[0],
			made.Exports[2].Unasked[0],
			"The board's own limit", "Supersedes", "Not finished: what is left to do",
		} {
			require.Contains(t, text, squeeze(words))
		}
	}
}

// A report after an amendment names it on its front page; the report before it does not, nor does the
// one after.
func TestASecondReportNamesTheAmendmentOnItsFrontPage(t *testing.T) {
	r := amended(t)
	second, err := report.Make(r)
	require.NoError(t, err)
	first, err := report.SignedNumber(r.Case(), 1)
	require.NoError(t, err)
	front := func(of *report.Report) string {
		_, _, pdf := forms(t, of)
		return squeeze(poppler(t, pdf, "pdftotext", "-raw", "-f", "1", "-l", "1", "FILE", "-"))
	}
	const order = "Order 12 of the County Court, ordered on 14 October 2027: One seat was abolished"
	require.Contains(t, front(second), squeeze(order))
	require.Contains(t, front(second), squeeze(`Keyed again: contest "County Judge"`))
	require.NotContains(t, front(first), squeeze("Order 12"))
	later := *second
	later.Earlier = append(later.Earlier[:1:1], report.Earlier{Entry: later.Entries, At: second.Made})
	require.NotContains(t, front(&later), squeeze(order))
}

func TestOnlyALaterExportCorrectionOrAmendmentSupersedes(t *testing.T) {
	r, _ := signed(t)
	c := r.Case()
	stands := func() []string {
		list, err := report.Signed(c)
		require.NoError(t, err)
		var words []string
		for _, x := range list {
			words = append(words, x.Superseded)
		}
		return words
	}
	require.Equal(t, []string{""}, stands())
	// The commissioner of the other party signs as well.
	casetest.Enrol(t, c, "Maud Ellery", "Clearwater", casefile.SeatSupervisor, programmer, second)
	also, err := report.SignOff(r, nil, programmer, second, supervisor, "p4")
	require.NoError(t, err)
	require.Equal(t, []string{"", ""}, stands())
	require.Len(t, also.Signers, 4)
	require.Len(t, also.Signatures, 4)
	require.Empty(t, also.Earlier[0].Superseded)
	_, page, _ := forms(t, also)
	require.Contains(t, asRead(page), "Stands beside")
	require.Contains(t, asRead(page), "Maud Ellery")

	casetest.Bring(t, r, "again.xml", casetest.File(t, "export.xml"))
	for _, words := range stands() {
		require.Contains(t, words, "a further export came in")
	}
	list, err := report.Signed(c)
	require.NoError(t, err)
	_, page, pdf := forms(t, list[0])
	require.Contains(t, asRead(page), "Superseded. "+list[0].Superseded)
	require.Contains(t, squeeze(poppler(t, pdf, "pdftotext", "-l", "1", "FILE", "-")),
		squeeze("Superseded. "+list[0].Superseded))

	reopened, err := report.Signed(amended(t).Case())
	require.NoError(t, err)
	require.Contains(t, reopened[0].Superseded, "an amendment reopened contests")
	r, _ = signed(t)
	title := casetest.Row(t, r.Case(), casefile.Contests, "title", "County Judge")
	require.NoError(t, r.Case().Correct("Ballot proof", "misread",
		[]casefile.Change{casefile.Set(casefile.Contests, title, "title", "Judge")}, programmer, second))
	corrected, err := report.Signed(r.Case())
	require.NoError(t, err)
	require.Contains(t, corrected[0].Superseded, "the second entry was corrected")
}

// An export that was withdrawn is named on the report, with why and by whom, and is none of
// those that were compared in sequence.
func TestAWithdrawnExportIsNamed(t *testing.T) {
	r := casetest.Finished(t)
	casetest.Bring(t, r, "spring.xml", casetest.File(t, "export.xml"))
	require.NoError(t, r.Case().Withdraw(casefile.Withdrawal{Exports: []int64{r.Case().State().Seq},
		Reason: "The spring election's"},
		programmer, second))
	made, err := report.Make(r)
	require.NoError(t, err)
	require.True(t, made.Finished)
	require.Len(t, made.Exports, 2)
	require.Len(t, made.Withdrawn, 1)
	require.Equal(t, "spring.xml", made.Withdrawn[0].Files[0].Name)
	_, page, _ := forms(t, made)
	require.Contains(t, squeeze(asRead(page)), squeeze("The spring election's"))
	require.Contains(t, squeeze(asRead(page)), squeeze("spring.xml"))
}

// An export of another day is named as that on the page that is signed.
func TestAnExportOfAnotherElectionIsNamedOnTheReport(t *testing.T) {
	r := casetest.Sealed(t)
	before, err := report.Make(r)
	require.NoError(t, err)
	require.Empty(t, before.Primary.Other)
	casetest.Bring(t, r, "spring.xml", bytes.ReplaceAll(casetest.File(t, "export.xml"), []byte("2027-11-02"),
		[]byte("2028-03-14")))
	made, err := report.Make(r)
	require.NoError(t, err)
	const words = "spring.xml is dated 2028-03-14, and the case is for the election of 2027-11-02."
	require.Equal(t, words, made.Primary.Other)
	_, page, pdf := forms(t, made)
	require.Contains(t, squeeze(asRead(page)), squeeze(words))
	require.Contains(t, squeeze(poppler(t, pdf, "pdftotext", "-raw", "FILE", "-")), squeeze(words))
}
