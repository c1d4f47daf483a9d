// Package casetest makes cases for tests: the demo election at each stage of its
// cross-check, with three invented people whose keys are unlocked.
package casetest

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io/fs"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// Passphrase is everybody's.
const Passphrase = "plum ferry under bridges"

// The people: one programs, one keys, one supervises.
const (
	Programmer = casefile.PersonID("p1")
	Second     = casefile.PersonID("p2")
	Supervisor = casefile.PersonID("p3")
)

// Parties may hold the seats of the pair.
var Parties = []string{"Meridian", "Clearwater"}

// clock goes on by a minute each time it is read, from the morning of 12 October 2027.
func clock() func() time.Time {
	var mu sync.Mutex
	at := time.Date(2027, 10, 12, 9, 0, 0, 0, time.UTC)
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add(time.Minute)
		return at
	}
}

// New returns a new case of Tarnwick County with the three seats held, by these names
// if any are given. Names that this program does not take are put in as another program
// would.
func New(t testing.TB, names ...string) *casefile.Case {
	t.Helper()
	if names == nil {
		names = []string{"Odile Farrow", "Wren Aldous", "Bram Castellan"}
	}
	o := casefile.Options{Now: clock(), WorkFactor: 1, Idle: 1000 * time.Hour}
	c, err := casefile.Create(filepath.Join(t.TempDir(), "tarnwick"+casefile.Extension), casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  Parties,
	}, o)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	planted := false
	for i, seat := range casefile.Seats {
		if (casefile.NewPerson{Name: names[i]}).Named() != nil {
			path := c.Path()
			require.NoError(t, c.Close())
			plant(t, path, names[i], Parties[i%2], seat)
			c, err = casefile.Open(path, o)
			require.NoError(t, err)
			t.Cleanup(func() { _ = c.Close() })
			planted = true
			continue
		}
		Enrol(t, c, names[i], Parties[i%2], seat)
	}
	if planted {
		for _, p := range c.State().People {
			require.NoError(t, c.Unlock(p.ID, Passphrase))
		}
	}
	return c
}

// Enrol puts a further person on the roster and unlocks their key.
func Enrol(t testing.TB, c *casefile.Case, name, party string, seat casefile.Seat, by ...casefile.PersonID) {
	t.Helper()
	initials := fmt.Sprintf("A%d", len(c.State().People)+1)
	p, err := c.Enrol(casefile.NewPerson{Name: name, Initials: initials, Party: party, Seat: seat,
		Passphrase: Passphrase}, by...)
	require.NoError(t, err)
	require.NoError(t, c.Unlock(p.ID, Passphrase))
}

// Sheets are the demo's second entry.
func Sheets(t testing.TB) *sheets.Sheets {
	t.Helper()
	folder, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(folder)
	require.NoError(t, err)
	return rows
}

// File is a file of the demo: "export.xml", "corrected.xml".
func File(t testing.TB, name string) []byte {
	t.Helper()
	b, err := fs.ReadFile(demo.FS, name)
	require.NoError(t, err)
	return b
}

// Planted counts the findings that are planted in the demo election: the mistakes of its export,
// and the slips of its second entry.
func Planted(t testing.TB) (mistakes, slips int) {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(File(t, "planted.csv"))).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] { // n,side,check,grade,where,what
		if row[1] == "export" {
			mistakes++
		} else {
			slips++
		}
	}
	return mistakes, slips
}

// Key brings sheets in as the second entry.
func Key(t testing.TB, c *casefile.Case, rows *sheets.Sheets) {
	t.Helper()
	k, err := c.Keying(Second)
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", rows))
}

// Seal closes scopes; what is not keyed of them is stated.
func Seal(t testing.TB, c *casefile.Case, scopes ...casefile.Scope) {
	t.Helper()
	for _, scope := range scopes {
		require.NoError(t, c.Seal(Second, casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
}

// Opened keys and seals sheets and brings in a first export.
func Opened(t testing.TB, c *casefile.Case, rows *sheets.Sheets, name string, export []byte) *review.Review {
	t.Helper()
	Key(t, c, rows)
	Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	r := review.New(c)
	Bring(t, r, name, export)
	return r
}

// Bring brings in an export.
func Bring(t testing.TB, r *review.Review, name string, export []byte) {
	t.Helper()
	_, err := r.BringIn(Programmer, review.File{Name: name, Data: export})
	require.NoError(t, err)
}

// Sealed is the demo with its first export.
func Sealed(t testing.TB) *review.Review {
	t.Helper()
	return Opened(t, New(t), Sheets(t), "export.xml", File(t, "export.xml"))
}

// Now is the case as it stands.
func Now(t testing.TB, r *review.Review) *review.Snapshot {
	t.Helper()
	s, err := r.Now()
	require.NoError(t, err)
	return s
}

// Settle decides each finding of the demo: the keyer's two slips (assets/demo,
// PLANTED.md, 13 and 14) are mended, the rest is to be fixed in the configuration.
func Settle(t testing.TB, r *review.Review) {
	t.Helper()
	for _, i := range Now(t, r).Items {
		v := review.Verdict{
			Findings: []string{i.ID}, Outcome: casefile.OutcomeFixConfiguration,
			Reason: "The proof is right; the configuration is to follow it", Document: "Ballot proof, 8 October 2027",
		}
		slip := i.Check == "choice-name" && i.Grade == finding.Confirm || i.Check == "vote-for" &&
			i.Contest == "Member of Town Council Town of Dunmere"
		if slip {
			change, err := r.Slip(i.ID)
			require.NoError(t, err)
			require.NotEmpty(t, change, i.Message)
			v.Outcome, v.Reason, v.Correction = casefile.OutcomeKeyingSlip, "Misread when keying", change
		}
		require.NoError(t, r.Decide(v, Programmer, Second))
	}
}

// Finished is the demo at its end, ready to be signed.
func Finished(t testing.TB) *review.Review {
	t.Helper()
	r := Sealed(t)
	Settle(t, r)
	Bring(t, r, "corrected.xml", File(t, "corrected.xml"))
	return r
}

// Row finds a row of the second entry by one of its cells.
func Row(t testing.TB, c *casefile.Case, table casefile.Table, column, value string) int {
	t.Helper()
	rows, err := c.Rows(0, table)
	require.NoError(t, err)
	for i, name := range table.Columns() {
		for _, r := range rows {
			if name == column && r.Cells[i] == value {
				return r.Row
			}
		}
	}
	t.Fatalf("no %s with %s %q", table, column, value)
	return 0
}
