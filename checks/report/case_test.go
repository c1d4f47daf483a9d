package report_test

import (
	"io/fs"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

const passphrase = "plum ferry under bridges"

// The people are invented: p1 programs, p2 keys, p3 supervises.
const (
	programmer = casefile.PersonID("p1")
	second     = casefile.PersonID("p2")
	supervisor = casefile.PersonID("p3")
)

type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(time.Minute)
	return c.at
}

func newCase(t testing.TB, people ...string) *casefile.Case {
	t.Helper()
	if people == nil {
		people = []string{"Odile Farrow", "Wren Aldous", "Bram Castellan"}
	}
	o := casefile.Options{Now: (&clock{at: time.Date(2027, 10, 12, 9, 0, 0, 0, time.UTC)}).now, WorkFactor: 1, Idle: 24 * time.Hour}
	c, err := casefile.Create(filepath.Join(t.TempDir(), "tarnwick"+casefile.Extension), casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Meridian", "Clearwater"},
	}, o)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for i, seat := range casefile.Seats {
		p, err := c.Enrol(casefile.NewPerson{
			Name: people[i], Initials: "ab", Party: []string{"Meridian", "Clearwater", "Meridian"}[i], Seat: seat, Passphrase: passphrase,
		})
		require.NoError(t, err)
		require.NoError(t, c.Unlock(p.ID, passphrase))
	}
	return c
}

func demoSheets(t testing.TB) *sheets.Sheets {
	t.Helper()
	folder, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(folder)
	require.NoError(t, err)
	return rows
}

func demoFile(t testing.TB, name string) []byte {
	t.Helper()
	b, err := fs.ReadFile(demo.FS, name)
	require.NoError(t, err)
	return b
}

// opened is a case whose sheets are keyed and sealed, with its first export.
func opened(t testing.TB, c *casefile.Case, rows *sheets.Sheets, name string, export []byte) *review.Review {
	t.Helper()
	k, err := c.Keying(second)
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", rows))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(second, casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	r := review.New(c)
	bring(t, r, name, export)
	return r
}

func bring(t testing.TB, r *review.Review, name string, export []byte) {
	t.Helper()
	_, err := r.BringIn(programmer, review.File{Name: name, Data: export})
	require.NoError(t, err)
}

func sealedDemo(t testing.TB) *review.Review {
	t.Helper()
	return opened(t, newCase(t), demoSheets(t), "export.xml", demoFile(t, "export.xml"))
}

func now(t testing.TB, r *review.Review) *review.Standing {
	t.Helper()
	s, err := r.Now()
	require.NoError(t, err)
	return s
}

// settle decides each finding of the demo: the keyer's two slips (assets/demo,
// PLANTED.md, 13 and 14) are mended, one wording stays as certified, the rest is to be
// fixed in the configuration.
func settle(t testing.TB, r *review.Review) {
	t.Helper()
	for _, i := range now(t, r).Items {
		v := review.Verdict{
			Findings: []string{i.ID}, Outcome: casefile.OutcomeFixConfiguration,
			Reason: "The proof is right; the configuration is to follow it", Document: "Ballot proof, 8 October 2027",
		}
		slip := i.Check == "choice-name" && i.Grade == checks.Confirm || i.Check == "vote-for" && i.Contest == "Member of Town Council Town of Dunmere"
		if slip {
			change, err := r.Slip(i.ID)
			require.NoError(t, err)
			require.NotEmpty(t, change, i.Message)
			v.Outcome, v.Reason, v.Correction = casefile.OutcomeKeyingSlip, "Misread when keying", change
		}
		require.NoError(t, r.Decide(v, programmer, second))
	}
}

// finished is the demo at its end, ready to be signed.
func finished(t testing.TB) *review.Review {
	t.Helper()
	r := sealedDemo(t)
	settle(t, r)
	bring(t, r, "corrected.xml", demoFile(t, "corrected.xml"))
	return r
}

func signed(t testing.TB) (*review.Review, *report.Report) {
	t.Helper()
	r := finished(t)
	out, err := report.SignOff(r, nil, programmer, second, supervisor)
	require.NoError(t, err)
	return r, out
}
