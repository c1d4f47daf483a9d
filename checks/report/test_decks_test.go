package report_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// designed is a case with a deck designed for its first two units, recorded.
func designed(t *testing.T, r *review.Review) review.TestDeck {
	t.Helper()
	e, err := r.DeckEntry()
	require.NoError(t, err)
	var precincts []int
	units := []string{e.Units[0].Name, e.Units[1].Name}
	for i := range units {
		precincts = append(precincts, e.Units[i].Precincts.Value...)
	}
	made, err := deck.Make(e, deck.Options{Precincts: precincts})
	require.NoError(t, err)
	require.NoError(t, r.RecordDeck(review.NewDeck{Name: "Two units", Units: units, Marks: made.Deck.Rows(e)}, programmer,
		second))
	return onlyDeck(t, r)
}

func onlyDeck(t *testing.T, r *review.Review) review.TestDeck {
	t.Helper()
	list, err := r.TestDecks()
	require.NoError(t, err)
	require.Len(t, list, 1)
	return list[0]
}

// counted is what a unit counts: the key, with two choices of its first contest exchanged if it is told.
func counted(t *testing.T, d review.TestDeck, unit string, exchanged bool) []byte {
	t.Helper()
	var rows []results.Count
	for _, row := range d.Counted.Rows() {
		if row.Unit == unit {
			rows = append(rows, row)
		}
	}
	if exchanged {
		contest := rows[0].Contest
		for i := range rows {
			if rows[i].Contest != contest {
				continue
			}
			switch rows[i].Position {
			case "1":
				rows[i].Position = "2"
			case "2":
				rows[i].Position = "1"
			}
		}
	}
	var b bytes.Buffer
	require.NoError(t, results.WriteKey(&b, rows))
	return b.Bytes()
}

// The report says of a test deck which seal its key is of, which units' results came in, how much was
// held and not, each difference with its cause and what was decided; the evidence folder has its files.
func TestTheReportOfATestDeck(t *testing.T) {
	if testing.Short() {
		t.Skip("sets many pages: long; run without -short")
	}
	r := casetest.Finished(t)
	without, err := report.Make(r)
	require.NoError(t, err)
	require.Nil(t, without.TestDecks)
	require.NotContains(t, pageOf(t, without), squeeze("est deck"))

	d := designed(t, r)
	page := func(says ...string) *report.Report {
		t.Helper()
		made, err := report.Make(r)
		require.NoError(t, err)
		text := pageOf(t, made)
		for _, words := range says {
			require.Contains(t, text, squeeze(words), words)
		}
		return made
	}
	fed := map[string]bool{} // the demo has 24 precincts; the deck is for those of two units
	for _, row := range d.Counted.Rows() {
		fed[row.Precinct] = true
	}
	require.Less(t, len(fed), 24)
	page(fmt.Sprintf("The key of the test deck “Two units” was counted from the seal of entry %d. It has ballots of "+
		"%d of 24 precincts; nothing of the others is tested by it. No results of 2 voting units came in, so no machine was "+
		"held against it.", d.Terms.Seal, len(fed)), "It takes the place of no logic and accuracy "+
		"test")

	bring := func(unit int, exchanged bool) {
		t.Helper()
		name := d.Terms.Units[unit]
		require.NoError(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: name, Name: name + ".csv",
			File: counted(t, d, name, exchanged)}, programmer, second))
	}
	bring(0, true)
	require.NotEmpty(t, onlyDeck(t, r).Units[0].Differences)
	made := page("Results of 1 of 2 voting units came in", "1 difference was found, of which 1 is open.", "exchanged")
	require.Len(t, made.Missing, 1, "it keeps the report from being signed without an exception")
	x := made.TestDecks.Decks[0].Units[0].Results[0]
	require.Positive(t, x.Held)
	require.Len(t, x.Differences, 1)

	require.NoError(t, r.DecideDeck(review.DeckVerdict{Deck: d.Seq, Differences: []string{x.Differences[0].ID},
		Outcome: casefile.DeckFixConfiguration, Reason: "two candidates are exchanged"}, programmer, second))
	made = page("the configuration is to be fixed", "two candidates are exchanged", "of which 1 is open")
	deckPDF(t, "report", func(w *bytes.Buffer) error { return made.PDF(w) })
	now := onlyDeck(t, r)
	pages := report.DeckPages{Election: r.Case().State().Election, Deck: "Two units", Made: d.At, Foot: "deck.csv",
		Ballots: now.Counted.Entry}
	sheet := deckPDF(t, "results", func(w *bytes.Buffer) error { return pages.Results(w, &now, r.Signers()) })
	text := squeeze(poppler(t, string(sheet), "pdftotext", "-raw", "FILE", "-"))
	for _, words := range []string{"did not come in", "two candidates are exchanged", "Signed by hand", "Wren Aldous"} {
		require.Contains(t, text, squeeze(words))
	}
	deckPDF(t, "marking-designed", func(w *bytes.Buffer) error { return pages.MarkingSheets(w, *now.Counted.Deck) })
	bring(0, false)
	bring(1, false)
	signed, err := report.SignOff(r, nil, programmer, second, supervisor)
	require.NoError(t, err)
	require.True(t, signed.Finished)
	require.Contains(t, pageOf(t, signed), squeeze("Results of 2 of 2 voting units came in"))
	require.Contains(t, pageOf(t, signed), squeeze("no difference was found."))
	require.True(t, report.Current(r.Case().State()))

	folder := filepath.Join(t.TempDir(), "evidence")
	require.NoError(t, report.Evidence(r.Case(), folder))
	for _, name := range []string{"deck-1.csv", "key-1.csv", "results-1.csv", "results-3.csv"} {
		require.FileExists(t, filepath.Join(folder, "test-deck", name))
	}
	checked, err := report.Verify(folder, casefile.Expect{})
	require.NoError(t, err)
	require.True(t, checked.Good(), checked.Words())
	require.NoError(t, os.WriteFile(filepath.Join(folder, "test-deck", "key-1.csv"), []byte("x"), 0o600))
	checked, err = report.Verify(folder, casefile.Expect{})
	require.NoError(t, err)
	require.False(t, checked.Good())

	bring(1, true)
	require.False(t, report.Current(r.Case().State()), "results after the signature open a new round")
}

// A stale key is said, and nothing is held against it.
func TestTheReportSaysThatAKeyIsStale(t *testing.T) {
	r := casetest.Finished(t)
	d := designed(t, r)
	name := d.Terms.Units[0]
	require.NoError(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: name, Name: "x.csv",
		File: counted(t, d, name, false)}, programmer, second))
	contest := d.Counted.Entry.Origins.Contest(d.Counted.Key.Tallies[0].Contest).ID
	row := casetest.Row(t, r.Case(), casefile.Contests, "contest", contest)
	require.NoError(t, r.Case().Correct("Certified list, 1 October", "slip",
		[]casefile.Change{casefile.Set(casefile.Contests, row, "vote_for", "3")}, second, programmer))
	made, err := report.Make(r)
	require.NoError(t, err)
	require.Contains(t, pageOf(t, made), squeeze("It is stale, and nothing is held against it:"))
	require.Empty(t, made.TestDecks.Decks[0].Units)
}

// What later results leave out keeps its difference in the report, and the report from being signed without an
// exception; what agrees in part is said in part.
func TestTheReportKeepsADifferenceThatLaterResultsLeaveOut(t *testing.T) {
	r := casetest.Finished(t)
	d := designed(t, r)
	bring := func(unit, name string, data []byte) {
		t.Helper()
		require.NoError(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: unit, Name: name, File: data},
			programmer, second))
	}
	first, other := d.Terms.Units[0], d.Terms.Units[1]
	bring(first, "one.csv", counted(t, d, first, true))
	x := onlyDeck(t, r).Units[0].Differences[0]
	require.NoError(t, r.DecideDeck(review.DeckVerdict{Deck: d.Seq, Differences: []string{x.ID},
		Outcome: casefile.DeckRepeat, Reason: "a ballot was misfed"}, programmer, second))
	bring(first, "two.csv", without(t, d, first))
	bring(other, "other.csv", without(t, d, other))

	made, err := report.Make(r)
	require.NoError(t, err)
	units := made.TestDecks.Decks[0].Units
	require.Len(t, units[0].Results[0].Differences, 1)
	kept := units[0].Results[0].Differences[0]
	require.Equal(t, x.ID, kept.ID)
	require.False(t, kept.Settled)
	require.Len(t, kept.Decisions, 1)
	require.Empty(t, units[1].Results[0].Differences)
	text := pageOf(t, made)
	held := units[1].Results[0]
	require.Positive(t, held.NotHeld)
	for _, words := range []string{x.Message, "Earlier results say so (“one.csv”, entry", "a ballot was misfed",
		"1, 1 open", fmt.Sprintf("none in %d of %d", held.Held, held.Held+held.NotHeld)} {
		require.Contains(t, text, squeeze(words), words)
	}
	require.Len(t, made.Missing, 1)
	require.Contains(t, made.Missing[0].Words, x.Message)
	_, err = report.SignOff(r, nil, programmer, second, supervisor)
	require.Error(t, err)

	bring(first, "three.csv", counted(t, d, first, false))
	made, err = report.Make(r)
	require.NoError(t, err)
	require.Empty(t, made.Missing)
	require.NotContains(t, pageOf(t, made), squeeze("one.csv"))
}

// without is what a unit counts without the first contest of its key.
func without(t *testing.T, d review.TestDeck, unit string) []byte {
	t.Helper()
	var rows []results.Count
	contest := ""
	for _, row := range d.Counted.Rows() {
		if row.Unit != unit {
			continue
		}
		if contest == "" {
			contest = row.Contest
		}
		if row.Contest != contest {
			rows = append(rows, row)
		}
	}
	var b bytes.Buffer
	require.NoError(t, results.WriteKey(&b, rows))
	return b.Bytes()
}
