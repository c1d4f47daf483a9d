package report_test

import (
	"html"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

func front(t *testing.T, r *review.Review) string {
	t.Helper()
	made, err := report.Make(r)
	require.NoError(t, err)
	_, page, _ := forms(t, made)
	before, _, found := strings.Cut(page, "Not independently keyed")
	require.True(t, found)
	return before
}

func TestTheFrontPageSaysWhetherTheSealsWereCountersigned(t *testing.T) {
	const printed = "Only a head that was printed at the seal excludes"
	t.Run("never", func(t *testing.T) {
		page := front(t, casetest.Sealed(t))
		require.Contains(t, page, "not countersigned by the programmer")
		require.Contains(t, page, printed)
	})
	t.Run("in time", func(t *testing.T) {
		c := casetest.New(t)
		casetest.Key(t, c, casetest.Sheets(t))
		casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
		require.NoError(t, c.Countersign(programmer))
		r := review.New(c)
		casetest.Bring(t, r, "export.xml", casetest.File(t, "export.xml"))
		page := front(t, r)
		require.Equal(t, 2, strings.Count(page, "by Odile Farrow (Meridian, programmer), before an export came in"))
		require.NotContains(t, page, "not countersigned")
		require.NotContains(t, page, printed)
	})
	t.Run("after the export", func(t *testing.T) {
		r := casetest.Sealed(t)
		require.NoError(t, r.Case().Countersign(programmer))
		page := front(t, r)
		require.Contains(t, page, "only after an export had come in")
		require.Contains(t, page, printed)
	})
	t.Run("a report of before says nothing of it", func(t *testing.T) {
		made, err := report.Make(casetest.Sealed(t))
		require.NoError(t, err)
		made.Rendering = 1
		for i := range made.Second.Seals {
			made.Second.Seals[i].Countersigned = nil
		}
		_, page, _ := forms(t, made)
		require.NotContains(t, page, "countersigned")
	})
}

func TestTheFrontPageSaysWhatWasKeyedWithAnExportInTheFile(t *testing.T) {
	c := casetest.New(t)
	rows := casetest.Sheets(t)
	units := rows.Units
	rows.Units = nil
	casetest.Key(t, c, rows)
	casetest.Seal(t, c, casefile.ScopeBallots)
	r := review.New(c)
	casetest.Bring(t, r, "export.xml", casetest.File(t, "export.xml"))
	require.NotContains(t, front(t, r), "an export was in the case file already")
	rows.Units = units
	casetest.Key(t, c, rows)
	page := front(t, r)
	require.Contains(t, page, "Voting units or polling sites, by Wren Aldous (Clearwater, second party)")
	require.Contains(t, page, "an export was in the case file already")
	require.NotContains(t, page, "contests of the amendment")

	casetest.Seal(t, c, casefile.ScopeUnits)
	judge := casetest.Row(t, c, casefile.Contests, "title", "County Judge")
	require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-15",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: judge}}}, programmer, second))
	k, err := c.Keying(second)
	require.NoError(t, err)
	require.NoError(t, k.Set(casefile.Set(casefile.Contests, judge, "vote_for", "1")))
	_, err = report.Make(r)
	require.ErrorIs(t, err, review.ErrBlind)
	casetest.Seal(t, c, casefile.ScopeBallots)
	require.Contains(t, front(t, r), "Contests of the amendment of entry")
}

func TestTheReportNeverCallsIndependentWhatACorrectionAddedAfterAnExport(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots)
	casetest.Seal(t, c, casefile.ScopeUnits)
	r := review.New(c)
	casetest.Bring(t, r, "export.xml", casetest.File(t, "export.xml"))
	made, err := report.Make(r)
	require.NoError(t, err)
	require.Zero(t, made.Coverage.Late)
	rows, err := c.ShownTables(0)
	require.NoError(t, err)
	contest, choice := rows.Next(casefile.Contests), rows.Next(casefile.Choices)
	n := strconv.Itoa(contest)
	require.NoError(t, c.Correct("ballot proof, 14 September", "forgotten", []casefile.Change{
		casefile.Set(casefile.Contests, contest, "title", "County Coroner"),
		casefile.Set(casefile.Contests, contest, "kind", "candidate"),
		casefile.Set(casefile.Contests, contest, "vote_for", "1"),
		casefile.Set(casefile.Choices, choice, "contest", n), casefile.Set(casefile.Choices, choice, "position", "1"),
		casefile.Set(casefile.Choices, choice, "name", "Ida Lund"),
		casefile.Set(casefile.Placements, rows.Next(casefile.Placements), "face", "1"),
		casefile.Set(casefile.Placements, rows.Next(casefile.Placements), "position", "99"),
		casefile.Set(casefile.Placements, rows.Next(casefile.Placements), "contest", n)}, programmer, second))
	page := front(t, r)
	require.Contains(t, html.UnescapeString(page), "Contest \"County Coroner\", added by the correction of entry")
	require.Contains(t, page, "an export was in the case file already")
	made, err = report.Make(r)
	require.NoError(t, err)
	require.Equal(t, 4, made.Coverage.Late, "title, kind, vote for, name")
	require.NotContains(t, made.Second.Entered[0].InProgram, "County Coroner")
	require.Contains(t, made.Second.Entered[0].AfterSeal, "County Coroner")
	_, whole, _ := forms(t, made)
	require.Contains(t, whole, "4 values were put in or changed by a correction after an export had come in, and are not "+
		"independent of it")
	read := squeeze(asRead(whole))
	face := rows.Value(casefile.Faces, 1, "style")
	for _, words := range []string{
		`Put in Contest "County Coroner" kind: candidate title: County Coroner vote for: 1`,
		`Put in Choice "Ida Lund" of contest "County Coroner"`,
		`Put in Contest "County Coroner" on face "` + face + `"`} {
		require.Contains(t, read, squeeze(words))
	}
	require.NotContains(t, read, squeeze("was (not keyed)"), "what was put in whole is not told field by field")
}

func TestNoEvidenceOfWhatIsStillBlind(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "evidence")
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots)
	r := review.New(c)
	casetest.Bring(t, r, "export.xml", casetest.File(t, "export.xml"))
	reasons := map[string]string{}
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	for _, m := range missing {
		reasons[m.ID] = "the cards come on 20 October"
	}
	_, err = report.SignOff(r, reasons, programmer, second, supervisor)
	require.NoError(t, err)
	err = report.Evidence(c, dir)
	require.ErrorIs(t, err, report.ErrStillBlind)
	require.ErrorContains(t, err, "seal the units first")
	require.NoDirExists(t, dir)
	casetest.Seal(t, c, casefile.ScopeUnits)
	require.NoError(t, report.Evidence(c, dir))

	judge := casetest.Row(t, c, casefile.Contests, "title", "County Judge")
	require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-15",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: judge}}}, programmer, second))
	err = report.Evidence(c, dir+"-2")
	require.ErrorIs(t, err, report.ErrStillBlind)
	require.ErrorContains(t, err, "seal the ballots again first")
	_, err = os.Stat(dir + "-2")
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestThePinnedPageNamesEachSealAndKey(t *testing.T) {
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	_, err := report.Pinned(c.State())
	require.ErrorIs(t, err, casefile.ErrNotSealed)
	casetest.Seal(t, c, casefile.ScopeBallots)
	ballots := c.State().Head
	require.NoError(t, c.Countersign(programmer))
	casetest.Seal(t, c, casefile.ScopeUnits)
	b, err := report.Pinned(c.State())
	require.NoError(t, err)
	page := strings.Join(strings.Fields(string(b)), " ")
	require.Contains(t, page, ballots.Groups())
	require.Contains(t, page, c.State().Head.Groups())
	require.Contains(t, page, "Countersigned")
	require.Contains(t, page, "Not countersigned by the programmer yet")
	for _, p := range c.State().People {
		require.Contains(t, page, p.Fingerprint.Groups())
	}
	require.Contains(t, page, c.State().ID)
	require.Less(t, strings.Count(string(b), "\n"), 66, "one page")
}
