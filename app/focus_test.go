package app_test

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/app/ui"
)

// shortcut types a key with Ctrl where the window's own shortcuts are.
func shortcut(w *windowtest.Window, key fyne.KeyName) {
	w.Fyne().Canvas().(fyne.Shortcutable).TypedShortcut(
		&desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierShortcutDefault})
}

// places goes to each place that can be entered, at a stage where all can.
func places(t *testing.T) *windowtest.Window {
	t.Helper()
	w := windowtest.New(t, windowtest.Plain)
	w.Fyne().Resize(windowtest.Plain.Size)
	w.Compare()
	return w
}

// A click on paper, on the desk, or beside a dialog takes the focus from nothing: Fyne takes it away
// where a click meets nothing that could have it.
func TestAClickOnPaperOrBesideADialogLeavesTheFocus(t *testing.T) {
	w := places(t)
	everywhere := func(what string) {
		t.Helper()
		before := w.Fyne().Canvas().Focused()
		require.NotNil(t, before, what)
		for x := float32(1); x < 1280; x += 71 {
			for y := float32(1); y < 800; y += 53 {
				require.True(t, w.ClickKeepsFocus(fyne.NewPos(x, y)), "%s: a click at %v,%v", what, x, y)
			}
		}
	}
	for _, p := range w.Places() {
		w.Go(p.Name())
		require.Equal(t, p.Name(), w.Place().Name())
		everywhere(p.Name())
	}
	w.AskNew()
	everywhere("a form")
	w.Say("Something", "was said.")
	everywhere("an answer")
}

// The test of clicks can fail: a window without ground loses the focus.
func TestAClickOnAPlainWindowTakesTheFocusAway(t *testing.T) {
	w := places(t)
	w.Fyne().SetContent(ui.Page(ui.Body("Paper and nothing else.")))
	w.Fyne().Resize(windowtest.Plain.Size)
	assert.False(t, w.ClickKeepsFocus(fyne.NewPos(600, 400)))
}

func TestTheFocusIsWhereTypingGoesAfterEachChange(t *testing.T) {
	w := places(t)
	home := map[string]fyne.Focusable{}
	for _, p := range w.Places() {
		w.Go(p.Name())
		f := w.Fyne().Canvas().Focused()
		require.NotNil(t, f, p.Name())
		home[p.Name()] = f
	}
	for _, p := range w.Places() {
		if p.Name() == "Sign" || p.Name() == "Case" {
			continue // their pages are drawn anew
		}
		w.Go(p.Name())
		w.AskNew()
		assert.Same(t, w.Field("Election"), w.Fyne().Canvas().Focused())
		w.Sheets.Top().Close()
		assert.Same(t, home[p.Name()], w.Fyne().Canvas().Focused(), "a dialog was closed over %s", p.Name())
		w.Fyne().Canvas().Unfocus()
		w.Returned()
		assert.Same(t, home[p.Name()], w.Fyne().Canvas().Focused(), "back from another window, at %s", p.Name())
	}
	// Whatever is recorded, what was replaced has the focus no more.
	for _, p := range w.Places() {
		w.Go(p.Name())
		for range 6 {
			w.Fyne().Canvas().FocusNext()
			w.Changed()
			f := w.Fyne().Canvas().Focused()
			require.NotNil(t, f)
			assert.True(t, w.InView(f), "%s: %T", p.Name(), f)
		}
	}
}

// A letter goes to the field or the list of the place, or is said to do nothing.
func TestALetterIsNeverLost(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Fyne().Resize(windowtest.Plain.Size)
	type_ := func(r rune) { w.Fyne().Canvas().Focused().TypedRune(r) }

	w.Go("Re-key")
	field := windowtest.Place[*rekey.Place](w)
	w.Fyne().Canvas().Focus(w.Tabs()[1])
	type_('q')
	assert.Equal(t, "q", field.Unsaved(), "from the rail into the field")
	w.Fyne().Canvas().Focus(w.Chips()[0])
	type_('r')
	assert.Equal(t, "qr", field.Unsaved(), "from the header into the field")
	w.Fyne().Canvas().Unfocus()
	w.Fyne().Canvas().OnTypedRune()('s')
	assert.Equal(t, "qrs", field.Unsaved(), "from nowhere into the field")
	w.Press("Escape")

	w.Go("Case")
	w.Fyne().Canvas().Focus(w.Chips()[0])
	type_('q')
	assert.Contains(t, w.Says(), "“q” does nothing here")
	assert.Same(t, w.Chips()[0], w.Fyne().Canvas().Focused())
	w.Changed()
	assert.NotContains(t, w.Says(), "does nothing here")

	w.AskUnlock("p1", "", nil)
	w.Fyne().Canvas().FocusNext()
	type_('q')
	assert.Equal(t, "q", w.Field("Passphrase").Text, "from an action of a form into its field")
	w.CloseSheets()
	w.Say("Something", "was said.")
	type_('q')
	assert.Contains(t, w.Says(), "“q” does nothing here")
}

func TestALetterInAListThatDoesNotKnowItIsSaid(t *testing.T) {
	w := places(t)
	for _, place := range []string{"Differences", "Units"} {
		w.Go(place)
		w.Press("q")
		assert.Contains(t, w.Says(), "“q” does nothing here", place)
		w.Changed()
	}
}

// While a dialog is open no command begins: no place changes beneath it, and no second dialog opens.
func TestCommandsDoNothingWhileADialogIsOpen(t *testing.T) {
	w := places(t)
	w.Go("Differences")
	w.AskUnlock("p1", "", nil)
	field := w.Field("Passphrase")
	for _, run := range w.MenuActions() {
		run()
		require.Len(t, w.Sheets.All(), 1)
		require.Same(t, field, w.Fyne().Canvas().Focused(), "the dialog takes the keys")
	}
	for _, key := range []fyne.KeyName{fyne.Key1, fyne.Key2, fyne.Key4, fyne.KeyN, fyne.KeyO, fyne.KeyI, fyne.KeyW,
		fyne.KeyF,
		fyne.KeyL, fyne.KeyQ, fyne.KeyEqual} {
		shortcut(w, key)
		require.Len(t, w.Sheets.All(), 1, key)
		require.Same(t, field, w.Fyne().Canvas().Focused(), key)
	}
	assert.Equal(t, "Differences", w.Place().Name())
	require.NotNil(t, w.Session.Case())
	w.CloseSheets()
	shortcut(w, fyne.Key2)
	assert.Equal(t, "Re-key", w.Place().Name(), "they do again when it is closed")
}

// Of several sheets one is shown: the one below comes back with what was typed.
func TestADialogNeverLiesOverAnother(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.AskNew()
	w.Write("Election", "Village Election")
	w.Fyne().Canvas().Focus(w.Field("Jurisdiction"))
	w.Press("F1")
	require.Len(t, w.Fyne().Canvas().Overlays().List(), 1, "one is drawn")
	assert.NotContains(t, w.Says(), "Village Election")
	w.Press("Escape")
	require.Len(t, w.Fyne().Canvas().Overlays().List(), 1)
	assert.Equal(t, "Village Election", w.Field("Election").Text)
	assert.Same(t, w.Field("Jurisdiction"), w.Fyne().Canvas().Focused(), "and the cursor is where it was")
}

func TestAHalfFilledDialogAsksBeforeItIsDropped(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.AskNew()
	w.Press("Escape")
	assert.Empty(t, w.Sheets.All(), "nothing was typed")
	w.AskNew()
	w.Write("Election", "Village Election")
	w.Press("Escape")
	assert.Contains(t, w.Says(), "Drop what you typed?")
	w.Press("Return")
	assert.Equal(t, "Village Election", w.Field("Election").Text, "Enter goes on typing")
	w.Tap("Not now")
	assert.Contains(t, w.Says(), "Drop what you typed?")
	w.Tap("Drop it")
	assert.Empty(t, w.Sheets.All())
	w.AskUnlock("p1", "", nil)
	w.Write("Passphrase", "half of it")
	w.Press("Escape")
	assert.Empty(t, w.Sheets.All(), "a passphrase is typed anew")
}

// Help, long sheets and long places scroll by keyboard, whatever has the focus.
func TestLongPagesScrollByKeyboard(t *testing.T) {
	w := places(t)
	w.Fyne().Resize(fyne.NewSize(1024, 700))
	w.SetText(2)
	w.Help()
	top := w.Sheets.Top().Scroll()
	w.Press("Next")
	assert.Positive(t, top.Offset.Y, "Page Down in the list of keys")
	w.Press("End")
	assert.InDelta(t, top.Content.MinSize().Height-top.Size().Height, top.Offset.Y, 1)
	w.Press("Home")
	assert.Zero(t, top.Offset.Y)
	w.Press("Down")
	assert.Positive(t, top.Offset.Y)
	w.Press("Escape")
	require.Empty(t, w.Sheets.All(), "Esc leaves")
	for _, p := range w.Places() {
		s, ok := p.(interface{ Scroll() *container.Scroll })
		if !ok {
			continue
		}
		w.Go(p.Name())
		w.Press("Next")
		assert.Positive(t, s.Scroll().Offset.Y, "Page Down in %s", p.Name())
		at := s.Scroll().Offset.Y
		w.Changed()
		assert.InDelta(t, at, s.Scroll().Offset.Y, 1, "%s stays where it was scrolled to", p.Name())
		w.Press("Prior")
		assert.Zero(t, s.Scroll().Offset.Y)
	}
}

// Escape leaves every dialog from each of its parts.
func TestEscapeLeavesFromEveryPartOfADialog(t *testing.T) {
	w := places(t)
	windowtest.Home(t)
	for name, open := range map[string]func(){
		"a new case": w.AskNew, "a file": w.AskOpen, "an export": w.AskExport, "a roster": w.AskRoster,
		"a backup": w.AskBackup,
		"help":     w.Help, "about": w.About, "a folder": func() { w.ChooseFolder(func(string) {}) },
		"an amendment": func() { w.Go("Differences"); w.Press("a") },
	} {
		for part := 0; part < 12; part++ {
			open()
			require.Len(t, w.Sheets.All(), 1, name)
			for range part {
				w.Fyne().Canvas().FocusNext()
			}
			w.Press("Escape")
			require.Empty(t, w.Sheets.All(), "%s, from part %d", name, part)
		}
	}
}

// Escape leaves a panel of Re-key too, wherever the focus is in it, and leads back from the rail, the
// header and the facing pages to where typing goes.
func TestEscapeLeadsBackToWhereTypingGoes(t *testing.T) {
	w := wholeDemo(t)
	w.Go("Re-key")
	field := w.Fyne().Canvas().Focused()
	for _, panel := range []string{"F7", "F8", "F9", "F1"} {
		for part := range 4 {
			w.Press(panel)
			require.NotSame(t, field, w.Fyne().Canvas().Focused(), panel)
			for range part {
				w.Fyne().Canvas().FocusNext()
			}
			w.Press("Escape")
			require.Same(t, field, w.Fyne().Canvas().Focused(), "%s, from part %d", panel, part)
		}
	}
	w.Fyne().Canvas().Focus(w.Tabs()[0])
	w.Press("Escape")
	assert.Same(t, field, w.Fyne().Canvas().Focused())
}

// What comes next gets the focus when it comes late, so that Enter goes on: a report takes a while to be made.
func TestTheFocusGoesToWhatComesNextWhenItIsThere(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Sign")
	_, ok := w.Fyne().Canvas().Focused().(*ui.Action)
	require.False(t, ok, "nothing can be signed yet")
	w.Settle()
	a, ok := w.Fyne().Canvas().Focused().(*ui.Action)
	require.True(t, ok)
	require.Equal(t, "Sign the report", a.Label())
}
