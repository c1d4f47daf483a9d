package casefile

import (
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/model/sheets"
)

// Tarnwick County and everybody in it are invented.
const (
	harborParty = "Harbor"
	meadowParty = "Meadow"
)

var tarnwick = Start{
	Election: Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
	Parties:  []string{harborParty, meadowParty},
}

var passphrases = map[Seat]string{
	SeatProgrammer: "quarry lantern eleven geese",
	SeatSecond:     "plum ferry under bridges",
	SeatSupervisor: "copper attic windows seven",
}

// clock goes on by a second with each look.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func newClock() *clock { return &clock{at: time.Date(2027, 9, 14, 9, 0, 0, 0, time.UTC)} }

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(time.Second)
	return c.at
}

func (c *clock) forward(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

func quick() Options { return Options{Now: newClock().now, WorkFactor: 1, Person: "Wren Aldous"} }

func newPath(t testing.TB) string { return filepath.Join(t.TempDir(), "general-2027"+Extension) }

func create(t testing.TB, path string, o Options) *Case {
	t.Helper()
	c, err := Create(path, tarnwick, o)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c
}

func reopen(t testing.TB, c *Case) *Case {
	t.Helper()
	require.NoError(t, c.Close())
	again, err := Open(c.path, c.options)
	require.NoError(t, err)
	require.Empty(t, again.ReadOnly())
	t.Cleanup(func() { _ = again.Close() })
	return again
}

// staffed has the three seats held and unlocked: p1 programs, p2 keys, p3 supervises.
func staffed(t testing.TB, path string) *Case {
	t.Helper()
	c := create(t, path, quick())
	staff(t, c)
	return c
}

func staff(t testing.TB, c *Case) {
	t.Helper()
	for _, p := range []NewPerson{
		{Name: "Odile Farrow", Initials: "OF", Party: harborParty, Seat: SeatProgrammer},
		{Name: "Wren Aldous", Initials: "WA", Party: meadowParty, Seat: SeatSecond},
		{Name: "Bram Castellan", Initials: "BC", Party: harborParty, Seat: SeatSupervisor},
	} {
		p.Passphrase = passphrases[p.Seat]
		_, err := c.Enrol(p)
		require.NoError(t, err)
	}
	unlockAll(t, c)
}

func unlockAll(t testing.TB, c *Case) {
	t.Helper()
	for _, p := range c.State().People {
		if p.Active() {
			require.NoError(t, c.Unlock(p.ID, passphrases[p.Seat]))
		}
	}
}

func keying(t testing.TB, c *Case) *Keying {
	t.Helper()
	k, err := c.Keying("p2")
	require.NoError(t, err)
	return k
}

// smallEntry is two precincts, two contests and one ballot face.
func smallEntry() *sheets.Sheets {
	return &sheets.Sheets{
		Precincts: []sheets.PrecinctRow{{Precinct: "1-01", Site: "Mill Hall"}, {Precinct: "1-02", Site: "Mill Hall"}},
		Contests: []sheets.ContestRow{
			{Contest: "exec", Title: "County Executive", Kind: "candidate", VoteFor: "1", Source: "Proof A, 3 September"},
			{Contest: "judge", Title: "County Judge", Kind: "candidate", VoteFor: "2", Source: "Proof A, 3 September"},
		},
		Choices: []sheets.ChoiceRow{
			{Contest: "exec", Position: "1", Name: "Ilse Brandywine", PartyLines: "HAR"},
			{Contest: "exec", Position: "2", Name: "Tobias Quill", PartyLines: "MEA"},
			{Contest: "judge", Position: "1", Name: "Anneke Voss", PartyLines: "HAR|MEA"},
			{Contest: "judge", Position: "2", Name: "Peregrine Løvstad", PartyLines: "-"},
		},
		Ballots: []sheets.BallotRow{
			{Style: "A", Position: "1", Contest: "exec"},
			{Style: "A", Position: "2", Contest: "judge"},
		},
		Styles: []sheets.StyleRow{{Style: "A", Precinct: "1-01"}, {Style: "A", Precinct: "1-02"}},
		Units: []sheets.UnitRow{{Unit: "S-1", Site: "Mill Hall", Precinct: "1-01"},
			{Unit: "S-1", Site: "Mill Hall", Precinct: "1-02"}},
	}
}

// sealedCase has the small entry keyed and both scopes sealed.
func sealedCase(t testing.TB, path string) *Case {
	t.Helper()
	c := staffed(t, path)
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeUnits}))
	return c
}

// copyFile copies a closed case.
func copyFile(t testing.TB, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(to, b, 0o600))
}

func TestACaseGoesThroughItsLife(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	export := []byte("<ElectionReport/>")
	digest, err := c.Receive("p1", "county.xml", export)
	require.NoError(t, err)
	said := DigestOf([]byte("vote for 1 / vote for 2"))
	require.NoError(t, c.Decide(Decision{Findings: []Decided{{Finding: "vote-for:1", Said: said}},
		Outcome: OutcomeFixConfiguration, Reason: "the proof says 2"}, nil, "p2", "p1"))
	require.NoError(t, c.Decide(Decision{Findings: []Decided{{Finding: "choice-name:2", Said: said}},
		Outcome: OutcomeKeyingSlip, Reason: "keyed wrongly", Document: "Certified list"},
		[]Change{Set(Choices, 2, "name", "Tobias Quillon")}, "p1", "p2"))
	words := `{"check":"vote-for"}`
	said = DigestOf([]byte(words))
	certified := Decision{Findings: []Decided{{Finding: "vote-for:3", Said: said, Words: words}},
		Outcome: OutcomeAsCertified, Reason: "it is so", Document: "Certified list"}
	require.NoError(t, c.Decide(certified, nil, "p1", "p2"))
	certified.Findings = []Decided{{Finding: "vote-for:3", Said: said, Words: words + " "}}
	require.ErrorIs(t, c.Decide(certified, nil, "p1", "p2"), ErrRule)
	report := []byte(`{"format":"counterproof-report/1"}`)
	var on []Signature
	for _, id := range []PersonID{"p1", "p2", "p3"} {
		sig, err := c.SignReport(id, report)
		require.NoError(t, err)
		on = append(on, sig)
	}
	require.NoError(t, c.SignOff(report, nil, on, nil, "p3", "p1", "p2"))

	c = reopen(t, c)
	s := c.State()
	require.Equal(t, tarnwick.Election, s.Election)
	require.Len(t, s.People, 3)
	require.Len(t, s.Seals, 2)
	require.Len(t, s.Exports, 1)
	require.Len(t, s.Decisions, 3)
	require.Equal(t, words, s.Decisions[2].Terms.Findings[0].Words)
	require.Len(t, s.Corrections, 1)
	require.Len(t, s.SignOffs, 1)
	require.Equal(t, s.Corrections[0].Seq, s.Decisions[1].Terms.Correction)
	require.Equal(t, map[string]string{"choice/2/name": "Tobias Quill"}, s.Corrections[0].Terms.Was)
	now, sealed, err := c.Value(Field{Table: Choices, Row: 2, Column: "name"})
	require.NoError(t, err)
	require.Equal(t, "Tobias Quillon", now)
	require.Equal(t, "Tobias Quill", sealed)
	back, err := c.Export(digest)
	require.NoError(t, err)
	require.Equal(t, export, back)
	require.NoError(t, c.Close())

	r, err := Verify(path, Expect{Head: s.Head, Keys: []Digest{s.People[0].Fingerprint, s.People[1].Fingerprint,
		s.People[2].Fingerprint}})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	require.Equal(t, s.Seq, r.Entries)
	require.Equal(t, s.Seq, r.Signed)
	require.Equal(t, s.Seq, r.ExpectedAt)
}

func TestAClosedCaseIsOneFile(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	want := c.State().Head
	require.NoError(t, c.Close())
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1)

	moved := newPath(t)
	copyFile(t, path, moved)
	again, err := Open(moved, quick())
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, want, again.State().Head)
}
