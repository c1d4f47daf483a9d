package casefile

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/cards"
	"counterproof/model/files"
)

var warehouse = cards.Rules{Zone: "America/New_York", Keys: []string{"power"}, Seals: []string{"memory door"},
	Counters: []string{"public"}}

// screen is all that is read at a unit.
func screen(unit string) []cards.Reading {
	return []cards.Reading{
		{Unit: unit, Field: cards.SealRemoved, Name: "memory door"},
		{Unit: unit, Field: cards.Header, List: []string{"1-01"}, Open: true},
		{Unit: unit, Field: cards.Header, List: []string{"1-01", "1-02"}},
		{Unit: unit, Field: cards.Election, Value: "General Election"},
		{Unit: unit, Field: cards.Date, Value: "2027-11-02"},
		{Unit: unit, Field: cards.Label, Value: "C-1"},
		{Unit: unit, Field: cards.Clock, Value: "2027-10-12 05:01", Read: "2027-10-12T09:01:00Z"},
		{Unit: unit, Field: cards.Key, Name: "power", Value: cards.Turns},
		{Unit: unit, Field: cards.Zero, Value: cards.AllZero},
		{Unit: unit, Field: cards.Initials, List: []string{"OF", "WA"}},
		{Unit: unit, Field: cards.Counter, Name: "public", Value: "0"},
		{Unit: unit, Field: cards.LoadTime, Value: "142"},
		{Unit: unit, Field: cards.SealApplied, Name: "memory door", Value: "004417"},
	}
}

// A crash between any two confirmed fields loses none of them: after each, the files as they lie there
// open and hold all.
func TestACrashBetweenTwoReadingsLosesNothing(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	require.NoError(t, c.SetMachineRules(warehouse, "p1", "p2"))
	for i, r := range screen("U-1") {
		require.NoError(t, c.ReadUnit("p2", r), r.Field)
		left := newPath(t)
		for _, end := range []string{"", walEnd, journalEnd} {
			if _, err := os.Stat(path + end); err == nil {
				copyFile(t, path+end, left+end)
			}
		}
		after, err := Open(left, quick())
		require.NoError(t, err)
		kept := after.State().Read
		require.Len(t, kept, i+1)
		require.Equal(t, r, kept[i].Reading)
		require.NoError(t, after.Close())
	}
}

func TestAReadingIsWrittenAsTheFormatSays(t *testing.T) {
	c := sealedCase(t, newPath(t))
	label := cards.Reading{Unit: "U-1", Field: cards.Label, Value: "C-1"}
	require.ErrorContains(t, c.ReadUnit("p2", label), "what its machines are")
	require.ErrorContains(t, c.SetMachineRules(warehouse, "p2"), "programmer")
	require.ErrorContains(t, c.SetMachineRules(cards.Rules{}, "p1", "p2"), "time zone")
	require.ErrorContains(t, c.SetMachineRules(cards.Rules{Zone: "UTC", Keys: []string{"a", "a"}}, "p1", "p2"), "once")
	require.NoError(t, c.SetMachineRules(warehouse, "p1", "p2"))
	require.ErrorContains(t, c.ReadUnit("p9", label), "not on the roster")
	for _, r := range []cards.Reading{
		{Field: cards.Label, Value: "C-1"},
		{Unit: "U-1", Field: "weather", Value: "rain"},
		{Unit: "U-1", Field: cards.Label},
		{Unit: "U-1", Field: cards.Label, Value: "C-1", List: []string{"C-1"}},
		{Unit: "U-1", Field: cards.Label, Value: "C-1", Void: true},
		{Unit: "U-1", Field: cards.Date, Value: "2 November"},
		{Unit: "U-1", Field: cards.Clock, Value: "5:01", Read: "2027-10-12T09:01:00Z"},
		{Unit: "U-1", Field: cards.Clock, Value: "2027-10-12 05:01"},
		{Unit: "U-1", Field: cards.Key, Value: cards.Turns},
		{Unit: "U-1", Field: cards.Key, Name: "power", Value: "perhaps"},
		{Unit: "U-1", Field: cards.Zero, Value: "0"},
		{Unit: "U-1", Field: cards.Counter, Name: "public", Value: "-1"},
		{Unit: "U-1", Field: cards.Header, Value: "1-01"},
		{Unit: "U-1", Field: cards.Header, List: []string{" "}},
		{Unit: "U-1", Field: cards.Initials},
		{Unit: "U-1", Field: cards.SealApplied, Name: "memory door"},
		{Unit: "U-1", Field: cards.SealApplied, Name: "memory door", Value: "--"},
		{Unit: "U-1", Field: cards.SealRemoved, Name: "memory door", Value: "--"},
		{Unit: "U-1", Field: cards.Clock, Value: "2027-10-12 05:01", Read: "1999-12-31T23:59:59Z"},
	} {
		require.ErrorIs(t, c.ReadUnit("p2", r), ErrRule, "%+v", r)
	}
	require.Empty(t, c.State().Read)
	require.NoError(t, c.ReadUnit("p2", screen("U-1")...))
	require.Len(t, c.State().Read, len(screen("U-1")), "those of one act are entries of their own")
	require.NoError(t, c.ReadUnit("p2", screen("U-2")[0]))
	require.ErrorContains(t, c.ReadUnit("p2", screen("U-2")[5], screen("U-2")[5]), "was read already",
		"of several all are recorded or none")
	require.Len(t, c.State().Read, len(screen("U-1"))+1)
}

func TestAReadingIsCorrectedByAnotherEntry(t *testing.T) {
	c := sealedCase(t, newPath(t))
	require.NoError(t, c.SetMachineRules(warehouse, "p1", "p2"))
	read := func(r cards.Reading) int64 {
		r.Unit = "U-1"
		require.NoError(t, c.ReadUnit("p2", r), r)
		return c.State().Seq
	}
	refused := func(r cards.Reading, says string) {
		r.Unit = "U-1"
		require.ErrorContains(t, c.ReadUnit("p2", r), says)
	}
	first := read(cards.Reading{Field: cards.Label, Value: "C-1"})
	refused(cards.Reading{Field: cards.Label, Value: "C-7"}, "correct that")
	refused(cards.Reading{Field: cards.Label, Value: "C-7", Corrects: first}, "gives its reason")
	refused(cards.Reading{Field: cards.Date, Value: "2027-11-02", Corrects: first, Reason: "x"}, "no reading of this")
	second := read(cards.Reading{Field: cards.Label, Value: "C-7", Corrects: first, Reason: "misheard"})
	refused(cards.Reading{Field: cards.Label, Value: "C-8", Corrects: first, Reason: "misheard"}, "still counts")
	read(cards.Reading{Field: cards.Label, Corrects: second, Reason: "another unit's", Void: true})
	read(cards.Reading{Field: cards.Label, Value: "C-1"})
	seal := read(cards.Reading{Field: cards.SealApplied, Name: "memory door", Value: "1"})
	read(cards.Reading{Field: cards.SealRemoved, Name: "memory door", Value: "1"})
	read(cards.Reading{Field: cards.SealApplied, Name: "memory door", Value: "2"})
	read(cards.Reading{Field: cards.SealApplied, Name: "memory door", Value: "11", Corrects: seal, Reason: "misread"})
	read(cards.Reading{Field: cards.Visit})
	old := read(cards.Reading{Field: cards.Label, Value: "C-2"})
	read(cards.Reading{Field: cards.Visit})
	read(cards.Reading{Field: cards.Label, Value: "C-3", Corrects: old, Reason: "of the visit before"})
	read(cards.Reading{Field: cards.Label, Value: "C-4"})
	again := reopen(t, c)
	require.Equal(t, c.State().Read, again.State().Read)
	unlockAll(t, again)

	require.ErrorContains(t, again.SignUnit(UnitSignature{Unit: "U-1", Visit: 2}, "p1", "p2"),
		"no visit 2 that is the last")
	require.ErrorContains(t, again.SignUnit(UnitSignature{Unit: "U-1", Visit: 3}, "p2"), "programmer")
	require.ErrorContains(t, again.SignUnit(UnitSignature{Unit: "U-1", Visit: 3}, "p1", "p3"), "second party")
	require.NoError(t, again.SignUnit(UnitSignature{Unit: "U-1", Visit: 3}, "p1", "p2"))
}

func TestTheLedgerOfCards(t *testing.T) {
	c := sealedCase(t, newPath(t))
	of := DigestOf([]byte("export")).String()
	good := cards.Card{Label: "C-1", Unit: "U-1", Export: of, Made: "2027-10-11 14:30", By: "Odile Farrow"}
	with := func(alter func(*cards.Card)) cards.Card {
		one := good
		alter(&one)
		return one
	}
	for says, list := range map[string][]cards.Card{
		"no card":      {},
		"has a label":  {with(func(c *cards.Card) { c.Label = "" })},
		"no SHA-256":   {with(func(c *cards.Card) { c.Export = "abc" })},
		"is no day":    {with(func(c *cards.Card) { c.Made = "yesterday" })},
		"who made it":  {with(func(c *cards.Card) { c.By = "" })},
		"stands twice": {good, with(func(c *cards.Card) { c.Label, c.Unit = " c-1", "U-2" })},
	} {
		require.ErrorContains(t, c.MakeCards("p1", list...), says)
	}
	require.NoError(t, c.MakeCards("p1", good))
	require.Equal(t, good, reopen(t, c).State().Cards[0].Card)
}

// A team does its units in a copy of the case, and nothing else; what it recorded is joined, and joined
// again when it went on.
func TestATeamDoesItsUnitsAndIsJoined(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	require.NoError(t, c.SetMachineRules(warehouse, "p1", "p2"))
	require.NoError(t, c.ReadUnit("p2", screen("U-1")...))
	before := c.State().Seq
	other := newPath(t)
	require.NoError(t, os.WriteFile(other, []byte("somebody's"), 0o600))
	for _, there := range []string{path, other} {
		require.ErrorIs(t, c.FormTeam(context.Background(), "p1", cards.Team{Name: "North", Units: []string{"U-2"}},
			files.Place{Path: there, Private: true}), files.ErrRefused)
	}
	require.Equal(t, before, c.State().Seq, "no team is formed whose case cannot be written")
	north := filepath.Join(filepath.Dir(path), "north"+Extension)
	require.NoError(t, c.FormTeam(context.Background(), "p1", cards.Team{Name: "North", Units: []string{"U-2"}},
		files.Place{Path: north, Private: true}))
	require.Empty(t, c.State().Team(), "the case itself is no team's")
	require.ErrorContains(t, c.FormTeam(context.Background(), "p1", cards.Team{Name: "north", Units: []string{"U-3"}},
		files.Place{Path: filepath.Join(filepath.Dir(path), "two"+Extension), Private: true}), "for other units")
	require.NoError(t, c.ReadUnit("p2", screen("U-3")...), "the office goes on")

	team, err := Open(north, c.options)
	require.NoError(t, err)
	defer team.Close()
	unlockAll(t, team)
	require.Equal(t, "North", team.State().Team())
	require.ErrorContains(t, team.ReadUnit("p2", screen("U-1")[0]), "not the work of team North")
	require.ErrorContains(t, team.Amend(Amendment{Document: "x", Date: "2027-10-01",
		Contests: []Row{{Table: Contests, Row: 1}}}, "p1", "p2"), "does its units and nothing else")
	k, err := team.Keying("p2")
	require.NoError(t, err)
	require.ErrorContains(t, k.Set(Set(Choices, 1, "name", "Other")), "nothing else")
	require.NoError(t, team.ReadUnit("p2", screen("U-2")...))
	require.NoError(t, team.SignUnit(UnitSignature{Unit: "U-2", Visit: 1}, "p2", "p1"))
	_, err = team.JoinTeam("p1", path)
	require.ErrorContains(t, err, "not the case of a team")

	joined, err := c.JoinTeam("p1", north)
	require.NoError(t, err)
	require.Equal(t, "North", joined.Name)
	require.Len(t, c.State().Read, 3*len(screen("")))
	require.Equal(t, "North", c.State().Read[len(c.State().Read)-1].Team)
	require.Len(t, c.State().UnitsSigned, 1)
	_, err = c.JoinTeam("p1", north)
	require.ErrorContains(t, err, "was joined already", "nothing is new")
	require.NoError(t, team.ReadUnit("p2", cards.Reading{Unit: "U-2", Field: cards.Visit}))
	_, err = c.JoinTeam("p1", north)
	require.NoError(t, err)
	require.Len(t, c.State().Read, 3*len(screen(""))+1, "each reading once")

	again := reopen(t, c)
	require.Equal(t, c.State().Read, again.State().Read)
	require.NoError(t, again.Close())
	report, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, report.Good(), report.Words())

	t.Run("what is not the team's own is refused", func(t *testing.T) {
		entries := allEntries(t, north)
		s := report.State
		at := s.Teams[0]
		fold := func(entries []Entry) error {
			var lines []byte
			for i := range entries {
				lines = append(append(lines, entries[i].Canonical()...), '\n')
			}
			packed, err := compress(lines)
			require.NoError(t, err)
			_, _, err = s.foldTeam(&at, teamJoinedBody{Journal: DigestOf(lines)}, packed)
			return err
		}
		own := entries[at.Seq:]
		require.NoError(t, fold(own))
		forged := append([]Entry{}, own...)
		for i := range forged {
			if forged[i].Kind == KindUnitSigned {
				forged[i].At = "2027-10-12T23:59:59Z"
			}
			forged[i].Prev = at.head
			if i > 0 {
				forged[i].Prev = forged[i-1].Hash
			}
			forged[i].Hash = DigestOf(forged[i].Canonical())
		}
		require.ErrorContains(t, fold(forged), "does not hold", "a signature over another time")
		require.ErrorContains(t, fold(own[1:]), "does not follow")
	})
}
