package review_test

import (
	"bytes"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// firstOfEach marks one ballot of each precinct that a unit serves: the first choice of each contest.
func firstOfEach(e *model.Election, unit int) (marks []results.Mark) {
	for n, p := range e.Units[unit].Precincts.Value {
		for s := range e.Styles {
			for _, on := range e.Styles[s].Precincts {
				if on != p {
					continue
				}
				for _, place := range e.Styles[s].Content {
					marks = append(marks, results.Mark{Ballot: n + 1, Precinct: e.Precincts[p].Name.In(""),
						Contest: e.Origins.Contest(place.Contest).ID, Position: 1, Votes: 1})
				}
			}
		}
	}
	return marks
}

// withDeck is the demo, sealed, with a deck for its first unit.
func withDeck(t *testing.T) (*review.Review, *model.Election) {
	t.Helper()
	c := casetest.New(t)
	r := review.New(c)
	_, err := r.DeckEntry()
	require.ErrorIs(t, err, review.ErrBlind)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	e, err := r.DeckEntry()
	require.NoError(t, err)
	require.NoError(t, r.RecordDeck(review.NewDeck{Name: "Unit", Units: []string{e.Units[0].Name},
		Marks: firstOfEach(e, 0)}, casetest.Second, casetest.Programmer))
	return r, e
}

func onlyDeck(t *testing.T, r *review.Review) review.TestDeck {
	t.Helper()
	decks, err := r.TestDecks()
	require.NoError(t, err)
	require.Len(t, decks, 1)
	return decks[0]
}

// A key is stale as soon as a correction or an amendment touches what it counts, and says what.
func TestAKeyIsOfTheSecondEntryAsItIs(t *testing.T) {
	r, e := withDeck(t)
	d := onlyDeck(t, r)
	require.Empty(t, d.Stale)
	require.Equal(t, []int{0}, d.Counted.Units)
	require.Equal(t, len(e.Units[0].Precincts.Value), len(d.Counted.Deck.Ballots))
	for _, row := range d.Counted.Rows() {
		require.Equal(t, e.Units[0].Name, row.Unit)
	}

	onDeck, offDeck := -1, -1
	for c := range e.Contests {
		on := false
		for _, tally := range d.Counted.Key.Tallies {
			on = on || tally.Contest == c
		}
		if on && e.Contests[c].VoteFor.Value == 1 && onDeck < 0 {
			onDeck = c
		}
		if !on {
			offDeck = c
		}
	}
	require.True(t, onDeck >= 0 && offDeck >= 0)
	correct := func(contest int, votes string) {
		row := casetest.Row(t, r.Case(), casefile.Contests, "contest", e.Origins.Contest(contest).ID)
		require.NoError(t, r.Case().Correct("Certified list, 1 October", "slip",
			[]casefile.Change{casefile.Set(casefile.Contests, row, "vote_for", votes)}, casetest.Second, casetest.Programmer))
	}
	correct(offDeck, "9")
	require.Empty(t, onlyDeck(t, r).Stale, "a contest that the deck does not hold")
	correct(onDeck, "2")
	stale := onlyDeck(t, r).Stale
	require.Len(t, stale, 1)
	require.Contains(t, stale[0], e.Contests[onDeck].Title.Value.In(""))
	correct(onDeck, "1")
	require.Empty(t, onlyDeck(t, r).Stale)

	row := casetest.Row(t, r.Case(), casefile.Contests, "contest", e.Origins.Contest(onDeck).ID)
	require.NoError(t, r.Case().Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-20", Reason: "one seat",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: row}}}, casetest.Second, casetest.Programmer))
	stale = onlyDeck(t, r).Stale
	require.Len(t, stale, 1)
	require.Contains(t, stale[0], "an amendment is open")
	require.NotContains(t, stale[0], e.Contests[onDeck].Title.Value.In(""), "nothing of it is shown before the seal")
	require.ErrorIs(t, r.RecordDeck(review.NewDeck{Name: "x", Marks: firstOfEach(e, 0)}, casetest.Second,
		casetest.Programmer), review.ErrBlind)
}

// Two choices that change their places by a correction make a key stale, though its numbers are the same.
func TestTwoChoicesThatChangePlacesMakeAKeyStale(t *testing.T) {
	r, e := withDeck(t)
	contest := e.Styles[0].Content[0].Contest
	names := []string{e.Contests[contest].Choices[0].Name.Value.In(""), e.Contests[contest].Choices[1].Name.Value.In("")}
	rows := []int{casetest.Row(t, r.Case(), casefile.Choices, "name", names[0]),
		casetest.Row(t, r.Case(), casefile.Choices, "name", names[1])}
	require.NoError(t, r.Case().Correct("Certified list, 1 October", "slip", []casefile.Change{
		casefile.Set(casefile.Choices, rows[0], "name", names[1]), casefile.Set(casefile.Choices, rows[1], "name", names[0])},
		casetest.Second, casetest.Programmer))
	require.Len(t, onlyDeck(t, r).Stale, 1)
}

// A deck for a unit that nobody keyed, or with marks for what no ballot holds, is refused in one line.
func TestADeckThatDoesNotFitIsRefused(t *testing.T) {
	r, e := withDeck(t)
	marks := firstOfEach(e, 0)
	_, err := r.CountDeck(review.NewDeck{Name: "x", Units: []string{"999"}, Marks: marks})
	require.ErrorContains(t, err, `no voting unit of the second entry is called "999"`)
	marks[0].Contest = "nothing"
	_, err = r.CountDeck(review.NewDeck{Name: "x", Marks: marks})
	require.ErrorContains(t, err, "deck.csv")
}

// One file can hold what all units counted, by unit or in all; a unit's own results stand beside it.
func TestOneFileHoldsTheResultsOfAllUnits(t *testing.T) {
	r, e := withDeck(t)
	units := []string{e.Units[0].Name, e.Units[1].Name}
	marks := firstOfEach(e, 0)
	for _, m := range firstOfEach(e, 1) {
		m.Ballot += 100
		marks = append(marks, m)
	}
	require.NoError(t, r.RecordDeck(review.NewDeck{Name: "Two", Units: units, Marks: marks}, casetest.Second,
		casetest.Programmer))
	two := func() *review.TestDeck {
		t.Helper()
		decks, err := r.TestDecks()
		require.NoError(t, err)
		return &decks[1]
	}
	d := two()
	require.Len(t, d.Units, 2)
	require.Empty(t, d.Counted.Unfed)
	bring := func(unit string, rows []results.Count) {
		t.Helper()
		var b bytes.Buffer
		require.NoError(t, results.WriteKey(&b, rows))
		require.NoError(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: unit, Name: "counted.csv",
			File: b.Bytes()},
			casetest.Second, casetest.Programmer))
	}
	bring("", d.Counted.Rows())
	u := two().Units
	require.Len(t, u, 1)
	require.Empty(t, u[0].Unread)
	require.Empty(t, u[0].Differences)
	require.Equal(t, len(d.Counted.Rows()), u[0].Held+u[0].NotHeld)
	require.Contains(t, two().Sentence(), "Results of all units in one file came in: ")

	wrong := slices.Clone(d.Counted.Rows())
	i := slices.IndexFunc(wrong, func(c results.Count) bool { return c.Unit == units[1] && c.Position == "1" })
	wrong[i].Count += 5
	bring("", wrong)
	u = two().Units
	require.Len(t, u[0].Differences, 1)
	require.Contains(t, u[0].Differences[0].Message, units[1])

	bring(units[0], slices.DeleteFunc(slices.Clone(d.Counted.Rows()),
		func(c results.Count) bool { return c.Unit != units[0] }))
	u = two().Units
	require.Len(t, u, 2)
	require.Equal(t, units[0], u[1].Unit)
	require.Empty(t, u[1].Differences)
	require.Contains(t, two().Sentence(), "and of 1 unit by themselves")
}

// A file that has no count of the deck's key is refused before anybody signs, of the unit and of all in one; one
// with a single count comes in, and so does one that counts what the key does not have.
func TestAFileWithoutACountOfTheKeyIsRefused(t *testing.T) {
	r, e := withDeck(t)
	d := onlyDeck(t, r)
	key := d.Counted.Rows()
	csv := func(rows ...results.Count) []byte {
		var b bytes.Buffer
		require.NoError(t, results.WriteKey(&b, rows))
		return b.Bytes()
	}
	may := func(unit, name string, data []byte) error {
		return r.MayBringDeckResults(review.NewResults{Deck: d.Seq, Unit: unit, Name: name, File: data})
	}
	const none = "it states no count that the answer key has"
	own, other := e.Units[0].Name, e.Units[1].Name
	for _, unit := range []string{"", own} {
		require.ErrorContains(t, may(unit, "export.xml", casetest.File(t, "export.xml")), none)
		require.NoError(t, may(unit, "one.csv", csv(key[0])))
	}
	require.ErrorContains(t, may(other, "one.csv", csv(key[0])), "is not for the voting unit")
	require.Error(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: own, Name: "export.xml",
		File: casetest.File(t, "export.xml")}, casetest.Second, casetest.Programmer))
	require.Empty(t, r.Case().State().DeckResults)
	stray := key[0]
	stray.Position, stray.Count = "1@2", 3
	require.NoError(t, may(own, "stray.csv", csv(stray)), "what the key does not have is a difference, and stays one")
}
