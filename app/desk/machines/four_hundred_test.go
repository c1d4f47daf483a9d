package machines_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/machines"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// sitting is two people at the machines of a case. It presses keys, and counts them.
type sitting struct {
	t       *testing.T
	r       *review.Review
	work    *machines.Work
	pressed int
	enters  int
	// entered is called after each Enter.
	entered func()
}

var rules = cards.Rules{Zone: "America/New_York", Keys: []string{"power", "ballot box"},
	Seals: []string{"card door", "ballot box"}, Counters: []string{"public"}}

// The two who go to the machines.
const programmer, second = casefile.PersonID("p1"), casefile.PersonID("p2")

// county is a county with so many units, five precincts to a header, and two ballots.
func county(units int) *sheets.Sheets {
	rows := &sheets.Sheets{Facts: []sheets.FactsRow{{Name: "General Election", Date: "2027-11-02",
		Jurisdiction: "Tarnwick County"}}}
	for _, code := range []string{"reeve", "clerk"} {
		rows.Contests = append(rows.Contests, sheets.ContestRow{Contest: code, Title: "County " + code, Kind: "candidate",
			VoteFor: "1"})
		for i, name := range []string{"Ada Quill", "Bo Reed"} {
			rows.Choices = append(rows.Choices, sheets.ChoiceRow{Contest: code, Position: fmt.Sprint(i + 1),
				Name: name + code, PartyLines: "-"})
		}
	}
	rows.Ballots = []sheets.BallotRow{{Style: "1", Position: "1", Contest: "reeve"},
		{Style: "2", Position: "1", Contest: "reeve"}, {Style: "2", Position: "2", Contest: "clerk"}}
	for i := range 5 * units {
		name, site := fmt.Sprintf("%03d-%02d", i/50+1, i%50+1), fmt.Sprintf("Fire House %d", i/5+1)
		rows.Precincts = append(rows.Precincts, sheets.PrecinctRow{Precinct: name, Site: site})
		rows.Styles = append(rows.Styles, sheets.StyleRow{Style: fmt.Sprint(i%2 + 1), Precinct: name})
		rows.Units = append(rows.Units, sheets.UnitRow{Unit: fmt.Sprintf("U-%04d", i/5+1), Site: site, Precinct: name})
	}
	return rows
}

// atCounty is a sitting in a county with so many units, each with its card.
func atCounty(t *testing.T, units int) *sitting {
	t.Helper()
	rows := county(units)
	c, err := casefile.Create(filepath.Join(t.TempDir(), "tarnwick.counterproof"), casefile.Start{
		Parties:  []string{"M", "C"},
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
	}, casefile.Options{WorkFactor: 1, Idle: 1000 * time.Hour})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for i, seat := range []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond} {
		one, err := c.Enrol(casefile.NewPerson{Name: []string{"Odile Farrow", "Wren Aldous"}[i],
			Initials: []string{"OF", "WA"}[i],
			Party:    []string{"M", "C"}[i], Seat: seat, Passphrase: "plum ferry under bridges"})
		require.NoError(t, err)
		require.NoError(t, c.Unlock(one.ID, "plum ferry under bridges"))
	}
	k, err := c.Keying(second)
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", rows))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(second, casefile.Seal{Scope: scope}))
	}
	e, err := rows.Election()
	require.NoError(t, err)
	var export bytes.Buffer
	require.NoError(t, cdf.WriteXML(&export, e, cdf.WriteOptions{}))
	r := review.New(c)
	_, err = r.BringIn(programmer, review.File{Name: "export.xml", Data: export.Bytes()})
	require.NoError(t, err)
	require.NoError(t, r.SetMachineRules(rules, programmer, second))
	m, err := r.Machines()
	require.NoError(t, err)
	var ledger []cards.Card
	for i, u := range m.Warehouse.Plan.Units {
		ledger = append(ledger, cards.Card{Label: fmt.Sprintf("C%03d", i+1), Unit: u.Name, Made: "2027-10-12", By: "OF",
			Export: c.State().Exports[0].Digest.String()})
	}
	require.NoError(t, r.MakeCards(programmer, ledger...))
	return at(t, r)
}

func at(t *testing.T, r *review.Review) *sitting {
	s := &sitting{t: t, r: r, work: &machines.Work{Now: time.Now}, entered: func() {}}
	m, err := r.Machines()
	require.NoError(t, err)
	s.work.Refresh(m)
	return s
}

// keys presses the keys of texts, each ended by Enter, as the place hands them to the desk.
func (s *sitting) keys(texts ...string) {
	s.t.Helper()
	for _, text := range texts {
		typed := ""
		for _, letter := range text {
			typed += string(letter)
			s.pressed++
			s.work.Type(typed)
		}
		require.Len(s.t, s.r.Case().State().Read, s.enters, "what is typed and not confirmed is in no record")
		s.pressed++
		r, err := s.work.Confirm()
		require.NoError(s.t, err, text)
		require.NoError(s.t, s.r.ReadUnit(second, r))
		m, err := s.r.Machines()
		require.NoError(s.t, err)
		s.work.Recorded(r, m)
		s.enters++
		s.entered()
	}
}

// unit keys everything at the unit in view, all as it must be.
func (s *sitting) unit(n int) {
	s.t.Helper()
	of := s.work.Machines().Warehouse
	c, _ := of.Card(s.work.Unit().Name)
	s.keys("-", "-", strings.Join(s.work.Unit().Header, ","), "", "General Election", "11/2/2027", c.Label)
	s.keys(of.Clock.Must(time.Now()).Screen().Format("1/2/2006 3:04pm"))
	s.keys("y", "y", "y", "OF WA", "1021", "1:40", fmt.Sprint(40000+2*n), fmt.Sprint(40001+2*n))
}

// Every unit of a county is keyed letter by letter, and each agrees. The figure of keys is the README's.
func TestUnitsAreKeyed(t *testing.T) {
	units := 400
	if os.Getenv("CI") != "true" {
		units = 12 // 400 take too long for every day
	}
	s := atCounty(t, units)
	most := time.Duration(0)
	last := time.Now()
	s.entered = func() { most, last = max(most, time.Since(last)), time.Now() }
	for n := range units {
		last = time.Now()
		s.unit(n)
		u := s.work.Unit()
		require.Empty(t, s.work.Undone(), u.Name)
		for _, step := range s.work.Steps() {
			require.True(t, step.Done && !step.Open && !step.Differs(), "%s: %+v", u.Name, step)
		}
		require.Zero(t, s.work.Open(u.Name))
		if n < units-1 {
			s.work.Go(s.work.Machines().Warehouse.Plan.Units[n+1].Name)
		}
	}
	assert.Len(t, s.r.Case().State().Read, 16*units)
	t.Logf("%d keys for each of %d units, %d of them Enter; at most %v after an Enter", s.pressed/units, units, 16,
		most.Round(time.Millisecond))
}

// The program ends between any two keys: what was confirmed by Enter is there when the case is opened
// again, and nothing else is.
func TestACrashBetweenAnyTwoKeysLosesNothingConfirmed(t *testing.T) {
	s := atCounty(t, 2)
	confirmed := 0
	s.entered = func() {
		confirmed++
		// What a crash leaves is the files as they are now.
		dir := t.TempDir()
		for _, suffix := range []string{"", "-wal", "-journal"} {
			b, err := os.ReadFile(s.r.Case().Path() + suffix)
			if err == nil {
				require.NoError(t, os.WriteFile(filepath.Join(dir, "left.counterproof"+suffix), b, 0o600))
			}
		}
		c, err := casefile.Open(filepath.Join(dir, "left.counterproof"), casefile.Options{WorkFactor: 1})
		require.NoError(t, err)
		defer c.Close()
		require.Len(t, c.State().Read, confirmed)
		there := at(t, review.New(c))
		there.work.Go(s.work.Unit().Name)
		for i, step := range s.work.Steps() {
			require.Equal(t, step.Shown, there.work.Steps()[i].Shown)
		}
		require.Equal(t, s.work.At(), there.work.At(), "and it goes on where it was")
	}
	s.unit(0)
	assert.Equal(t, 16, confirmed)
}
