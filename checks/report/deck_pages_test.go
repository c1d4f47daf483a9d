package report_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/model"
	"counterproof/model/casefile"
)

var keepDeck = flag.String("keep-deck", "", "keep the pages of a test deck in this folder")

// deckPages are the pages of the demo's second entry.
func deckPages(t *testing.T) (report.DeckPages, *model.Election) {
	t.Helper()
	e, err := casetest.Sheets(t).Election()
	require.NoError(t, err)
	return report.DeckPages{Election: casefile.Election{Name: "General Election", Date: "2027-11-02",
		Jurisdiction: "Tarnwick County"}, Deck: "All units", Made: "2027-10-12T09:00:00Z", Foot: "deck.csv …",
		Ballots: e}, e
}

// A sheet for each ballot prints what is keyed for its style, the marks as filled targets, and says when
// nothing is to be marked.
func TestMarkingSheetsShowEachBallotOfTheDeck(t *testing.T) {
	pages, e := deckPages(t)
	var d deck.Deck
	for i := range 3 {
		b := deck.Ballot{Number: i + 1, Style: i, Precinct: e.Styles[i].Precincts[0]}
		for n, place := range e.Styles[i].Content {
			if i < 2 && n%2 == i {
				b.Marks = append(b.Marks, deck.Mark{Contest: place.Contest, Choice: n % len(e.Contests[place.Contest].Choices),
					Votes: 1})
			}
		}
		d.Ballots = append(d.Ballots, b)
	}
	d.Ballots[0].Marks[0].Votes = 3
	pdf := deckPDF(t, "marking", func(w *bytes.Buffer) error { return pages.MarkingSheets(w, d) })
	text := strings.Join(strings.Fields(poppler(t, string(pdf), "pdftotext", "-raw", "FILE", "-")), " ")
	require.Contains(t, text, "A blank ballot: fill nothing.")
	require.Contains(t, text, "nothing: a blank ballot")
	for _, c := range e.Styles[0].Content {
		require.Contains(t, text, e.Contests[c.Contest].Choices[0].Name.Value.In(""))
	}
}

// The key prints each contest in ballot order, by precinct and in total.
func TestTheKeyIsPrintedInBallotOrder(t *testing.T) {
	pages, e := deckPages(t)
	key := &deck.Key{Left: []deck.Left{{Contest: 5, Why: "votes count as \"x\" here, which is not counted"}}}
	for unit := range 2 {
		for _, p := range e.Units[unit].Precincts.Value {
			for c := range 4 {
				tally := deck.Tally{Unit: unit, Precinct: p, Contest: c, Ballots: 9, Overvotes: 2}
				for i := range e.Contests[c].Choices {
					tally.Votes = append(tally.Votes, i+p)
				}
				key.Tallies = append(key.Tallies, tally)
			}
		}
	}
	pdf := deckPDF(t, "key", func(w *bytes.Buffer) error { return pages.Key(w, key) })
	text := poppler(t, string(pdf), "pdftotext", "-layout", "FILE", "-")
	require.Regexp(t, `(?m)Ballots with this contest +9 +9 +9 +27$`, text)
	require.Contains(t, text, "Not counted")
	require.Contains(t, text, e.Units[1].Name)
}

func deckPDF(t *testing.T, name string, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	if *keepDeck != "" {
		require.NoError(t, os.WriteFile(filepath.Join(*keepDeck, name+".pdf"), b.Bytes(), 0o600))
	}
	return b.Bytes()
}
