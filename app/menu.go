package app

import (
	"fmt"
	"path/filepath"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"counterproof/app/desk/decks"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

const ctrl = fyne.KeyModifierShortcutDefault

// command is something that can be done from the menu and by its shortcut.
type command struct {
	label string
	key   fyne.KeyName
	mods  fyne.KeyModifier
	shown string // the shortcut for people
	do    func()
	may   func() bool
}

func (w *Window) hasCase() bool { return w.Session.Case() != nil }

func (w *Window) mayKey() bool { return w.Session.MayKeySheets() == nil }

func (w *Window) mayCompare() bool {
	ok, _ := w.Session.MayCompare()
	return ok
}

func (w *Window) mayCountersign() bool { return w.hasCase() && w.Session.State().Uncountersigned() }

func (w *Window) amend() { w.to(w.known.differences.Name(), w.known.differences.Amend) }

func (w *Window) saveReport() { w.to(w.known.sign.Name(), w.known.sign.Save) }

func (w *Window) designDeck() { w.to(w.known.testDeck.Name(), w.known.testDeck.Design) }

func (w *Window) mayDesignDeck() bool {
	ok, _ := w.known.testDeck.May()
	return ok && decks.MayMake(w.Session.State()) == ""
}

func (w *Window) typePrintout() { w.to(w.known.testDeck.Name(), w.known.testDeck.TypePrintout) }

func (w *Window) hasDeck() bool {
	ok, _ := w.known.testDeck.May()
	return ok && len(w.Session.State().Decks) > 0
}

func (w *Window) sayRules() { w.to(w.known.machines.Name(), w.known.machines.AskRules) }

func (w *Window) enterCards() { w.to(w.known.machines.Name(), w.known.machines.EnterCards) }

func (w *Window) printLoadSheets() { w.to(w.known.machines.Name(), w.Print) }

// atMachines reports whether Machines can be entered and the office said what its machines are.
func (w *Window) atMachines() bool {
	ok, _ := w.known.machines.May()
	return ok && w.hasCase() && len(w.Session.State().MachineRules) > 0
}

// signReport goes to Sign; there it begins to sign, or says why that is not possible yet.
func (w *Window) signReport() {
	if w.places[w.at] == Place(w.known.sign) {
		w.known.sign.Begin()
		return
	}
	w.Go(w.known.sign.Name())
}

// sealWords name the seal of a scope; of none where nothing can be sealed now.
var sealWords = map[casefile.Scope]string{"": "Seal…", casefile.ScopeBallots: "Seal the ballots…",
	casefile.ScopeUnits: "Seal the voting units…"}

// sealable is the scope that is sealed next, or empty.
func (w *Window) sealable() casefile.Scope {
	state := w.Session.State()
	if ok, _ := w.known.rekey.May(); !ok {
		return ""
	}
	switch {
	case !state.Sealed(casefile.ScopeBallots) || len(state.OpenAmendments()) > 0:
		return casefile.ScopeBallots
	case !state.Sealed(casefile.ScopeUnits):
		return casefile.ScopeUnits
	}
	return ""
}

func (w *Window) sealNext() {
	if scope := w.sealable(); scope != "" {
		w.Seal(scope)
	}
}

// comesNext is what Re-key says comes next, where that is in view, else the next seal; nil for nothing.
func (w *Window) comesNext() func() {
	if w.places[w.at] == Place(w.known.rekey) {
		if do := w.known.rekey.ComesNext(); do != nil {
			return do
		}
	}
	if w.sealable() == "" {
		return nil
	}
	return w.sealNext
}

func (w *Window) doNext() {
	if do := w.comesNext(); do != nil {
		do()
	}
}

// commands are the menu, by heading.
func (w *Window) commands() []struct {
	head string
	list []command
} {
	undoer := func() bool { _, ok := w.places[w.at].(Undoer); return ok }
	finder := func() bool { _, ok := w.places[w.at].(Finder); return ok }
	caseCommands := []command{
		{"New case…", fyne.KeyN, ctrl, "Ctrl+N", w.AskNew, nil},
		{"Open…", fyne.KeyO, ctrl, "Ctrl+O", w.AskOpen, nil},
		{"Open the demo", "", 0, "", w.AskDemo, nil},
		{"Attach printed proofs…", "", 0, "", w.AskProofs, w.hasCase},
		{"Bring in a certified document…", "", 0, "", w.AskCertified, w.hasCase},
		{"Print…", fyne.KeyP, ctrl, "Ctrl+P", w.Print, can[Printer](w)},
		{"Back up…", fyne.KeyB, ctrl, "Ctrl+B", w.AskBackup, w.hasCase},
		{"Write the evidence…", "", 0, "", w.AskEvidence, w.hasCase},
		{"Verify a case or a report…", "", 0, "", w.AskVerify, nil},
		{"Verify an evidence folder…", "", 0, "", w.AskVerifyFolder, nil},
		{"Lock everybody", fyne.KeyL, ctrl, "Ctrl+L", w.LockAll, w.hasCase},
		{"Close the case", fyne.KeyW, ctrl, "Ctrl+W", w.CloseCase, w.hasCase},
		{"Quit", fyne.KeyQ, ctrl, "Ctrl+Q", w.Quit, nil},
	}
	work := []command{
		{"The official roster…", "", 0, "", w.AskRoster, w.mayKey},
		{"Replace a person…", "", 0, "", w.AskReplace, w.hasCase},
		{"Key from sheets…", "", 0, "", w.AskSheets, w.mayKey},
		{"Join another keyer's case…", "", 0, "", w.AskJoin, w.hasCase},
		{"What comes next", fyne.KeyE, ctrl, "Ctrl+E", w.doNext, func() bool { return w.comesNext() != nil }},
		{sealWords[w.sealable()], "", 0, "", w.sealNext, func() bool { return w.sealable() != "" }},
		{"Countersign the seal…", "", 0, "", w.known.casePage.Countersign, w.mayCountersign},
		{"Bring in an export…", fyne.KeyI, ctrl, "Ctrl+I", w.AskExport, w.hasCase},
		{"Make a mapping of tables…", "", 0, "", w.AskTables, func() bool { return w.Session.MayMap() == nil }},
		{"Design a test deck…", "", 0, "", w.designDeck, w.mayDesignDeck},
		{"Type a printout…", "", 0, "", w.typePrintout, w.hasDeck},
		{"Say what the machines are…", "", 0, "", w.sayRules, w.atMachines},
		{"Enter the cards…", "", 0, "", w.enterCards, w.atMachines},
		{"Print the load sheets", "", 0, "", w.printLoadSheets, w.atMachines},
		{"Enter an amendment…", "", 0, "", w.amend, w.mayCompare},
		{"Save the report…", "", 0, "", w.saveReport, w.mayCompare},
		{"Sign the report", "", 0, "", w.signReport, w.mayCompare},
	}
	var goes []command
	for i, p := range w.places {
		goes = append(goes, command{p.Name(), fyne.KeyName(fmt.Sprint(i + 1)), ctrl, fmt.Sprintf("Ctrl+%d", i+1),
			func() { w.Go(p.Name()) }, nil})
	}
	view := []command{
		{"Text larger", fyne.KeyEqual, ctrl, "Ctrl+=", func() { w.StepText(1) }, nil},
		{"Text smaller", fyne.KeyMinus, ctrl, "Ctrl+-", func() { w.StepText(-1) }, nil},
		{"Text at 100 %", fyne.Key0, ctrl, "Ctrl+0", func() { w.SetText(1); w.sayText() }, nil},
	}
	for _, tone := range ui.Tones {
		view = append(view, command{tone.Words(), "", 0, "", func() { w.SetTone(tone) }, nil})
	}
	return []struct {
		head string
		list []command
	}{
		{"Case", caseCommands},
		{"Work", work},
		{"Edit", []command{
			{"Undo", fyne.KeyZ, ctrl, "Ctrl+Z", w.undo, undoer},
			{"Redo", fyne.KeyY, ctrl, "Ctrl+Y", w.redo, undoer},
			{"Cut", fyne.KeyX, ctrl, "Ctrl+X", func() { w.edit(&fyne.ShortcutCut{Clipboard: w.app.Clipboard()}) }, nil},
			{"Copy", fyne.KeyC, ctrl, "Ctrl+C", func() { w.edit(&fyne.ShortcutCopy{Clipboard: w.app.Clipboard()}) }, nil},
			{"Paste", fyne.KeyV, ctrl, "Ctrl+V", func() { w.edit(&fyne.ShortcutPaste{Clipboard: w.app.Clipboard()}) }, nil},
			{"Select all", fyne.KeyA, ctrl, "Ctrl+A", func() { w.edit(&fyne.ShortcutSelectAll{}) }, nil},
			{"Paste a certified list…", fyne.KeyV, ctrl | fyne.KeyModifierShift, "Ctrl+Shift+V",
				func() { onPlace(w, ListPaster.PasteList) }, can[ListPaster](w)},
			{"Begin this face as a copy", fyne.KeyC, ctrl | fyne.KeyModifierShift, "Ctrl+Shift+C",
				func() { onPlace(w, FaceCopier.CopyFace) }, can[FaceCopier](w)},
			{"Find", fyne.KeyF, ctrl, "Ctrl+F", w.find, finder},
			{"Find next", "", 0, "F3", func() { onPlace(w, NextFinder.FindNext) }, can[NextFinder](w)},
		}},
		{"Go", goes},
		{"View", view},
		{"Help", []command{
			{"Keys and help", fyne.KeyF1, 0, "F1", w.Help, nil},
			{"The menu, by keyboard", fyne.KeyF10, 0, "F10, Alt", w.openMenu, nil},
			{"About Counterproof", "", 0, "", w.About, nil},
		}},
	}
}

// menu makes the main menu again, because the possible commands have changed.
func (w *Window) menu() {
	var menus []*fyne.Menu
	for _, m := range w.commands() {
		menu := fyne.NewMenu(m.head)
		for _, c := range m.list {
			if c.label == "Quit" {
				menu.Items = append(menu.Items, w.recentMenu(), fyne.NewMenuItemSeparator())
			}
			item := fyne.NewMenuItem(c.label, func() { w.command(c) })
			if c.key != "" && c.mods != 0 {
				item.Shortcut = &desktop.CustomShortcut{KeyName: c.key, Modifier: c.mods}
			}
			item.Disabled = c.may != nil && !c.may()
			item.IsQuit = c.label == "Quit"
			item.Checked = c.label == w.theme().Tone.Words()
			menu.Items = append(menu.Items, item)
		}
		menus = append(menus, menu)
	}
	w.win.SetMainMenu(fyne.NewMainMenu(menus...))
}

func (w *Window) recentMenu() *fyne.MenuItem {
	item := fyne.NewMenuItem("Open recent", nil)
	item.ChildMenu = fyne.NewMenu("")
	for _, path := range w.Recent() {
		item.ChildMenu.Items = append(item.ChildMenu.Items,
			fyne.NewMenuItem(filepath.Base(path)+"  "+session.Whereabouts(path),
				func() { w.command(command{do: func() { w.OpenCase(path) }}) }))
	}
	item.Disabled = len(item.ChildMenu.Items) == 0
	return item
}

// shortcuts makes the commands' keys work whether or not the menu shows them.
func (w *Window) shortcuts() {
	for _, m := range w.commands() {
		for _, c := range m.list {
			if c.key == "" || c.mods == 0 {
				continue
			}
			w.win.Canvas().AddShortcut(&desktop.CustomShortcut{KeyName: c.key, Modifier: c.mods},
				func(fyne.Shortcut) { w.command(c) })
		}
	}
	// Fyne makes shortcuts of its own of Ctrl+Z and Ctrl+Y.
	w.win.Canvas().AddShortcut(&fyne.ShortcutUndo{}, func(fyne.Shortcut) { w.command(command{do: w.undo}) })
	w.win.Canvas().AddShortcut(&fyne.ShortcutRedo{}, func(fyne.Shortcut) { w.command(command{do: w.redo}) })
}

// command carries a command out. While a sheet lies on the window nothing else begins: a place
// that changed beneath it, or a second sheet, would be in nobody's sight.
func (w *Window) command(c command) {
	if (w.Sheets.Top() == nil || c.edits()) && (c.may == nil || c.may()) {
		c.do()
	}
}

// edits reports whether a command works in the field that has the focus, which may be a sheet's, or on the
// size of its text.
func (c command) edits() bool {
	return c.mods == ctrl && slices.Contains([]fyne.KeyName{fyne.KeyX, fyne.KeyC, fyne.KeyV, fyne.KeyA, fyne.KeyEqual,
		fyne.KeyMinus, fyne.Key0}, c.key)
}

func (w *Window) undo() {
	if u, ok := w.places[w.at].(Undoer); ok {
		u.Undo()
	}
}

func (w *Window) redo() {
	if u, ok := w.places[w.at].(Undoer); ok {
		u.Redo()
	}
}

// edit does a command in the focused field; the menu may have taken the focus from the place's.
func (w *Window) edit(s fyne.Shortcut) {
	if f, ok := w.win.Canvas().Focused().(fyne.Shortcutable); ok {
		f.TypedShortcut(s)
	} else if e, ok := w.places[w.at].(Editor); ok && w.Sheets.Top() == nil {
		e.Edit(s)
	}
}

// onPlace does what the place in view can do, unless a sheet lies over it.
func onPlace[P any](w *Window, do func(P)) {
	if p, ok := w.places[w.at].(P); ok && w.Sheets.Top() == nil {
		do(p)
	}
}

// can reports whether the place in view can do something with the open case.
func can[P any](w *Window) func() bool {
	return func() bool { _, ok := w.places[w.at].(P); return ok && w.hasCase() }
}

func (w *Window) find() {
	if f, ok := w.places[w.at].(Finder); ok {
		f.Find()
	}
}

// theme returns the theme that the preferences ask for.
func (w *Window) theme() ui.Theme {
	p := w.app.Preferences()
	t := ui.Theme{Scale: 1}
	for _, tone := range ui.Tones {
		if p.String(prefTone) == tone.String() {
			t.Tone = tone
		}
	}
	if s := float32(p.FloatWithFallback(prefScale, 1)); slices.Contains(ui.TextScales, s) {
		t.Scale = s
	}
	return t
}

func (w *Window) applyTheme() { w.app.Settings().SetTheme(w.theme()) }

// SetTone changes between light, dark and high contrast, and remembers the choice.
func (w *Window) SetTone(t ui.Tone) {
	w.app.Preferences().SetString(prefTone, t.String())
	w.retheme()
}

// SetText sets the text size to one of ui.TextScales, and remembers it.
func (w *Window) SetText(scale float32) {
	w.app.Preferences().SetFloat(prefScale, float64(scale))
	w.retheme()
}

// StepText makes text larger (1) or smaller (-1) by a step, and remembers it.
func (w *Window) StepText(by int) {
	i := slices.Index(ui.TextScales, w.theme().Scale) + by
	if i >= 0 && i < len(ui.TextScales) {
		w.SetText(ui.TextScales[i])
	}
	w.sayText()
}

// sayText says how large the text is.
func (w *Window) sayText() {
	words := fmt.Sprintf("Text at %.0f %%. Ctrl+0 is 100 %%.", 100*w.theme().Scale)
	if top := w.Sheets.Top(); top != nil {
		top.Note(words)
		return
	}
	w.header.note(words)
}

func (w *Window) retheme() {
	w.applyTheme()
	w.Changed()
	w.win.Content().Refresh()
	for _, body := range w.bodies { // those out of view too
		body.Refresh()
	}
	for _, s := range w.Sheets.All() {
		s.Content().Refresh()
		s.Refit()
	}
}
