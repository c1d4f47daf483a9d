package casefile

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/sheets"
)

// ballotsOf says what the rows of a second entry say, apart from the numbers of
// positions and where rows stood.
func ballotsOf(t testing.TB, s *sheets.Sheets) any {
	t.Helper()
	e, err := s.Election()
	require.NoError(t, err)
	e.Origins.Contests, e.Origins.Styles, e.Origins.Parties, e.Origins.Precincts, e.Origins.Sites, e.Origins.Units = nil,
		nil, nil, nil, nil, nil
	return e
}

// amendedEntry is the small entry, altered.
func amendedEntry(alter func(*sheets.Sheets)) *sheets.Sheets {
	s := smallEntry()
	alter(s)
	return s
}

func TestAnAmendmentIsKeyedByBringingTheSheetsInAgain(t *testing.T) {
	judge := Row{Table: Contests, Row: 2}
	for name, c := range map[string]struct {
		contests []Row
		alter    func(*sheets.Sheets)
	}{
		"a contest has another vote for": {[]Row{judge}, func(s *sheets.Sheets) { s.Contests[1].VoteFor = "1" }},
		"a choice is added": {[]Row{judge}, func(s *sheets.Sheets) {
			s.Choices = slices.Insert(s.Choices, 2, sheets.ChoiceRow{Contest: "judge", Position: "1", Name: "Late Addition",
				PartyLines: "MEA"})
			s.Choices[3].Position, s.Choices[4].Position = "2", "3"
		}},
		"a choice withdrew": {[]Row{judge}, func(s *sheets.Sheets) { s.Choices = s.Choices[:3] }},
		"a contest is added between two": {nil, func(s *sheets.Sheets) {
			s.Contests = append(s.Contests, sheets.ContestRow{Contest: "clerk", Title: "County Clerk", Kind: "candidate",
				VoteFor: "1", Source: "Order 12"})
			s.Choices = append(s.Choices, sheets.ChoiceRow{Contest: "clerk", Position: "1", Name: "Hedda Rook",
				PartyLines: "GRO"})
			s.Ballots = []sheets.BallotRow{s.Ballots[0], {Style: "A", Position: "2", Contest: "clerk"},
				{Style: "A", Position: "3", Contest: "judge"}}
		}},
		"three contests are added, first, between and last": {nil, func(s *sheets.Sheets) {
			for _, code := range []string{"x", "y", "z", "w"} {
				s.Contests = append(s.Contests, sheets.ContestRow{Contest: code, Title: "Office " + code, Kind: "candidate",
					VoteFor: "1"})
				s.Choices = append(s.Choices, sheets.ChoiceRow{Contest: code, Position: "1", Name: "Candidate " + code,
					PartyLines: "-"})
			}
			s.Ballots = nil
			for i, code := range []string{"x", "exec", "y", "z", "judge", "w"} {
				s.Ballots = append(s.Ballots, sheets.BallotRow{Style: "A", Position: itoa(i + 1), Contest: code})
			}
		}},
		"a contest goes": {[]Row{judge}, func(s *sheets.Sheets) {
			s.Contests, s.Choices, s.Ballots = s.Contests[:1], s.Choices[:2], s.Ballots[:1]
		}},
		"a reopened contest changes its place and heading": {[]Row{judge}, func(s *sheets.Sheets) {
			s.Ballots = []sheets.BallotRow{{Style: "A", Position: "1", Contest: "judge", Heading: "Judicial",
				ChoiceOrder: "2|1"}, {Style: "A", Position: "2", Contest: "exec"}}
		}},
		"a second version of a ballot": {nil, func(s *sheets.Sheets) {
			s.Contests = append(s.Contests, sheets.ContestRow{Contest: "clerk", Title: "County Clerk", Kind: "candidate",
				VoteFor: "1"})
			s.Choices = append(s.Choices, sheets.ChoiceRow{Contest: "clerk", Position: "1", Name: "Hedda Rook", PartyLines: "-"})
			s.Ballots = append(s.Ballots, sheets.BallotRow{Style: "A2", Position: "1", Contest: "exec"},
				sheets.BallotRow{Style: "A2", Position: "2", Contest: "clerk"})
			s.Styles = append(s.Styles, sheets.StyleRow{Style: "A2", Precinct: "1-02"})
		}},
	} {
		t.Run(name, func(t *testing.T) {
			on := sealedCase(t, newPath(t))
			k := keying(t, on)
			want := amendedEntry(c.alter)
			require.ErrorIs(t, k.Load("sheets", want), ErrSealed, "without an amendment")
			require.NoError(t, on.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Contests: c.contests}, "p2", "p1"))
			before := on.State().Seq
			require.NoError(t, k.Load("sheets", want))
			require.Equal(t, before+1, on.State().Seq, "one act is one entry")
			require.Equal(t, ballotsOf(t, want), ballotsOf(t, k.Sheets()))
			require.ErrorContains(t, k.Load("sheets", want), "nothing to key")
			undone, err := k.Undo()
			require.NoError(t, err)
			require.True(t, undone)
			require.Equal(t, ballotsOf(t, smallEntry()), ballotsOf(t, k.Sheets()))
			require.NoError(t, k.Load("sheets", want))
			require.NoError(t, on.Seal("p2", Seal{Scope: ScopeBallots}))
			on = reopen(t, on)
			now, err := on.Sheets(0)
			require.NoError(t, err)
			require.Equal(t, ballotsOf(t, want), ballotsOf(t, now))
			require.NoError(t, on.Close())
			r, err := Verify(on.Path(), Expect{})
			require.NoError(t, err)
			require.True(t, r.Good(), r.Words())
		})
	}
}

func TestNothingElseComesInWithAnAmendment(t *testing.T) {
	for name, c := range map[string]struct {
		alter func(*sheets.Sheets)
		says  []string
	}{
		"another contest's title": {func(s *sheets.Sheets) { s.Contests[0].Title = "County Manager" },
			[]string{"County Executive", "County Manager", "title"}},
		"another contest's choices": {func(s *sheets.Sheets) { s.Choices[0].Name = "Ilsa Brandywine" },
			[]string{"choices", "County Executive"}},
		"a choice left out": {func(s *sheets.Sheets) { s.Choices = s.Choices[1:] },
			[]string{"choices", "County Executive"}},
		"a contest left out": {func(s *sheets.Sheets) {
			s.Contests, s.Choices, s.Ballots = s.Contests[1:], s.Choices[2:], s.Ballots[1:]
		}, []string{"County Executive", "not in the sheets"}},
		"it is taken off a ballot": {func(s *sheets.Sheets) { s.Ballots = s.Ballots[1:] },
			[]string{`"A"`, "County Executive"}},
		"a heading over another contest": {func(s *sheets.Sheets) { s.Ballots[0].Heading = "Executive" },
			[]string{`"A"`, "heading", "County Executive"}},
		"another order of its choices": {func(s *sheets.Sheets) { s.Ballots[0].ChoiceOrder = "2|1" },
			[]string{"order", "County Executive"}},
		"the ballot goes to fewer precincts": {func(s *sheets.Sheets) { s.Styles = s.Styles[:1] },
			[]string{`"A"`, "precincts"}},
		"the ballot has another label": {func(s *sheets.Sheets) {
			for i := range s.Ballots {
				s.Ballots[i].Style, s.Styles[i].Style = "B", "B"
			}
		}, []string{`"A"`, "not in the sheets"}},
		"another roster": {func(s *sheets.Sheets) {
			s.Precincts = append(s.Precincts, sheets.PrecinctRow{Precinct: "1-03", Site: "Mill Hall"})
		}, []string{"sealed"}},
		"another card": {func(s *sheets.Sheets) { s.Units[0].Site, s.Units[1].Site = "Fire House", "Fire House" },
			[]string{"units", "sealed"}},
		"nothing changed":   {func(*sheets.Sheets) {}, []string{"nothing to key"}},
		"it cannot be read": {func(s *sheets.Sheets) { s.Contests[0].VoteFor = "x" }, []string{"vote_for"}},
	} {
		t.Run(name, func(t *testing.T) {
			on := sealedCase(t, newPath(t))
			k := keying(t, on)
			require.NoError(t,
				on.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Contests: []Row{{Table: Contests, Row: 2}}}, "p2",
					"p1"))
			before := on.State().Seq
			for _, also := range []bool{false, true} { // alone, and beside what the order changes
				err := k.Load("sheets", amendedEntry(func(s *sheets.Sheets) {
					if also && name != "nothing changed" {
						s.Contests[1].VoteFor = "1"
					}
					c.alter(s)
				}))
				require.Error(t, err)
				for _, words := range c.says {
					require.Contains(t, err.Error(), words)
				}
				require.NotContains(t, strings.ToLower(err.Error()), "row ")
			}
			require.Equal(t, before, on.State().Seq)
			require.Equal(t, ballotsOf(t, smallEntry()), ballotsOf(t, k.Sheets()))
		})
	}
}

// While the units are open still, theirs come in beside what an amendment changes.
func TestUnitsComeInWhileAnAmendmentIsOpen(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	first := smallEntry()
	first.Units = nil
	require.NoError(t, k.Load("proof A", first))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01",
		Contests: []Row{{Table: Contests, Row: 2}}}, "p2", "p1"))
	want := amendedEntry(func(s *sheets.Sheets) { s.Contests[1].VoteFor = "1" })
	require.NoError(t, k.Load("sheets", want))
	require.Equal(t, ballotsOf(t, want), ballotsOf(t, k.Sheets()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeUnits}))
}
