package casefile

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
	"counterproof/model/sheets"
)

// TestACaseAndPlainSheetsSayTheSame: sheets brought into a case, kept and written again
// are the same election, down to the lines they were typed on.
func TestACaseAndPlainSheetsSayTheSame(t *testing.T) {
	primary := smallEntry()
	primary.Ballots = []sheets.BallotRow{
		{Style: "A", Party: "HAR", Position: "1", Contest: "exec", Heading: "County"},
		{Style: "A", Party: "MEA", Position: "1", Contest: "judge", ChoiceOrder: "2|1"},
	}
	mixed := smallEntry()
	mixed.Ballots = append(mixed.Ballots, sheets.BallotRow{Style: "A", Party: "HAR", Position: "1", Contest: "exec"})
	perPrecinct := smallEntry()
	perPrecinct.Styles = nil
	perPrecinct.Ballots = []sheets.BallotRow{
		{Precinct: "1-01", Position: "1", Contest: "exec"}, {Precinct: "1-01", Position: "3", Contest: "judge"},
		{Precinct: "1-02", Style: "B", Position: "1", Contest: "judge"},
	}
	odd := smallEntry()
	odd.Contests[0].VoteFor = "0"
	odd.Contests[0].Text = "Shall the county\nborrow?"
	odd.Units = append(odd.Units, sheets.UnitRow{Unit: "S-2", Site: "Old School", Use: "early"})
	odd.Parties = []sheets.PartyRow{{Party: "HAR", Name: "Harbor Party"}}
	odd.Facts = []sheets.FactsRow{{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"}}
	for name, s := range map[string]*sheets.Sheets{
		"styles given to precincts": smallEntry(), "closed primary": primary, "a style with and without party": mixed,
		"a ballot for each precinct": perPrecinct, "odd values": odd, "a county": countySheets(50),
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			require.NoError(t, s.WriteDir(dir))
			typed, err := sheets.ReadDir(dir)
			require.NoError(t, err)
			want, err := typed.Election()
			require.NoError(t, err)

			c := staffed(t, newPath(t))
			require.NoError(t, keying(t, c).Load(dir, typed))
			c = reopen(t, c)
			kept, err := c.Sheets(0)
			require.NoError(t, err)
			got, err := kept.Election()
			require.NoError(t, err)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("the case says something else than the sheets (-sheets +case):\n%s", diff)
			}
		})
	}
}

// TestAFaceKeyedOnTheDesk is keyed as the desktop does: field by field, a contest put
// between two others, a face given to precincts.
func TestAFaceKeyedOnTheDesk(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	for i, p := range []string{"1-01", "1-02", "1-03"} {
		require.NoError(t, k.Set(Set(Precincts, i+1, "precinct", p), Set(Precincts, i+1, "site", "Mill Hall")))
	}
	for i, title := range []string{"Executive", "Clerk", "Judge"} {
		n := k.Next(Contests)
		require.Equal(t, i+1, n)
		require.NoError(t, k.Set(Set(Contests, n, "title", title)))
		require.NoError(t, k.Set(Set(Contests, n, "kind", "candidate"), Set(Contests, n, "vote_for", "1")))
		require.NoError(t, k.Set(Set(Choices, n, "contest", itoa(n)), Set(Choices, n, "position", "1"),
			Set(Choices, n, "name", "Person "+itoa(n)), Set(Choices, n, "party_lines", "-")))
	}
	place := func(face, contest int, position string) {
		n := k.Next(Placements)
		require.NoError(t, k.Set(Set(Placements, n, "face", itoa(face)), Set(Placements, n, "contest", itoa(contest)),
			Set(Placements, n, "position", position)))
	}
	// The face has no label: it is told apart by its precincts alone.
	place(1, 1, "1")
	place(1, 3, "2")
	place(1, 2, "1.5")
	require.NoError(t, k.Set(Set(Assignments, 1, "face", "1"), Set(Assignments, 1, "precinct", "1-01")))
	require.NoError(t, k.Set(Set(Assignments, 2, "face", "1"), Set(Assignments, 2, "precinct", "1-02")))
	require.Equal(t, []string{"1-03"}, k.Unkeyed(ScopeBallots))

	e, err := k.Sheets().Election()
	require.NoError(t, err)
	require.Len(t, e.Styles, 1)
	var titles []string
	for _, p := range e.Styles[0].Content {
		titles = append(titles, e.Contests[p.Contest].Title.Value.In(""))
	}
	require.Equal(t, []string{"Executive", "Clerk", "Judge"}, titles)
	require.Equal(t, []int{0, 1}, e.Styles[0].Precincts)
	require.Equal(t, model.Stated[string]{}, e.Styles[0].Label)

	require.ErrorContains(t, c.Seal("p2", Seal{Scope: ScopeBallots}), "1-03")
	require.ErrorContains(t, c.Seal("p2", Seal{Scope: ScopeBallots, Without: []string{"1-02", "1-03"}}), "it is keyed")
	require.ErrorContains(t, c.Seal("p2", Seal{Scope: ScopeBallots, Without: []string{"9-09"}}), "roster")
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots, Without: []string{"1-03"}}))
	require.ErrorIs(t, c.Seal("p2", Seal{Scope: ScopeBallots, Without: []string{"1-03"}}), ErrSealed)
	require.ErrorIs(t, k.Set(Set(Contests, 1, "title", "County Executive")), ErrSealed)
	ok, err := k.Undo()
	require.NoError(t, err)
	require.False(t, ok, "what is sealed cannot be undone")

	t.Run("units stay open, with their own undo", func(t *testing.T) {
		require.NoError(t, k.Set(Set(Units, 1, "unit", "S-1")))
		require.NoError(t, k.Set(Set(Precincts, 1, "site", "Old School")))
		require.ErrorIs(t, k.Set(Set(Precincts, 1, "precinct", "1-99")), ErrSealed)
		ok, err := k.Undo()
		require.NoError(t, err)
		require.True(t, ok)
		require.Equal(t, "Mill Hall", k.Get(Precincts, 1, "site"))
	})
}

// TestUndoAndRedoAreExact: whatever is keyed, undone and done again, the case says what
// a plain list of states says, also after it was closed and opened.
func TestUndoAndRedoAreExact(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	require.NoError(t, c.Close())
	rapid.Check(t, func(rt *rapid.T) {
		again := newPath(t)
		copyFile(t, path, again)
		c, err := Open(again, quick())
		require.NoError(rt, err)
		defer func() { _ = c.Close() }()
		k := keying(t, c)
		shown := func() map[string]string {
			out := map[string]string{}
			for tab := range tables {
				k.Tables().Each(tab, func(row int, values []string) {
					for i, v := range values {
						if v != "" {
							out[Field{0, tab, row, tab.Columns()[i]}.String()] = v
						}
					}
				})
			}
			return out
		}
		states := []map[string]string{shown()}
		at := 0
		for range rapid.IntRange(1, 12).Draw(rt, "acts") {
			switch rapid.SampledFrom([]string{"set", "set", "set", "undo", "undo", "redo", "load"}).Draw(rt, "act") {
			case "set":
				var changes []Change
				used := map[string]bool{}
				for range rapid.IntRange(1, 3).Draw(rt, "fields") {
					tab := rapid.SampledFrom([]Table{Contests, Choices, Units}).Draw(rt, "table")
					ch := Set(tab, rapid.IntRange(1, k.Next(tab)).Draw(rt, "row"), rapid.SampledFrom(tab.Columns()).Draw(rt, "column"),
						rapid.SampledFrom([]string{"", "1", "Ilse \"Bo\" Brandywine", "<&>\u2028", "Løvstad", `back\slash`}).Draw(rt,
							"value"))
					if !used[ch.Field.String()] {
						used[ch.Field.String()] = true
						changes = append(changes, ch)
					}
				}
				require.NoError(rt, k.Set(changes...))
				states = append(states[:at+1], shown())
				at++
				for _, ch := range changes {
					require.Equal(rt, ch.Value, k.Get(ch.Table, ch.Row, ch.Column))
				}
			case "load":
				require.NoError(rt, k.Load("proof", smallEntry()))
				states = append(states[:at+1], shown())
				at++
			case "undo":
				did, err := k.Undo()
				require.NoError(rt, err)
				require.Equal(rt, at > 0, did)
				if did {
					at--
				}
			case "redo":
				did, err := k.Redo()
				require.NoError(rt, err)
				require.Equal(rt, at < len(states)-1, did)
				if did {
					at++
				}
			}
			require.Equal(rt, states[at], shown())
			undo, redo := k.Can()
			require.Equal(rt, at > 0, undo)
			require.Equal(rt, at < len(states)-1, redo)
		}
		require.NoError(rt, c.Close())
		c, err = Open(again, quick())
		require.NoError(rt, err)
		k = keying(t, c)
		require.Equal(rt, states[at], shown())
	})
}

func TestWhatCannotBeKeyed(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	before := c.State().Seq
	for name, ch := range map[string]Change{
		"a column that does not exist": Set(Contests, 1, "colour", "x"),
		"a row out of sequence":        Set(Contests, 1000, "title", "x"),
		"row 0":                        Set(Contests, 0, "title", "x"),
		"a second row of facts":        Set(Facts, 2, "name", "x"),
		"text that is not UTF-8":       Set(Contests, 1, "title", "a\xffb"),
		"a text without end":           Set(Contests, 1, "title", string(make([]byte, maxValue+1))),
		"a field of a case not joined": {Field{Source: 1, Table: Contests, Row: 1, Column: "title"}, "x"},
		"a table that does not exist":  Set(tables, 1, "title", "x"),
	} {
		require.Error(t, k.Set(ch), name)
	}
	require.Error(t, k.Set())
	bad := smallEntry()
	bad.Choices[0].Contest = "nobody"
	var fault *sheets.Error
	require.ErrorAs(t, k.Load("proof", bad), &fault)
	require.Equal(t, before, c.State().Seq)
}

// TestAnAmendment reopens its contests and nothing else, is keyed blind, and is closed
// by a further seal.
func TestAnAmendment(t *testing.T) {
	c := sealedCase(t, newPath(t))
	k := keying(t, c)
	first := []byte("first export")
	_, err := c.Receive("p1", "a.xml", first)
	require.NoError(t, err)
	require.NoError(t, c.Amend(Amendment{Document: "Order 2027-118", Date: "2027-10-01",
		Contests: []Row{{Table: Contests, Row: 1}}, MailedStand: true}, "p2", "p1"))
	require.Equal(t, []Row{{Table: Contests, Row: 1}}, k.Reopened())
	_, err = c.Receive("p1", "b.xml", []byte("second export"))
	require.ErrorIs(t, err, ErrNotSealed)

	require.NoError(t, k.Set(Set(Contests, 1, "vote_for", "2")))
	require.NoError(t, k.Set(Set(Choices, 1, "name", "Ilse Brandywine-Holt")))
	ok, err := k.Undo()
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, "Ilse Brandywine", k.Get(Choices, 1, "name"))
	n := k.Next(Choices)
	require.NoError(t, k.Set(Set(Choices, n, "contest", "1"), Set(Choices, n, "position", "3"),
		Set(Choices, n, "name", "Late Addition")))
	face, place := k.Next(Faces), k.Next(Placements)
	require.NoError(t, k.Set(Set(Faces, face, "style", "A, second version")))
	require.NoError(t, k.Set(Set(Placements, place, "face", itoa(face)), Set(Placements, place, "position", "1"),
		Set(Placements, place, "contest", "2")))
	for name, ch := range map[string]Change{
		"another contest":               Set(Contests, 2, "title", "x"),
		"a choice of another contest":   Set(Choices, 3, "name", "x"),
		"a choice moved to another":     Set(Choices, 1, "contest", "2"),
		"another place on the old face": Set(Placements, 2, "position", "9"),
		"the precincts of the old face": Set(Assignments, 1, "precinct", "1-02"),
		"the old face's label":          Set(Faces, 1, "style", "x"),
		"the roster":                    Set(Precincts, 1, "precinct", "x"),
		"a unit":                        Set(Units, 1, "unit", "x"),
	} {
		require.ErrorIs(t, k.Set(ch), ErrSealed, name)
	}
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.Empty(t, c.State().OpenAmendments())
	require.ErrorIs(t, k.Set(Set(Contests, 1, "vote_for", "3")), ErrSealed)
	_, err = c.Receive("p1", "b.xml", []byte("second export"))
	require.NoError(t, err)
	_, err = c.Receive("p1", "a.xml", first)
	require.NoError(t, err, "an earlier export may come back")
	_, err = c.Receive("p1", "a.xml", first)
	require.ErrorIs(t, err, ErrRule)
	c = reopen(t, c)
	require.Len(t, c.State().Exports, 3)
	require.NoError(t, c.Close())
	r, err := Verify(c.Path(), Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}
