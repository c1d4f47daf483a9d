package review_test

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

var warehouseRules = cards.Rules{Zone: "America/New_York", Keys: []string{"power"}, Seals: []string{"memory door"}}

// atMachines is the finished demo with a ledger: all cards made from the export named.
func atMachines(t *testing.T, export string) (*review.Review, func() *review.Machines) {
	t.Helper()
	r := casetest.Finished(t)
	machines := func() *review.Machines {
		m, err := r.Machines()
		require.NoError(t, err)
		return m
	}
	require.Empty(t, machines().Items, "nothing is judged before the office says what its machines are")
	require.NoError(t, r.SetMachineRules(warehouseRules, programmer, second))
	var list []cards.Card
	for _, u := range machines().Warehouse.Plan.Units {
		list = append(list, cards.Card{Label: "C-" + u.Name, Unit: u.Name, Made: "2027-10-12", By: "Odile Farrow",
			Export: casefile.DigestOf(casetest.File(t, export)).String()})
	}
	require.Len(t, list, 12)
	require.NoError(t, r.MakeCards(programmer, list...))
	return r, machines
}

// screenOf is all that a unit shows where everything is right.
func screenOf(m *review.Machines, unit string, seal string) []cards.Reading {
	u := m.Warehouse.Plan.Unit(unit)
	// The case's clock goes on by a minute with each act; readings say themselves when a clock was read.
	at := time.Date(2027, 10, 12, 14, 0, 0, 0, time.UTC)
	return []cards.Reading{
		{Unit: unit, Field: cards.Header, List: u.Header},
		{Unit: unit, Field: cards.Election, Value: m.Warehouse.Plan.Election},
		{Unit: unit, Field: cards.Date, Value: "2027-11-02"}, {Unit: unit, Field: cards.Label, Value: "C-" + unit},
		{Unit: unit, Field: cards.Clock, Value: "2027-10-12 10:00", Read: at.Format(time.RFC3339)},
		{Unit: unit, Field: cards.Key, Name: "power", Value: cards.Turns},
		{Unit: unit, Field: cards.Zero, Value: cards.AllZero},
		{Unit: unit, Field: cards.Initials, List: []string{"A1", "A2"}},
		{Unit: unit, Field: cards.SealApplied, Name: "memory door", Value: seal},
	}
}

// open are the findings that are open, each as "code unit".
func open(m *review.Machines) (out []string) {
	for _, i := range m.Items {
		if i.Status.Open() {
			out = append(out, fmt.Sprint(i.Check, " ", i.Unit))
		}
	}
	return out
}

func firstOpen(m *review.Machines) *review.UnitItem {
	for i := range m.Items {
		if m.Items[i].Status.Open() {
			return &m.Items[i]
		}
	}
	return nil
}

func TestTheWarehouseOfTheDemo(t *testing.T) {
	r, machines := atMachines(t, "corrected.xml")
	require.Len(t, open(machines()), 12, "nobody was at any unit")
	left := func() (list []string) {
		missing, err := r.MissingToSign()
		require.NoError(t, err)
		for _, m := range missing {
			if strings.HasPrefix(m.Words, "Settle at the machine: ") {
				list = append(list, m.ID)
			}
		}
		return list
	}
	require.Empty(t, left(), "a report may be signed before the cards are loaded")
	units := machines().Warehouse.Plan.Units
	for i, u := range units {
		require.NoError(t, r.ReadUnit(second, screenOf(machines(), u.Name, fmt.Sprintf("%04d", i))...))
		require.NoError(t, r.SignUnit(u.Name, programmer, second))
	}
	require.Empty(t, machines().Items)

	// A card exchanged with another: swapped, signed by both, and seen at another visit.
	a, b := units[0].Name, units[3].Name
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: a, Field: cards.Visit}, cards.Reading{Unit: a,
		Field: cards.Label, Value: "C-" + b}))
	m := machines()
	require.Equal(t, []string{"wrong-card " + a, "unit-not-done " + a}, open(m))
	id := m.Items[0].ID
	require.Equal(t, []string{id, m.Items[1].ID}, left())
	verdict := review.UnitVerdict{Findings: []string{id}, Outcome: cards.SwapCard, Reason: "exchanged"}
	require.ErrorContains(t, r.DecideUnit(verdict, second), "programmer")
	require.ErrorContains(t, r.DecideUnit(review.UnitVerdict{Findings: []string{id}, Outcome: cards.SetClock, Reason: "x"},
		programmer, second), "cannot end")
	require.ErrorContains(t, r.DecideUnit(review.UnitVerdict{Findings: []string{"wrong-card-x"}, Outcome: cards.Accept,
		Reason: "x"}, programmer, second), "no finding")
	require.NoError(t, r.DecideUnit(verdict, programmer, second))
	require.Equal(t, review.StatusWaiting, machines().Item(id).Status)
	require.Contains(t, left(), id)
	require.ErrorContains(t, r.SignUnit(a, programmer, second), "was not read", "the screen has to be read with this card")

	again := screenOf(machines(), a, "0900")
	again = append([]cards.Reading{{Unit: a, Field: cards.Visit}, {Unit: a, Field: cards.SealRemoved, Name: "memory door",
		Value: "0000"}}, again...)
	require.NoError(t, r.ReadUnit(second, again...))
	require.NoError(t, r.SignUnit(a, programmer, second))
	require.Empty(t, open(machines()))
	require.Equal(t, review.StatusCleared, machines().Item(id).Status)
	require.Empty(t, left())

	// What is gone at a later visit and was not decided stays open.
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: b, Field: cards.Visit},
		cards.Reading{Unit: b, Field: cards.Key, Name: "power", Value: cards.Fails}))
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: b, Field: cards.Visit},
		cards.Reading{Unit: b, Field: cards.Key, Name: "power", Value: cards.Turns}))
	require.NoError(t, r.SignUnit(b, programmer, second))
	m = machines()
	require.Equal(t, []string{"key-fails " + b}, open(m))
	key := firstOpen(m)
	require.True(t, key.Past)
	require.NoError(t, r.DecideUnit(review.UnitVerdict{Findings: []string{key.ID}, Outcome: cards.Accept,
		Reason: "the lock was oiled"}, programmer, second))
	require.Empty(t, open(machines()))

	// An accepted fault stays settled until it is another one.
	c := units[5].Name
	clock := func(shown string) {
		require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: c, Field: cards.Visit}, cards.Reading{Unit: c,
			Field: cards.Clock, Value: shown, Read: "2027-10-12T14:00:00Z"}))
		require.NoError(t, r.SignUnit(c, programmer, second))
	}
	clock("2027-10-12 09:55")
	off := firstOpen(machines())
	require.NoError(t, r.DecideUnit(review.UnitVerdict{Findings: []string{off.ID}, Outcome: cards.Accept,
		Reason: "set on election morning"}, programmer, second))
	require.Equal(t, review.StatusSettled, machines().Item(off.ID).Status)
	clock("2027-10-12 09:00")
	require.Equal(t, review.StatusReopened, machines().Item(off.ID).Status)
	clock("2027-10-12 10:00")
	require.Equal(t, review.StatusOpen, machines().Item(off.ID).Status, "nobody decided what it showed last")
	require.NoError(t, r.DecideUnit(review.UnitVerdict{Findings: []string{off.ID}, Outcome: cards.SetClock,
		Reason: "an hour behind"}, programmer, second))
	require.Equal(t, review.StatusCleared, machines().Item(off.ID).Status)
}

// Keys, counters and places of seals are those that the office names, and are recorded as it writes them. A
// seal of earlier rules can still be found.
func TestReadingsAreOfWhatTheOfficeNames(t *testing.T) {
	r, machines := atMachines(t, "corrected.xml")
	unit := machines().Warehouse.Plan.Units[0].Name
	for says, reading := range map[string]cards.Reading{
		`no key is called "nokey"; the office's rules have power`:  {Field: cards.Key, Name: "nokey", Value: cards.Turns},
		`no counter is called "foo"; the office's rules have none`: {Field: cards.Counter, Name: "foo", Value: "1"},
		`no place of a seal is called "nowhere"; the office's rules have memory door`: {Field: cards.SealApplied,
			Name: "nowhere", Value: "5"},
		`no place of a seal is called "lid"`: {Field: cards.SealRemoved, Name: "lid"},
	} {
		reading.Unit = unit
		require.ErrorContains(t, r.ReadUnit(second, reading), says)
	}
	require.Empty(t, r.Case().State().Read)
	applied := cards.Reading{Unit: unit, Field: cards.SealApplied, Name: " Memory  door", Value: "0001"}
	require.NoError(t, r.ReadUnit(second, applied))
	require.Equal(t, "memory door", r.Case().State().Read[0].Name)

	other := warehouseRules
	other.Seals = []string{"lid"}
	require.NoError(t, r.SetMachineRules(other, programmer, second))
	require.ErrorContains(t, r.ReadUnit(second, applied), "rules have lid")
	removed := cards.Reading{Unit: unit, Field: cards.SealRemoved, Name: "Memory door", Value: "0001"}
	require.NoError(t, r.ReadUnit(second, removed))
	require.Equal(t, "memory door", r.Case().State().Read[1].Name)
}

// What is read at a unit after a report was signed is in no report yet: a new round is open.
func TestAReadingAfterASignedReportOpensANewRound(t *testing.T) {
	r, machines := atMachines(t, "corrected.xml")
	require.NoError(t, r.SignOff([]byte(`{"format":"counterproof-report/1"}`), nil, nil, programmer, second, supervisor))
	require.Empty(t, review.NewRound(r.Case().State()))
	unit := machines().Warehouse.Plan.Units[0].Name
	require.NoError(t, r.ReadUnit(second, screenOf(machines(), unit, "0001")...))
	require.Contains(t, review.NewRound(r.Case().State()), "something came on record of the machines")
}

// After a later export the cards of units that it does not touch stay good.
func TestCardsOfAnEarlierExport(t *testing.T) {
	_, machines := atMachines(t, "export.xml")
	stale := map[string]string{}
	for _, i := range machines().Items {
		if strings.HasPrefix(i.ID, "stale-card") {
			stale[i.Unit] = i.Message
		}
	}
	// PLANTED.md, 1: the vote-for of County Judge, on every ballot of the county.
	require.Len(t, stale, 12)
	for _, message := range stale {
		require.Contains(t, message, `"County Judge": vote for 2 instead of 1`)
	}

	// A county in which one contest of one town changes.
	before := casetest.County(100, true)
	c := casetest.New(t)
	rows := sheets.FromElection(before, "")
	r := casetest.Opened(t, c, rows, "county-1.xml", casetest.Export(t, before))
	after := casetest.County(100, true)
	town := -1 // a contest of the second town: precincts 50 to 99
	for i, contest := range after.Contests {
		if after.Districts[contest.District.Value].Kind == "town" &&
			after.Districts[contest.District.Value].Precincts[0] == 50 {
			town = i
		}
	}
	after.Contests[town].VoteFor.Value = 2
	casetest.Bring(t, r, "county-2.xml", casetest.Export(t, after))
	require.NoError(t, r.SetMachineRules(warehouseRules, programmer, second))
	m, err := r.Machines()
	require.NoError(t, err)
	require.Len(t, m.Warehouse.Plan.Units, 20)
	for _, u := range m.Warehouse.Plan.Units {
		require.NoError(t, r.MakeCards(programmer, cards.Card{Label: "C-" + u.Name, Unit: u.Name, Made: "2027-10-12",
			By: "OF", Export: casefile.DigestOf(casetest.Export(t, before)).String()}))
	}
	m, err = r.Machines()
	require.NoError(t, err)
	of := map[string]bool{}
	for _, i := range m.Items {
		if strings.HasPrefix(i.ID, "stale-card") {
			of[i.Unit] = true
			require.Contains(t, i.Message, "vote for 2 instead of 1")
		}
	}
	require.Len(t, of, 10, "five precincts to a unit: those of the second town")
	require.False(t, of["U-0010"])
	require.True(t, of["U-0011"])
}

func TestTwoTeamsOfAWarehouse(t *testing.T) {
	r, machines := atMachines(t, "corrected.xml")
	units := machines().Warehouse.Plan.Units
	team := func(name string, seal string, list ...string) string {
		path := filepath.Join(t.TempDir(), name+casefile.Extension)
		require.NoError(t, r.FormTeam(context.Background(), programmer, cards.Team{Name: name, Units: list},
			files.Place{Path: path, Private: true}))
		c, err := casefile.Open(path, casefile.Options{WorkFactor: 1})
		require.NoError(t, err)
		defer c.Close()
		for _, p := range []casefile.PersonID{programmer, second} {
			require.NoError(t, c.Unlock(p, casetest.Passphrase))
		}
		of := review.New(c)
		m, err := of.Machines()
		require.NoError(t, err)
		for i, unit := range list {
			require.NoError(t, of.ReadUnit(second, screenOf(m, unit, fmt.Sprint(seal, i))...))
			require.NoError(t, of.SignUnit(unit, programmer, second))
		}
		return path
	}
	var south []string
	for _, u := range units[1:] {
		south = append(south, u.Name)
	}
	a := team("North", "N", units[0].Name, units[1].Name)
	b := team("South", "S", south...)
	require.NoError(t, r.SignOff([]byte(`{"format":"counterproof-report/1"}`), nil, nil, programmer, second, supervisor))
	for _, path := range []string{a, b} {
		_, err := r.Case().JoinTeam(programmer, path)
		require.NoError(t, err)
	}
	require.Contains(t, review.NewRound(r.Case().State()), "came on record of the machines (entry "+
		fmt.Sprint(r.Case().State().SignOffs[0].Seq+1)+")", "what a team read before is on record since it was joined")
	m := machines()
	require.ElementsMatch(t, []string{"teams-differ " + units[1].Name, "seal-fault " + units[1].Name}, open(m),
		"both were at the second unit: the other seal is over the first")
	require.Contains(t, m.Items[1].Message, "team North and team South both worked at it; they read the same")

	// The office goes on from what a team recorded, once that is joined.
	first := units[0].Name
	require.NoError(t, r.ReadUnit(second, cards.Reading{Unit: first, Field: cards.Key, Name: "power", Value: cards.Fails}))
	require.NoError(t, r.SignUnit(first, programmer, second), "all else was read by the team")
	m = machines()
	require.ElementsMatch(t, []string{"key-fails " + first, "teams-differ " + units[1].Name,
		"seal-fault " + units[1].Name}, open(m))
}
