package app_test

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
)

// choose does an item of the main menu.
func choose(t *testing.T, w *windowtest.Window, head, label string) {
	t.Helper()
	menus := w.Fyne().MainMenu().Items
	menu := menus[slices.IndexFunc(menus, func(m *fyne.Menu) bool { return m.Label == head })]
	at := slices.IndexFunc(menu.Items, func(i *fyne.MenuItem) bool { return i.Label == label })
	require.GreaterOrEqual(t, at, 0, "no %q in the menu", label)
	require.False(t, menu.Items[at].Disabled, label)
	menu.Items[at].Action()
}

func TestTheEditMenuWorksInTheField(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	p.OpenUnits()
	clip := fyne.CurrentApp().Clipboard()
	clip.SetContent("TW-9901\n")
	choose(t, w, "Edit", "Paste")
	assert.Equal(t, "TW-9901", p.Unsaved())
	choose(t, w, "Edit", "Select all")
	w.Fyne().Canvas().Unfocus() // as a click on the menu bar does
	clip.SetContent("")
	choose(t, w, "Edit", "Copy")
	assert.Equal(t, "TW-9901", clip.Content())
	assert.NotNil(t, w.Fyne().Canvas().Focused(), "the field has the keys again")
	choose(t, w, "Edit", "Cut")
	assert.Empty(t, p.Unsaved())
}

func TestTheEditMenuWorksInADialogToo(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.AskNew()
	w.Fyne().Canvas().Focus(w.Field("Election"))
	fyne.CurrentApp().Clipboard().SetContent("General Election")
	choose(t, w, "Edit", "Paste")
	assert.Equal(t, "General Election", w.Field("Election").Text)
}

func TestACertifiedListIsPastedFromTheMenu(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	menus := w.Fyne().MainMenu().Items
	for _, i := range menus[1].Items {
		if i.Label == "Paste a certified list…" {
			assert.True(t, i.Disabled, "Case takes no list")
		}
	}
	w.Go("Re-key")
	fyne.CurrentApp().Clipboard().SetContent("Coroner (vote for 1)\nAda Quill (MER)\n")
	choose(t, w, "Edit", "Paste a certified list…")
	assert.Contains(t, w.Says(), "contest: Coroner, vote for 1")
	assert.Contains(t, w.Says(), "choice: Ada Quill, on MER")
}

func TestADayIsTypedAsPrintedInANewCase(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.AskNew()
	w.Write("Day", "11/2/2027")
	assert.Contains(t, w.Says(), "The day is Tuesday, November 2, 2027.")
	w.Write("Election", "General")
	w.Write("Parties of the pair", "Hearth Party, Meridian Party")
	w.Write("Case file", t.TempDir()+"/general.counterproof")
	w.Tap("Start the case")
	require.NotNil(t, w.Session.Case())
	assert.Equal(t, "2027-11-02", w.Session.State().Election.Date)
}
