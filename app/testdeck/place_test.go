package testdeck_test

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/testdeck"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// snap keeps pictures of the screen, light, dark and at 200 %, in the folder that SNAP names.
func snap(t *testing.T, w *windowtest.Window, name string) {
	t.Helper()
	dir := os.Getenv("SNAP")
	if dir == "" {
		return
	}
	for suffix, v := range map[string]picture.View{"": windowtest.Plain, "-dark": {Size: windowtest.Plain.Size, Scale: 1,
		Tone: ui.Dark}, "-200": {Size: windowtest.Plain.Size, Scale: 2}} {
		w.Look(v)
		f, err := os.Create(filepath.Join(dir, name+suffix+".png"))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, w.Fyne().Canvas().Capture()))
		require.NoError(t, f.Close())
	}
	w.Look(windowtest.Plain)
}

// recorded opens the demo, sealed, with a deck for one unit designed, signed and in view.
func recorded(t *testing.T) *windowtest.Window {
	t.Helper()
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Test deck")
	snap(t, w, "1-empty")
	w.Tap("Design a deck")
	w.Write("Voting units", "TW-1101")
	w.Press("Return")
	snap(t, w, "2-record")
	w.Tap("Go on to sign it")
	w.Sign("p1", "p2")
	require.Len(t, w.Session.State().Decks, 1)
	return w
}

// A wrong name keeps the sheet with what was typed; a unit is found by its number; what the deck tests of all
// is said before it is signed and on its page.
func TestADeckSaysWhatOfAllItTests(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Menu("Design a test deck…")
	w.Write("Voting units", "1101, 1199")
	w.Press("Return")
	require.Contains(t, w.SheetSays(), `No voting unit of the second entry is called "1199"`)
	require.Equal(t, "1101, 1199", w.Field("Voting units").Text)
	w.Write("Voting units", "1101, tw-1101")
	w.Press("Return")
	require.Equal(t, "Unit TW-1101", w.Field("Name of the deck").Text)
	e, err := w.Session.Review().DeckEntry()
	require.NoError(t, err)
	says := fmt.Sprintf("It tests 1 of %d voting units, 3 of %d precincts and ", len(e.Units), len(e.Precincts))
	require.Contains(t, w.SheetSays(), says)
	require.Contains(t, w.SheetSays(), "Nothing of the others is tested.")
	w.Tap("Go on to sign it")
	w.Press("Return") // not yet: the deck that was designed is still there
	require.Equal(t, "Unit TW-1101", w.Field("Name of the deck").Text)
	w.Tap("Go on to sign it")
	w.Sign("p1", "p2")
	require.Nil(t, w.Sheets.Top())
	require.Contains(t, w.Says(), says)
}

// keyOf is what the printout of the deck's unit must show: the totals, in the order in which they are typed.
func keyOf(t *testing.T, w *windowtest.Window) (numbers [][]string) {
	t.Helper()
	list, err := w.Session.Review().TestDecks()
	require.NoError(t, err)
	c := list[0].Counted
	for _, place := range c.Entry.Styles[c.Deck.Ballots[0].Style].Content {
		of := &c.Entry.Contests[place.Contest]
		var votes []int
		writeIn, over, under := 0, 0, 0
		for i := range of.Choices {
			sum := 0
			for _, tally := range c.Key.Tallies {
				if tally.Contest == place.Contest {
					sum += tally.Votes[i]
				}
			}
			if of.Choices[i].WriteIn {
				writeIn += sum
			} else {
				votes = append(votes, sum)
			}
		}
		for _, tally := range c.Key.Tallies {
			if tally.Contest == place.Contest {
				over, under = over+tally.Overvotes, under+tally.Undervotes
			}
		}
		if of.Choices[len(of.Choices)-1].WriteIn {
			votes = append(votes, writeIn)
		}
		var texts []string
		for _, n := range append(votes, over, under) {
			texts = append(texts, strconv.Itoa(n))
		}
		numbers = append(numbers, texts)
	}
	return numbers
}

// A printout is typed by keys alone, blind: the unit is chosen, each number and Enter, corrections with the
// arrows, the look through, the signatures. Nothing of the key is shown before.
func TestAPrintoutIsTypedByKeysAlone(t *testing.T) {
	w := recorded(t)
	snap(t, w, "3-deck")
	p := windowtest.Place[*testdeck.Place](w)
	p.Shown()
	w.Press("Down")
	require.Contains(t, w.Says(), "nothing of the key is shown until the numbers are signed")
	snap(t, w, "4-unit")
	w.Tap("Type its printout: totals")
	numbers := keyOf(t, w)
	require.Len(t, numbers, 12)
	for i, contest := range numbers {
		for k, n := range contest {
			if i == 1 && k < 2 { // two candidates of the second contest are exchanged on the machine
				n = contest[1-k]
			}
			if i == 0 && k == 0 { // a slip, corrected before anything is signed
				w.Type("7x")
				require.Contains(t, w.Says(), "in digits alone")
				w.Press("Return")
				require.Contains(t, w.Says(), "in digits alone", "it goes on only with a number")
				w.Press("BackSpace", "Return", "Up", "BackSpace")
			}
			w.Type(n)
			if i == 2 && k == 1 {
				snap(t, w, "5-typing")
			}
			w.Press("Return")
		}
	}
	require.Contains(t, w.Says(), "Look the numbers through")
	require.NotContains(t, w.Says(), "by the key")
	snap(t, w, "6-through")
	require.NotEmpty(t, p.Unsaved(), "the case is not closed over a printout that is not signed")
	w.Press("Return") // the focus stands on what comes next
	w.Sign("p1", "p2")
	require.Empty(t, p.Unsaved())
	require.Len(t, w.Session.State().DeckResults, 1)
	require.True(t, w.Session.State().DeckResults[0].Terms.Typed)
	says := w.Says()
	require.Contains(t, says, "1 difference")
	require.Contains(t, says, "District Attorney")
	require.Contains(t, says, "exchanged")
	snap(t, w, "7-differs")

	w.Tap("Decide")
	snap(t, w, "8-outcomes")
	w.Press("f")
	w.Write("Reason", "two candidates are exchanged in the configuration")
	w.Press("Return")
	w.Press("Return") // not yet: the reason is still there
	require.Contains(t, w.Field("Reason").Text, "exchanged")
	w.Press("Return")
	w.Sign("p1", "p2")
	require.Nil(t, w.Sheets.Top())
	require.Contains(t, w.Says(), "the configuration is to be fixed")
	snap(t, w, "9-decided")
}

// On a small window with large text the first number of a contest is seen as a whole, and the action beside a
// difference is no higher than another.
func TestWithLargeTextTheFirstNumberIsInSight(t *testing.T) {
	w := recorded(t)
	large := picture.View{Size: windowtest.Plain.Size, Scale: 2}
	w.Look(large)
	windowtest.Place[*testdeck.Place](w).Shown()
	w.Press("Down")
	w.Tap("Type its printout: totals")
	seen := func(what string) {
		t.Helper()
		large.Lay(w.Fyne())
		f, area := w.Fyne().Canvas().Focused().(fyne.CanvasObject), windowtest.Place[*testdeck.Place](w).Scroll()
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject
		require.LessOrEqual(t, at(f).Y+f.Size().Height, at(area).Y+area.Size().Height, what)
	}
	seen("at the first contest")
	const wrong = "Type the number as it is"
	for range 3 {
		w.Type("x")
		large.Lay(w.Fyne())
		require.True(t, w.Sees(wrong), "as soon as it is typed")
		w.Press("Return")
		large.Lay(w.Fyne())
		require.True(t, w.Sees(wrong), "after Enter")
		seen("the field beside it")
		w.Tap("The next contest")
		large.Lay(w.Fyne())
		require.True(t, w.Sees(wrong), "when the contest is left")
		w.Press("BackSpace")
		require.NotContains(t, w.Says(), wrong)
		w.Press("Return")
		seen("at the next number")
	}
	for range 3 {
		w.Press("Up")
	}
	w.Type("12")
	w.Tap("The next contest")
	seen("at the second contest")
	for range 11 {
		w.Tap("The next contest")
	}
	w.Tap("Sign these numbers")
	w.Sign("p1", "p2")
	large.Lay(w.Fyne())
	require.Equal(t, w.Find("Decide").MinSize().Height, w.Find("Decide").Size().Height)
}

// The arrows go through the list from an action too, as Help says.
func TestTheArrowsGoThroughTheListFromAnAction(t *testing.T) {
	w := recorded(t)
	w.Fyne().Canvas().Focus(w.Find("Save the answer key"))
	w.Press("Down")
	require.Contains(t, w.Says(), "Type its printout: totals")
	w.Fyne().Canvas().Focus(w.Find("Type its printout: totals"))
	w.Press("Down")
	require.Contains(t, w.Says(), "Count a deck that exists")
	w.Press("Up", "Up")
	require.Contains(t, w.Says(), "Save the answer key")
}

// What is typed stays when the place is left, and is thrown away only if somebody says so.
func TestWhatIsTypedStays(t *testing.T) {
	w := recorded(t)
	p := windowtest.Place[*testdeck.Place](w)
	w.Go("Case")
	w.Menu("Type a printout…") // of the unit that has no results
	w.Type("12")
	w.Press("Return", "Escape")
	require.Contains(t, w.Says(), "printout begun, 1 of")
	w.Press("Up")
	require.Contains(t, w.Says(), "printout begun, 1 of")
	require.NotContains(t, w.Says(), "CONTEST 1 OF 12")
	w.Go("Case")
	w.Go("Test deck")
	w.Press("Down")
	require.Contains(t, w.Says(), "CONTEST 1 OF 12")
	w.Tap("Discard this printout")
	require.Contains(t, w.SheetSays(), "1 number is typed and not signed")
	w.Tap("Keep it")
	require.NotEmpty(t, p.Unsaved())
	w.CloseCase()
	require.NotNil(t, w.Session.Case())
	require.Contains(t, w.SheetSays(), "\"the printout of TW-1101\" is typed in Test deck and not kept yet: back there, "+
		"“Sign these numbers” after the last contest keeps it, and “Discard this printout” discards it")
	w.Sheets.All()[0].Close()
	w.Tap("Discard this printout")
	w.Tap("Discard it")
	require.Empty(t, p.Unsaved())
	require.NotContains(t, w.Says(), "printout begun")
	w.CloseCase()
	require.Nil(t, w.Session.Case())
}

// A file that has no count of the key is refused before anybody is asked to sign.
func TestAFileThatIsNoResultsIsRefusedBeforeTheSignatures(t *testing.T) {
	w := recorded(t)
	w.Press("Down")
	w.Tap("Bring its results in from a file")
	w.Write("File", "export.xml") // beside the case
	w.Tap("Choose it")
	require.Contains(t, w.SheetSays(), "states no count that the answer key has")
	require.Len(t, w.Sheets.All(), 1, "nobody is asked to sign")
	require.Empty(t, w.Session.State().DeckResults)
}

// Each screen of the place can be read in every view.
func TestPictures(t *testing.T) {
	deck := func(t *testing.T, w *windowtest.Window) {
		w.Compare()
		w.Go("Test deck")
		w.Tap("Design a deck")
		w.Write("Voting units", "TW-1101")
		w.Press("Return")
		w.Tap("Go on to sign it")
		w.Sign("p1", "p2")
		w.Go("Sign") // the note that it is signed is in the header for a while
		w.Go("Test deck")
	}
	typing := func(t *testing.T, w *windowtest.Window) {
		deck(t, w)
		windowtest.Place[*testdeck.Place](w).Shown()
		w.Press("Down")
		w.Tap("Type its printout: totals")
		w.Type("12")
		w.Press("Return")
	}
	windowtest.Pictures(t, "test-deck-", map[string]func(t *testing.T, w *windowtest.Window){
		"new":    func(_ *testing.T, w *windowtest.Window) { w.Compare(); w.Go("Test deck") },
		"deck":   deck,
		"typing": typing,
		"differs": func(t *testing.T, w *windowtest.Window) {
			typing(t, w)
			for range 12 {
				w.Tap("The next contest")
			}
			w.Tap("Sign these numbers")
			w.Sign("p1", "p2")
		},
	})
}

// Before the seal the place is locked and says what comes first; while an amendment is open no deck is made.
func TestTheSealComesFirst(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.LayOutDemo()
	w.Go("Test deck")
	require.Contains(t, w.Says(), "seal them in Re-key")
	w.CloseSheets()

	w = windowtest.New(t, windowtest.Plain)
	w.CompareWithout(func(*sheets.Sheets) {})
	require.NoError(t, w.Session.Case().Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-15",
		Reason:   "one seat",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: 1}}}, "p1", "p2"))
	w.Changed()
	w.Go("Test deck")
	require.Contains(t, w.Says(), "An amendment is open")
	_, err := w.Session.Review().DeckEntry()
	require.ErrorIs(t, err, review.ErrBlind)
}
