package machines_test

import (
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/session"
	"counterproof/app/internal/windowtest"
	"counterproof/app/machines"
	"counterproof/app/ui/picture"
	"counterproof/model/cards"
)

var rules = cards.Rules{Zone: "America/New_York", Keys: []string{"power", "ballot box"},
	Seals: []string{"card door", "ballot box"}, Counters: []string{"public"}}

// atMachines opens the place on the demo, with a card for each unit.
func atMachines(t *testing.T, w *windowtest.Window) *machines.Place {
	t.Helper()
	w.Compare()
	r := w.Session.Review()
	require.NoError(t, r.SetMachineRules(rules, "p1", "p2"))
	m, err := r.Machines()
	require.NoError(t, err)
	var list []cards.Card
	for _, u := range m.Warehouse.Plan.Units {
		list = append(list, cards.Card{Label: "C-" + u.Name[3:], Unit: u.Name,
			Export: w.Session.State().Exports[0].Digest.String(), Made: "2027-09-13", By: "HV"})
	}
	require.NoError(t, r.MakeCards("p1", list...))
	w.Go("Machines")
	return windowtest.Place[*machines.Place](w)
}

// key types texts in the field, each with Enter.
func key(w *windowtest.Window, texts ...string) {
	for _, text := range texts {
		w.Press(strings.Split(text, "")...)
		w.Press("Return")
	}
}

// On a small window with large text the field is seen as a whole, and below it what did not agree.
func TestTheFieldIsSeenAndWhatDoesNotAgree(t *testing.T) {
	small := picture.View{Size: fyne.NewSize(1024, 700), Scale: 2}
	w := windowtest.New(t, small)
	atMachines(t, w)
	w.Look(small)
	key(w, "-", "-", "1-01,1-02,1-03", "", "General Election", "11/2/2027")
	assert.NotContains(t, w.Says(), "Do not seal")
	key(w, "C-1102")
	small.Lay(w.Fyne())
	assert.True(t, w.Sees("Clock"))
	assert.True(t, w.Sees("Card does not agree"), w.Says())
	assert.Contains(t, w.Says(), "Do not seal. Read on to the clock; then it is decided.")
	assert.False(t, w.Sees("Zero report"), "the test can fail")
}

// Nothing that a machine has to show is on the page before it was read there: not in a row, not in a finding,
// not in the list. Then it is.
func TestNothingThatHasToBeThereIsShownBeforeItIsRead(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	r := w.Session.Review()
	require.NoError(t, r.SetMachineRules(rules, "p1", "p2"))
	_, err := session.EnterCards(r, "p1", filepath.Join("Counterproof demo", "warehouse", "cards.csv"))
	require.NoError(t, err)
	w.Go("Machines")
	p := windowtest.Place[*machines.Place](w)
	page := func() string { return strings.Join(picture.Texts(p.Content()), " ") }
	for range 12 {
		u := p.Work().Unit()
		for _, secret := range append(u.Header, "C-"+u.Name[3:], "General Election", "2027", "export.xml") {
			assert.NotContains(t, page(), secret, "unit %s", u.Name)
		}
		w.Press("Next")
	}
	assert.Equal(t, "TW-1201", p.Work().Unit().Name)
	p.Work().Go("TW-2201")
	key(w, "-", "-", "2-04")
	assert.NotContains(t, page(), "2-05", "the header is not read to its end")
	key(w, "")
	assert.Contains(t, page(), "must show 2-04, 2-05, 2-06")
	assert.NotContains(t, page(), "export.xml", "a finding of its card")
	key(w, "General Election", "11/2/2027", "C-2201", "9/14/2027 5:00 am")
	assert.Contains(t, page(), "was made from export.xml")
}

// What is printed are the load sheets; the labels are an action of the page.
func TestLoadSheetsAndLabelsArePrinted(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	opened := w.Opened()
	atMachines(t, w)
	w.Print()
	assert.Equal(t, "load sheets.pdf", w.LastOpened(opened))
	w.Go("Case")
	w.Menu("Print the load sheets")
	assert.Equal(t, "Machines", w.Place().Name())
	assert.Equal(t, "load sheets.pdf", w.LastOpened(opened))
	w.Tap("Labels for the cards")
	assert.Equal(t, "labels for cards.pdf", w.LastOpened(opened))
}

// Two seals of one number are told at once, with where, and on a small window with large text too; what is
// typed next goes on.
func TestASealNumberUsedTwiceIsSaidAtOnce(t *testing.T) {
	small := picture.View{Size: fyne.NewSize(1024, 700), Scale: 2}
	w := windowtest.New(t, small)
	p := atMachines(t, w)
	w.Look(small)
	key(w, "-", "-", "1-01,1-02,1-03", "", "General Election", "11/2/2027", "C-1101", "9/14/2027 5:00 am", "y", "y", "y",
		"HV IT", "1021", "1:40", "41877", "41877")
	w.Look(small)
	require.Equal(t, len(p.Work().Steps()), p.Work().At())
	p.Work().Move(-1)
	assert.Contains(t, w.Says(), "41877")
	assert.Contains(t, w.Says(), "unit TW-1101, card door")
	assert.Len(t, w.Session.State().Read, 16, "it is recorded as it was read")
}

// By keyboard from the machines of an office to a unit that is signed for: rules, the ledger's file, a
// reading that is corrected, a finding that both decide, the signatures.
func TestAUnitFromTheRulesToItsSignatures(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Machines")
	w.Tap("Say what the machines are")
	w.Write("Time zone", "America/New_York")
	w.Write("Daylight saving time", "n")
	w.Write("Keys", "power")
	w.Write("Places that are sealed", "card door")
	w.Tap("Go on to sign")
	w.TypePassphrases("p2", "p1")
	require.Len(t, w.Session.State().MachineRules, 1)
	p := windowtest.Place[*machines.Place](w)
	w.Menu("Enter the cards…")
	w.Write("File", filepath.Join("warehouse", "cards.csv"))
	w.Press("Return")
	require.Len(t, w.Session.State().Cards, 12, w.Says())
	assert.Contains(t, w.SheetSays(), "12 cards came. 1 is of another export than the last one")
	w.Press("Return")

	require.Equal(t, "TW-1101", p.Work().Unit().Name)
	key(w, "-", "1-01,1-02,1-03", "", "General Elecshun", "11/2/2027", "C-1101")
	w.Press("Up", "Up", "Up") // from the clock to the election, which was misheard
	w.Press("Return")
	w.Write("Election", "General Election")
	w.Write("Reason", "misheard")
	w.Press("Return")
	assert.Len(t, w.Session.State().Read, 7)
	w.Press("Down", "Down", "Down")
	key(w, "9/14/2027 5:00 am", "n", "y", "HV IT", "95", "418203")
	require.Equal(t, len(p.Work().Steps()), p.Work().At())

	assert.Contains(t, w.Says(), "Do not seal. Decide first.")
	w.Tap("Decide")
	w.Press("Return") // alone it decides nothing
	assert.Nil(t, w.Sheets.Top())
	w.Tap("Decide")
	w.Tap("Use another unit")
	w.Write("Reason", "the lock is worn")
	w.Tap("Go on to sign")
	w.Sign("p2", "p1")
	require.Len(t, w.Session.State().UnitDecisions, 1)
	assert.Contains(t, w.Says(), "the key \"power\" does not turn")
	assert.Contains(t, w.Says(), "The lock is worn", "the reason stays in sight")
	assert.Contains(t, w.Says(), "Do not seal. First do what was decided, then begin another visit.")

	w.Press("Return") // Sign for this unit
	w.Sign("p2", "p1")
	require.Len(t, w.Session.State().UnitsSigned, 1)
	assert.Contains(t, w.Says(), "0 of 12 units done")
	assert.Contains(t, w.Says(), "1 thing is still to be put right", "another unit is not there yet")
	assert.Contains(t, w.Says(), "TW-1101 Alder Falls Fire Hall · to be put right")
	w.Press("Return") // Next unit
	assert.Equal(t, "TW-1102", p.Work().Unit().Name)
}

// Page Down and the arrows work while an action has the focus, as Help says.
func TestKeysWorkFromAnAction(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	p := atMachines(t, w)
	key(w, "-", "-", "1-01")
	w.Fyne().Canvas().Focus(w.Find("Labels for the cards"))
	w.Press("Up")
	assert.Equal(t, 1, p.Work().At())
	w.Fyne().Canvas().Focus(w.Find("Labels for the cards"))
	w.Press("Next")
	assert.Equal(t, "TW-1102", p.Work().Unit().Name)
	w.Fyne().Canvas().Focus(w.Find("Labels for the cards"))
	w.Press("Prior")
	assert.Equal(t, "TW-1101", p.Work().Unit().Name)
}

// Enter after everything that is typed, and a passphrase too early: nothing is recorded that was not meant. A
// wrong zone keeps the sheet and all that was typed; there is no answer about daylight saving time that nobody gave.
func TestAHurriedHandRecordsNoRuleThatWasNotMeant(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Machines")
	w.Tap("Say what the machines are")
	key(w, "Amerika/New York", "", "power", "card door", "")
	key(w, w.Session.DemoPassphrase("p2")) // Enter moved on to the action, and does it
	for _, field := range []string{"Time zone", "Daylight saving time", "Keys", "Places that are sealed", "Counters"} {
		assert.NotContains(t, w.Field(field).Text, w.Session.DemoPassphrase("p2"))
	}
	assert.Contains(t, w.Says(), "is no time zone")
	assert.Same(t, w.Field("Time zone"), w.Fyne().Canvas().Focused())
	assert.Equal(t, "power", w.Field("Keys").Text)
	w.Tap("Zones of the United States")
	w.Tap("America/Chicago")
	assert.Equal(t, "America/Chicago", w.Field("Time zone").Text)
	w.Write("Time zone", "america/new york")
	w.Tap("Go on to sign")
	assert.Contains(t, w.Says(), "key y or n")
	assert.Same(t, w.Field("Daylight saving time"), w.Fyne().Canvas().Focused())
	key(w, "n", "", "", "", "")
	assert.Contains(t, w.SheetSays(), "somebody sets the machines' clocks")
	w.Press("Return") // Enter too many signs nothing, and the passphrase goes where it is asked for
	key(w, w.Session.DemoPassphrase("p2"), w.Session.DemoPassphrase("p1"))
	require.Len(t, w.Session.State().MachineRules, 1)
	assert.Equal(t, cards.Rules{Zone: "America/New_York", Keys: []string{"power"}, Seals: []string{"card door"},
		Counters: []string{}}, w.Session.State().MachineRules[0].Terms)
}

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "at-", map[string]func(t *testing.T, w *windowtest.Window){
		"machines": func(t *testing.T, w *windowtest.Window) {
			atMachines(t, w)
			key(w, "-", "-", "1-01", "1-02", "", "General Election", "11/2/2027", "C-1102", "9/14/2027 5:00 am")
		},
		"done": func(t *testing.T, w *windowtest.Window) {
			atMachines(t, w)
			key(w, "-", "-", "1-01,1-02,1-03", "", "General Election", "11/2/2027", "C-1101", "9/14/2027 4:00 am", "y", "n",
				"y", "HV IT", "1021", "1:40", "41877", "41877")
		},
		"visit": func(t *testing.T, w *windowtest.Window) {
			atMachines(t, w)
			key(w, "-", "-", "1-01,1-02,1-03", "", "General Election", "11/2/2027", "C-1101", "9/14/2027 4:00 am")
			w.Tap("Begin another visit")
			w.Tap("Begin the visit")
			key(w, "-", "-")
		},
		"no-cards": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			require.NoError(t, w.Session.Review().SetMachineRules(rules, "p1", "p2"))
			w.Go("Machines")
		},
		"rules": func(t *testing.T, w *windowtest.Window) { w.Compare(); w.Go("Machines"); w.Press("Return") },
	})
}

// What the machines are can be said again: the form has what is on record, and both sign the new one.
func TestWhatTheMachinesAreIsSaidAgain(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	p := atMachines(t, w)
	before := w.Session.State().MachineRules
	w.Menu("Say what the machines are…")
	w.Write("Keys", "power, lid")
	w.Tap("Go on to sign")
	w.TypePassphrases("p2", "p1")
	require.Len(t, w.Session.State().MachineRules, len(before)+1)
	rules := p.Work().Machines().Warehouse.Rules
	assert.Equal(t, []string{"power", "lid"}, rules.Keys)
	assert.Equal(t, before[len(before)-1].Terms.Seals, rules.Seals, "what was said before and not changed")
}

// From a unit at which everything is done one can go back to a reading: what is typed then stays there.
func TestAReadingOfAUnitThatIsDoneIsCorrectedThere(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	p := atMachines(t, w)
	clock := p.Work().Machines().Warehouse.Clock.Must(p.Work().Now()).Screen().Format("1/2/2006 3:04pm")
	key(w, "-", "-", "1-01,1-02,1-03", "", "General Election", "11/2/2027", "C-1101", clock, "y", "y", "y", "HV IT", "0",
		"95", "418203", "418204")
	w.Press("Return") // Sign for this unit
	w.Sign("p2", "p1")
	w.Tap("Correct a reading")
	w.Press("Up", "Up", "Up") // to the counter
	key(w, "1300")
	assert.Equal(t, "TW-1101", p.Work().Unit().Name)
	assert.Contains(t, w.SheetSays(), "Correct what was read")
}

// Another visit cannot be taken back: Enter after Enter begins none.
func TestAnotherVisitIsAskedFor(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	p := atMachines(t, w)
	key(w, "-", "-", "1-01")
	read := len(w.Session.State().Read)
	w.Tap("Begin another visit")
	w.Press("Return")
	assert.Nil(t, w.Sheets.Top())
	assert.Len(t, w.Session.State().Read, read)
	w.Tap("Begin another visit")
	w.Tap("Begin the visit")
	assert.Len(t, w.Session.State().Read, read+1)
	assert.Zero(t, p.Work().At())
	assert.Contains(t, w.Says(), "visit 2")
}
