package session

import (
	"context"
	"encoding/csv"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/progress"
	"counterproof/model/sheets"
)

// comparedDemo is the demo wholly keyed and sealed, everybody unlocked, with its export in.
func comparedDemo(t *testing.T) *Session {
	t.Helper()
	s := demoSession(t)
	for _, seat := range s.Seats() {
		require.NoError(t, s.Case().Unlock(seat.Person.ID, s.DemoPassphrase(seat.Person.ID)))
	}
	folder, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(folder)
	require.NoError(t, err)
	k, err := s.Case().Keying("p2")
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", rows))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, s.Case().Seal("p2", casefile.Seal{Scope: scope}))
	}
	bring(t, s, t.Context(), "export.xml")
	return s
}

// bring looks at one of the demo's exports and brings it in.
func bring(t *testing.T, s *Session, ctx context.Context, name string) {
	t.Helper()
	in, err := s.LookAtExport(progress.Part(ctx, 0, 0.5), filepath.Join(filepath.Dir(s.Case().Path()), name))
	require.NoError(t, err)
	_, err = s.BringIn(progress.Part(ctx, 0.5, 1), "p1", in)
	require.NoError(t, err)
}

// The share of a long act is told from its beginning to its end, and every act that takes long on a
// large county tells it.
func TestLongActsTellTheShareThatIsDone(t *testing.T) {
	s := comparedDemo(t)
	var told []float64
	ctx := progress.With(context.Background(), func(done float64) { told = append(told, done) })
	bring(t, s, ctx, "corrected.xml")
	assert.Greater(t, len(told), 20, "reading and comparing tell it step by step")
	assert.LessOrEqual(t, told[0], 0.5, "a small file is read at once")
	assert.Greater(t, told[len(told)-1], 0.95)
	assert.True(t, slices.IsSorted(told))
	head := s.State().Head
	_, err := s.Review().NowContext(ctx)
	require.NoError(t, err)
	require.Equal(t, head, s.State().Head)

	told = nil
	made, err := report.MakeContext(progress.With(context.Background(), func(done float64) { told = append(told, done) }),
		s.Review(), nil)
	require.NoError(t, err)
	assert.Greater(t, len(told), 3)
	assert.InDelta(t, 1, told[len(told)-1], 1e-9)
	for name, write := range map[string]func(context.Context, io.Writer) error{
		"the report": made.PDFContext, "the annex": made.AnnexPDFContext} {
		told = nil
		require.NoError(t, write(progress.With(context.Background(), func(done float64) { told = append(told, done) }),
			io.Discard))
		assert.Greater(t, len(told), 10, name)
		assert.True(t, slices.IsSorted(told), name)
	}
}

// PLANTED.md says of each finding whose mistake it is. Decided like that, the corrected export
// clears each mistake of the export, and a correction each slip; then the report is signed.
func TestTheCorrectedExportClearsWhatPlantedSays(t *testing.T) {
	s := comparedDemo(t)
	r := s.Review()
	now, err := r.Now()
	require.NoError(t, err)
	list, err := demo.FS.ReadFile("planted.csv")
	require.NoError(t, err)
	planted, err := csv.NewReader(strings.NewReader(string(list))).ReadAll()
	require.NoError(t, err)
	planted = planted[1:]
	require.Len(t, now.Items, len(planted))

	fix := review.Verdict{Outcome: casefile.OutcomeFixConfiguration, Reason: "the proof has it otherwise",
		Document: "ballot proof of October 8"}
	var slips, fixed []string
	for _, row := range planted {
		side, check, where := row[1], row[2], strings.TrimSuffix(row[4], ", in Spanish")
		found := ""
		for _, i := range now.Items {
			subject := strings.TrimSuffix(i.Contest+": "+i.Choice, ": ")
			switch {
			case string(i.Check) != check:
			case strings.HasSuffix(row[4], ", in Spanish") != strings.Contains(i.Message, "panish"):
			case strings.HasPrefix(where, i.Contest) && i.Contest != "", where == i.Unit, subject == where,
				len(i.Precincts) == 1 && where == i.Precincts[0]:
				found = i.ID
			}
		}
		require.NotEmpty(t, found, "number %s is found: %s", row[0], where)
		require.NotContains(t, append(slips, fixed...), found, where)
		if side == "second entry" {
			slips = append(slips, found)
		} else {
			fixed = append(fixed, found)
		}
	}
	require.Len(t, slips, 2)
	fix.Findings = fixed
	require.NoError(t, r.Decide(fix, "p1", "p2"))
	for _, id := range slips {
		change, err := r.Slip(id)
		require.NoError(t, err)
		require.NoError(t, r.Decide(review.Verdict{Findings: []string{id}, Outcome: casefile.OutcomeKeyingSlip,
			Reason: "the proof prints it", Document: "ballot proof of October 8", Correction: change}, "p1", "p2"))
	}
	now, err = r.Now()
	require.NoError(t, err)
	assert.Equal(t, review.Counts{Waiting: 13, Cleared: 2}, now.Counts())

	bring(t, s, t.Context(), "corrected.xml")
	now, err = r.Now()
	require.NoError(t, err)
	assert.Equal(t, review.Counts{Cleared: 15}, now.Counts())
	var cleared []string
	for _, i := range now.Cleared {
		cleared = append(cleared, i.ID)
	}
	assert.ElementsMatch(t, append(slips, fixed...), cleared)

	made, err := report.MakeExcepting(r, nil)
	require.NoError(t, err)
	require.NoError(t, made.SignOff(r, nil, "p1", "p2", "p3"))
	assert.True(t, report.Current(s.State()))
	require.NoError(t, s.AttachProofs(t.Context(), []ProofFile{{
		filepath.Join(filepath.Dir(s.Case().Path()), "proofs", "BS-01.pdf"), casefile.ScopeBallots, "BS-01"}}))
	assert.True(t, report.Current(s.State()), "attaching a proof opens no new round")
}
