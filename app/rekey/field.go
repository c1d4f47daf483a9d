package rekey

import (
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/desk"
	"counterproof/app/ui"
)

// field is the only entry field of the desk. It is on the sheet at the cursor; everything else
// there is printed text.
type field struct {
	widget.Entry
	r       *Screen
	shift   bool
	syncing bool
	at      desk.Stop
	// behind is the text at whose end the cursor was put, and behindAt where the entry places it
	// then: see TypedRune.
	behind   string
	behindAt [2]int // row and column
}

var _ desktop.Keyable = (*field)(nil)

func newField(r *Screen) *field {
	f := &field{r: r}
	f.Wrapping = fyne.TextWrapOff
	f.Scroll = fyne.ScrollHorizontalOnly
	f.ExtendBaseWidget(f)
	f.OnChanged = func(text string) {
		if !f.syncing {
			f.r.d.Type(text)
		}
	}
	return f
}

// AcceptsTab prevents Tab from leaving the desk.
func (f *field) AcceptsTab() bool { return true }

// sync copies the text from the desk.
func (f *field) sync() {
	text := f.r.d.Text()
	s := f.r.d.Focus()
	moved := s != f.at
	f.at = s
	f.syncing = true
	defer func() { f.syncing = false }()
	if wrap := s.Kind == desk.MeasureText; wrap != f.MultiLine {
		f.MultiLine = wrap
		f.Wrapping = fyne.TextWrapOff
		f.Scroll = fyne.ScrollHorizontalOnly
		if wrap {
			f.Wrapping, f.Scroll = fyne.TextWrapWord, fyne.ScrollVerticalOnly
		}
		f.Refresh()
	}
	f.PlaceHolder = prompts[s.Kind]
	if f.r.d.ReadOnly(s) {
		f.PlaceHolder = "sealed"
	}
	if f.r.d.PinnedHeading() != "" && s.Kind == desk.NextContest {
		f.PlaceHolder = "the contest under that heading"
	}
	if text != f.Text {
		f.SetText(text)
		f.end()
	} else if moved {
		f.end()
		f.Refresh()
	}
}

func (f *field) end() {
	if !f.MultiLine {
		f.CursorRow, f.CursorColumn = 0, len([]rune(f.Text))
		f.Refresh()
		return
	}
	f.MinSize() // an entry accepts keys only after it was drawn
	// Whoever types a capital letter holds the shift key: with it these keys would select the letter, and
	// the next letter replace it.
	f.Entry.KeyUp(&fyne.KeyEvent{Name: desktop.KeyShiftLeft})
	f.Entry.TypedKey(&fyne.KeyEvent{Name: fyne.KeyPageDown})
	f.Entry.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEnd})
	if f.shift {
		f.Entry.KeyDown(&fyne.KeyEvent{Name: desktop.KeyShiftLeft})
	}
	f.behind, f.behindAt = f.Text, [2]int{f.CursorRow, f.CursorColumn}
}

// KeyDown and KeyUp track the shift key, because a Tab event does not report it.
func (f *field) KeyDown(e *fyne.KeyEvent) {
	if e.Name == desktop.KeyShiftLeft || e.Name == desktop.KeyShiftRight {
		f.shift = true
	}
	f.Entry.KeyDown(e)
}

// KeyUp tracks the shift key.
func (f *field) KeyUp(e *fyne.KeyEvent) {
	if e.Name == desktop.KeyShiftLeft || e.Name == desktop.KeyShiftRight {
		f.shift = false
	}
	f.Entry.KeyUp(e)
}

// FocusLost resets the shift key, because its release will not arrive here.
func (f *field) FocusLost() {
	f.shift = false
	f.Entry.FocusLost()
}

// TypedRune types a letter. An entry that wraps its lines loses its place behind a space that ends
// a full line (Fyne 2.7): the next letter, which would stand before the space, is put behind it.
func (f *field) TypedRune(c rune) {
	if f.r.d.ReadOnly(f.at) {
		return
	}
	if f.atEnd() {
		f.SetText(f.Text + string(c))
		f.end()
	} else {
		f.Entry.TypedRune(c)
	}
	f.r.Refresh()
}

// atEnd reports whether the cursor is at the end of a text of several lines, wherever the entry
// places it.
func (f *field) atEnd() bool {
	return f.MultiLine && f.SelectedText() == "" && (f.CursorTextOffset() == utf8.RuneCountInString(f.Text) ||
		f.Text == f.behind && f.behindAt == [2]int{f.CursorRow, f.CursorColumn})
}

// TypedKey handles keys without a letter.
func (f *field) TypedKey(e *fyne.KeyEvent) {
	d := f.r.d
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		d.Enter()
	case fyne.KeyTab:
		if f.shift {
			d.Step(-1)
		} else {
			d.Step(1)
		}
	case fyne.KeyUp, fyne.KeyDown:
		by := 1
		if e.Name == fyne.KeyUp {
			by = -1
		}
		switch {
		case f.MultiLine:
			f.Entry.TypedKey(e)
		case len(d.Items()) > 0:
			d.MovePick(by)
		default:
			d.Step(by)
		}
	case fyne.KeyPageUp:
		f.r.sheet.page(-1)
		return
	case fyne.KeyPageDown:
		f.r.sheet.page(1)
		return
	case fyne.KeyEscape:
		if f.r.errand != nil && d.Resting() {
			f.r.errand.back()
			return
		}
		d.ClearRefused()
		d.Escape()
	case fyne.KeyF2:
		if f.r.errand != nil {
			f.r.errand.handOver()
			return
		}
	case fyne.KeyF3:
		if f.r.errand != nil {
			f.r.errand.other()
			return
		}
		d.FindNext()
	case fyne.KeyInsert:
		d.Insert()
	case fyne.KeyF1:
		f.r.ShowKeys()
		return
	case fyne.KeyF10:
		ui.ToWindow(f, e)
		return
	case fyne.KeyF4:
		d.More()
	case fyne.KeyF6:
		f.r.showProof()
		return
	case fyne.KeyF7:
		f.r.ShowOdd()
		return
	case fyne.KeyF8:
		f.r.ShowUnassigned()
		return
	case fyne.KeyF9:
		f.r.ShowLanguages()
		return
	case fyne.KeyBackspace, fyne.KeyDelete:
		if d.ReadOnly(f.at) {
			return
		}
		d.Backspace()
		if e.Name == fyne.KeyBackspace && f.Text != "" && f.atEnd() {
			_, size := utf8.DecodeLastRuneInString(f.Text)
			f.SetText(f.Text[:len(f.Text)-size])
			f.end()
		} else {
			f.Entry.TypedKey(e)
		}
	default:
		f.Entry.TypedKey(e)
	}
	f.r.Refresh()
}

// TypedShortcut handles keys with Ctrl or Alt.
func (f *field) TypedShortcut(s fyne.Shortcut) {
	d := f.r.d
	switch s := s.(type) {
	case *fyne.ShortcutUndo:
		d.Undo()
	case *fyne.ShortcutRedo:
		d.Redo()
	case *desktop.CustomShortcut:
		ctrl := s.Modifier == fyne.KeyModifierControl || s.Modifier == fyne.KeyModifierSuper
		switch {
		case ctrl && s.KeyName == fyne.KeyZ:
			d.Undo()
		case ctrl && s.KeyName == fyne.KeyY, s.KeyName == fyne.KeyZ && s.Modifier&fyne.KeyModifierShift != 0:
			d.Redo()
		case ctrl && (s.KeyName == fyne.KeyReturn || s.KeyName == fyne.KeyEnter):
			d.EnterAsTyped()
		case ctrl && s.KeyName == fyne.KeySpace:
			d.Complete()
		case ctrl && s.KeyName == fyne.KeyH:
			d.PinHeading()
		case ctrl && s.KeyName == fyne.KeyD:
			d.KeyDocument()
		case ctrl && s.KeyName == fyne.KeyDelete:
			d.Remove()
		case ctrl && s.KeyName == fyne.KeyPageUp:
			d.Turn(-1)
		case ctrl && s.KeyName == fyne.KeyPageDown:
			d.Turn(1)
		case ctrl && s.KeyName == fyne.KeyF:
			f.r.ShowFind()
			return
		case s.KeyName == fyne.KeyV && s.Modifier == fyne.KeyModifierControl|fyne.KeyModifierShift:
			f.r.ShowPaste(fyne.CurrentApp().Clipboard().Content())
			return
		case s.KeyName == fyne.KeyC && s.Modifier == fyne.KeyModifierControl|fyne.KeyModifierShift:
			d.Copy()
		case s.Modifier == fyne.KeyModifierAlt && s.KeyName == fyne.KeyUp:
			d.Move(-1)
		case s.Modifier == fyne.KeyModifierAlt && s.KeyName == fyne.KeyDown:
			d.Move(1)
		case s.Modifier == fyne.KeyModifierShift && s.KeyName == fyne.KeyTab:
			d.Step(-1)
		default:
			// The window's own shortcuts work here too.
			if c, ok := f.r.w.Canvas().(fyne.Shortcutable); ok {
				c.TypedShortcut(s)
			}
			return
		}
	case *fyne.ShortcutPaste:
		f.paste(s)
	case *fyne.ShortcutCut:
		if !d.ReadOnly(f.at) {
			f.Entry.TypedShortcut(s)
		}
	default:
		f.Entry.TypedShortcut(s)
	}
	f.r.Refresh()
}

// paste puts one line from the clipboard into the field; several lines are shown as a proposal.
func (f *field) paste(s *fyne.ShortcutPaste) {
	if f.r.d.ReadOnly(f.at) {
		return
	}
	line, list := f.r.d.Paste(s.Clipboard.Content())
	if list != nil {
		f.r.showProposal(list)
		return
	}
	if line == "" {
		return
	}
	f.Entry.TypedShortcut(&fyne.ShortcutPaste{Clipboard: oneLine(line)})
}

// oneLine is a clipboard that holds one line.
type oneLine string

// Content returns the line.
func (o oneLine) Content() string { return string(o) }

// SetContent does nothing.
func (oneLine) SetContent(string) {}

// prompts describe what to key at an empty stop.
var prompts = map[desk.StopKind]string{
	desk.FactName: "name of the election", desk.FactDate: "the day, as printed", desk.FactJurisdiction: "jurisdiction",
	desk.PartyCode: "party code", desk.PartyName: "party's full name",
	desk.PartyOrder: "1 where printed first",
	desk.FaceLabel:  "label of this face, as printed", desk.FaceParty: "party of this ballot",
	desk.Heading: "heading above", desk.Title: "title", desk.Subtitle: "subtitle", desk.ContestKind: "c, m, r or p",
	desk.VoteFor: "votes", desk.PrimaryParty: "primary of",
	desk.Variation: "r ranked, n, c cumulative", desk.MeasureText: "text of the question",
	desk.ChoiceName: "name", desk.ChoiceLines: "line", desk.ChoicePerson: "same person as",
	desk.NextChoice: "next choice", desk.Source: "keyed from which document",
	desk.ChoiceOrder: "order here: the names' first letters",
	desk.NextContest: "next contest", desk.Document: "document on the desk", desk.FacePrecincts: "precincts of this face",
	desk.UnitName: "serial or name", desk.UnitSite: "site", desk.UnitUse: "d, e, c or a",
	desk.UnitPrecincts:  "header's precincts",
	desk.RosterPrecinct: "precinct, as the roster has it", desk.RosterSite: "its polling site",
}
