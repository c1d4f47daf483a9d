package app_test

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app"
	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
)

// small is a small window with text at 200 %.
var small = picture.View{Size: fyne.NewSize(1024, 700), Scale: 2}

// wholeIn reports whether something is wholly within the view of what scrolls it.
func wholeIn(area *container.Scroll, o fyne.CanvasObject) bool {
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject
	top := at(o).Y - at(area).Y
	return top >= 0 && top+o.Size().Height <= area.Size().Height+1
}

// On a small window with large text each of the three sees the field that they type in, and is told
// that it was signed.
func TestWhoTypesAPassphraseSeesTheField(t *testing.T) {
	w := windowtest.New(t, small)
	w.Resolve()
	w.Look(small)
	w.Go("Sign")
	w.Look(small)
	button := w.Find("Sign the report")
	area := w.Place().(app.Scroller).Scroll()
	area.ScrollToBottom()
	w.Fyne().Canvas().Unfocus()
	w.Fyne().Canvas().Focus(button)
	assert.True(t, wholeIn(area, button), "the button that Enter would press")
	w.Tap("Sign the report")
	w.Tap("Go on to sign")
	for _, id := range []casefile.PersonID{"p1", "p2", "p3"} {
		p, _ := w.Session.State().Person(id)
		f, ok := w.Fyne().Canvas().Focused().(*ui.Field)
		require.True(t, ok)
		assert.Equal(t, "Passphrase of "+p.Name, f.Name)
		assert.True(t, wholeIn(w.Sheets.Top().Scroll(), f), "the field of %s", p.Name)
		f.SetText("twelve wrong letters")
		w.Press("Return")
		assert.Contains(t, w.Says(), "Wrong passphrase for "+p.Name)
		w.Sheets.Top().Close()
		w.TypePassphrase(id, w.Session.DemoPassphrase(id))
	}
	require.Len(t, w.Session.State().SignOffs, 1)
	assert.Contains(t, w.Says(), "Signed by Hollis Varga, Imre Tallow and Noor")
	assert.Zero(t, area.Offset.Y, "the signed report is shown from its top")
}

// Every field of a form, and everything that Tab comes to on a page, is scrolled into view.
func TestWhatHasTheFocusIsInSight(t *testing.T) {
	w := windowtest.New(t, small)
	w.AskNew()
	w.Look(small)
	sheet := w.Sheets.Top()
	for range 12 {
		f := w.Fyne().Canvas().Focused()
		if field, ok := f.(*ui.Field); ok {
			assert.True(t, wholeIn(sheet.Scroll(), field), "the field %s", field.Name)
		}
		w.Fyne().Canvas().FocusNext()
	}
	w.CloseSheets()
	w.LayOutDemo()
	w.Look(small)
	area := w.Place().(app.Scroller).Scroll()
	seen := 0
	for range 40 {
		w.Fyne().Canvas().FocusNext()
		a, ok := w.Fyne().Canvas().Focused().(*ui.Action)
		if ok && (a.Label() == "Unlock" || a.Label() == "Note an export's digest" || a.Label() == "Change the roster") {
			seen++
			assert.True(t, wholeIn(area, a), a.Label())
		}
	}
	assert.GreaterOrEqual(t, seen, 3)
}
