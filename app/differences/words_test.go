package differences_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/differences"
	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/checks"
	"counterproof/checks/review"
)

// seek brings the finding of a check into view, the first that names some words.
func seek(t *testing.T, w *windowtest.Window, p *differences.Place, check, words string) *review.Item {
	t.Helper()
	s := p.List().Snapshot
	for n := range s.Items {
		if i := &s.Items[n]; string(i.Check) == check && strings.Contains(i.Message, words) {
			w.ShowFinding(i)
			return i
		}
	}
	require.Fail(t, "no such finding", check)
	return nil
}

// Under "Export" stand the words of the export alone.
func TestEachCardHasItsOwnSidesWordsOnly(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	i := seek(t, w, p, "choice-name", "")
	require.NotEqual(t, i.Primary, i.Second)
	says := w.Says()
	from := strings.LastIndex(says, "EXPORT")
	require.Positive(t, from)
	card := says[from : strings.Index(says[from:], "Fix the configuration")+from]
	assert.NotContains(t, card, i.Second, "the card of the export")
	assert.NotContains(t, card, i.Contest)
}

// What is decided and not signed is counted as that, on each place in the same words, and the list says
// which decision it is.
func TestDecidedAndUnsignedFindingsAreCountedAsThat(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	for range 15 {
		w.Press("Return", "1")
		w.Fyne().Canvas().Focus(w.Field("Document"))
		w.Press("Down", "Return")
		require.Equal(t, "Reason", w.Fyne().Canvas().Focused().(*ui.Field).Name, "Enter goes on to the reason")
		w.Type("the proof has it so")
		w.Press("Return")
		require.Empty(t, w.Sheets.All(), w.Says())
	}
	require.Nil(t, w.Session.State().Decisions)
	assert.Contains(t, w.Says(), "15 findings · 15 decided, to be signed")
	assert.Contains(t, w.Says(), "to sign: fix")
	assert.Contains(t, w.Says(), "To sign (15)")
	assert.Contains(t, w.Says(), "0 open")
	assert.NotContains(t, w.Says(), "must-fix, open")
	w.Go("Case")
	assert.Contains(t, w.Says(), "15 decided, to be signed. What is decided and not signed yet stands under To sign.")
	w.Go("Sign")
	assert.Contains(t, w.Says(), "Left: 15 decided, to be signed.")
	w.Go("Differences")
	w.Press("s")
	w.Tap("Sign these 15")
	w.TypePassphrases("p1", "p2")
	assert.Contains(t, w.Says(), "15 findings · 15 waiting for a corrected export")
	assert.NotContains(t, w.Says(), "must-fix, waiting for an export that fixes it must-fix", "a row has short words")
	assert.Contains(t, w.Says(), "It is decided. To decide it anew:")
	_ = p
}

// The proof that shows the finding, and the documents named before, are written by a key.
func TestTheDocumentIsOffered(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	w.Press("1")
	assert.Contains(t, w.Field("Document").PlaceHolder, "for example")
	w.Fyne().Canvas().Focus(w.Field("Document"))
	w.Press("Down")
	assert.Regexp(t, `^Ballot proof BS-\d+ \(BS-\d+\.pdf, attached 2027-09-14\)$`, w.Field("Document").Text)
	w.Write("Document", "Resolution 9 of 2027")
	w.Write("Reason", "so resolved")
	w.Tap("Put it on the list")
	require.Empty(t, w.Sheets.All())
	w.Press("1")
	w.Fyne().Canvas().Focus(w.Field("Document"))
	w.Press("Down", "Down")
	assert.Equal(t, "Resolution 9 of 2027", w.Field("Document").Text)
	w.Press("Up")
	assert.Contains(t, w.Field("Document").Text, "Ballot proof")
	w.Tap("Put it on the list")
	require.Contains(t, w.Says(), "Write the reason in a few words.")
	w.Fyne().Canvas().Focus(w.Field("Reason"))
	w.Type("b")
	assert.NotContains(t, w.Says(), "Write the reason in a few words.", "it goes while one types")
	w.CloseSheets()
	_ = p
}

// A finding on many precincts leads to the units of all of them, and Esc leads back to it.
func TestAFindingLeadsToTheUnitsOfAllItsPrecinctsAndBack(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	var many *review.Item
	for n := range p.List().Snapshot.Items {
		if i := &p.List().Snapshot.Items[n]; i.Unit == "" && len(i.Precincts) == 24 {
			many = i
		}
	}
	require.NotNil(t, many)
	w.ShowFinding(many)
	assert.Contains(t, w.Says(), "those of all 24")
	w.Press("u")
	require.Equal(t, "Units", w.Place().Name())
	assert.Contains(t, w.Says(), "Units of precincts 1-01 to 1-")
	assert.Contains(t, w.Says(), ": 12")
	w.Press("Escape")
	assert.Equal(t, "Differences", w.Place().Name())
	assert.Equal(t, many.ID, p.Item().ID)
	w.Go("Sign")
	w.Tap("Go to it")
	require.Equal(t, "Differences", w.Place().Name())
	w.Press("Escape")
	assert.Equal(t, "Sign", w.Place().Name())
}

// A cleared finding says what ended it, and that the cards are of the time before.
func TestAClearedFindingSaysWhatEndedIt(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	require.Equal(t, review.StatusCleared, p.Item().Status)
	assert.Contains(t, w.Says(), "EXPORT, BEFORE")
	said := map[string]bool{}
	for range 15 {
		for _, words := range []string{"The export corrected.xml, which came in later, does what was decided.",
			"The second entry was corrected, and the two entries agree here now."} {
			said[words] = said[words] || strings.Contains(w.Says(), words)
		}
		w.Press("Down")
	}
	for words, ok := range said {
		assert.True(t, ok, words)
	}
}

// What an amendment opens, by what and why, is read where it is signed; going back keeps what was filled in.
func TestAnAmendmentIsReadWhereItIsSigned(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	w.Press("a")
	w.TickOf("County Judge").SetChecked(true)
	w.TickOf("Ballots already mailed stand").SetChecked(true)
	w.Write("Document", "court order 14 of 2027")
	w.Write("Day", "10/05/2027")
	w.Write("Reason", "a withdrawal")
	w.Tap("Both sign")
	for _, words := range []string{"court order 14 of 2027, 2027-10-05 (Tuesday, October 5, 2027)", "Reason: a withdrawal",
		"1 contest is emptied and keyed again whole: County Judge", "Ballots already mailed stand"} {
		assert.Contains(t, w.SheetSays(), words)
	}
	w.Tap("Not yet")
	assert.Equal(t, "court order 14 of 2027", w.Field("Document").Text, "the form is as it was")
	w.Tap("Both sign")
	w.Tap("Go on to sign")
	assert.Contains(t, w.SheetSays(), "County Judge")
	w.TypePassphrases("p1", "p2")
	require.Len(t, w.Session.State().OpenAmendments(), 1)
	assert.Empty(t, w.Sheets.All())
	assert.Equal(t, "2027-10-05", w.Session.State().OpenAmendments()[0].Terms.Date)
}

// The explanation of a check is flowing paragraphs: a line ends where the page does.
func TestTheExplanationOfACheckFlows(t *testing.T) {
	hard := 0
	for _, c := range checks.All() {
		hard += strings.Count(c.Doc, "\n")
		text := strings.ReplaceAll(differences.Flowing(c.Doc), "\n\n", "")
		assert.NotContains(t, text, "\n", string(c.Code))
	}
	assert.Positive(t, hard, "the documents of the checks have ends of lines")
}
