package app

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/ui"
)

// Sheet is a sheet of paper laid over the window: a question, a form, an answer.
type Sheet struct {
	head     string
	scroll   *container.Scroll
	inner    fyne.CanvasObject
	foot     fyne.CanvasObject // the actions, which stay in sight
	w        *Window
	pop      *widget.PopUp
	actions  []fyne.CanvasObject
	first    fyne.Focusable
	onEscape func()
	closed   bool
	working  bool // it says what is being done, and goes by itself
}

// sheetLetters is the width of a sheet, in letters of body text.
const sheetLetters = 84

// Sheet lays a sheet over the window. Build adds its actions, the one for Enter
// first; it may set what is focused. Escape closes the sheet.
func (w *Window) Sheet(head string, content fyne.CanvasObject, build func(*Sheet)) *Sheet {
	s := &Sheet{w: w, head: head}
	build(s)
	canvas := w.win.Canvas()
	foot := ui.Column(0)
	if len(s.actions) > 0 {
		// The border leaves a padding of its own above the foot.
		foot = container.NewStack(ui.NewSurface(theme.ColorNameOverlayBackground, ""),
			ui.InsetBelow(4, 2, 3.5, ui.Flow(2, s.actions...)))
	}
	inner := ui.InsetBelow(4, 3.5, 0, ui.Column(3, ui.Heading(head), content))
	if len(s.actions) == 0 {
		inner = ui.Inset(4, 3.5, ui.Column(3, ui.Heading(head), content))
	}
	scroll := container.NewVScroll(inner)
	s.pop = widget.NewModalPopUp(container.NewBorder(nil, foot, nil, nil, scroll), canvas)
	w.sheets = append(w.sheets, s)
	w.retitle()
	s.pop.Show()
	s.scroll, s.inner, s.foot = scroll, inner, foot
	s.Refit()
	if s.first != nil {
		canvas.Focus(s.first)
	}
	return s
}

// Refit gives the sheet its size: as wide as is good to read, as high as its content.
// It is called again when the content has changed.
func (s *Sheet) Refit() {
	scroll, inner := s.scroll, s.inner
	size := s.w.win.Canvas().Size()
	wide := min(size.Width-60, sheetLetters*theme.TextSize()/2)
	for range 3 {
		inner.Resize(fyne.NewSize(wide, inner.MinSize().Height))
		s.foot.Resize(fyne.NewSize(wide, s.foot.MinSize().Height))
	}
	high := min(size.Height-40, inner.MinSize().Height+s.foot.MinSize().Height+2*theme.Padding())
	s.pop.Resize(fyne.NewSize(wide+2*theme.Padding(), high+2*theme.Padding()))
	scroll.Refresh()
}

// Action adds an action to the sheet.
func (s *Sheet) Action(weight ui.Weight, label string, do func()) *ui.Action {
	a := ui.NewAction(weight, label, "", "", do)
	s.actions = append(s.actions, a)
	if s.first == nil {
		s.first = a
	}
	return a
}

// Focus sets what is focused when the sheet opens.
func (s *Sheet) Focus(f fyne.Focusable) { s.first = f }

// Close takes the sheet away.
func (s *Sheet) Close() {
	if s.closed {
		return
	}
	s.closed = true
	s.pop.Hide()
	for i, o := range s.w.sheets {
		if o == s {
			s.w.sheets = append(s.w.sheets[:i], s.w.sheets[i+1:]...)
			break
		}
	}
	s.w.retitle()
	if n := len(s.w.sheets); n > 0 && s.w.sheets[n-1].first != nil {
		s.w.win.Canvas().Focus(s.w.sheets[n-1].first) // keys go on where they went
	}
}

func (s *Sheet) escape() {
	if s.onEscape != nil {
		s.onEscape()
		return
	}
	s.Close()
}

// Field is an entry of a form: Enter submits the form and Escape leaves it.
type Field struct {
	widget.Entry
	// Name is what assistive technology is to call it.
	Name     string
	onEscape func()
	// onKey sees every other key before the entry does, and reports whether it took it.
	onKey func(*fyne.KeyEvent) bool
	// onDone is Ctrl+Enter in a field of several lines, where Enter is a new line.
	onDone func()
}

// AcceptsTab says no, also in a field of several lines: Tab goes on.
func (f *Field) AcceptsTab() bool { return false }

// TypedShortcut sees Ctrl+Enter before the entry does.
func (f *Field) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && f.onDone != nil && c.Modifier == fyne.KeyModifierShortcutDefault &&
		(c.KeyName == fyne.KeyReturn || c.KeyName == fyne.KeyEnter) {
		f.onDone()
		return
	}
	f.Entry.TypedShortcut(s)
}

// NewField makes a field.
func NewField(name, example string) *Field {
	f := &Field{Name: name}
	f.ExtendBaseWidget(f)
	f.PlaceHolder = example
	f.Wrapping = fyne.TextWrapOff
	f.Scroll = fyne.ScrollHorizontalOnly
	return f
}

// NewSecret makes a field whose letters are not shown.
func NewSecret(name string) *Field {
	f := NewField(name, "")
	f.Password = true
	return f
}

// NewArea makes a field of several lines.
func NewArea(name, example string, rows int) *Field {
	f := NewField(name, example)
	f.MultiLine = true
	f.Scroll = fyne.ScrollBoth
	f.SetMinRowsVisible(rows)
	return f
}

// TypedKey sees Escape, and the keys of its form, before the entry does.
func (f *Field) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape && f.onEscape != nil {
		f.onEscape()
		return
	}
	if f.onKey != nil && f.onKey(e) {
		return
	}
	if e.Name == fyne.KeyF1 {
		toWindow(f, e)
		return
	}
	f.Entry.TypedKey(e)
}

// toWindow hands a key on to the window: F1, Escape.
func toWindow(o fyne.CanvasObject, e *fyne.KeyEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(e)
	}
}

// tick is a check box that leaves F1 and Escape to the window.
type tick struct{ widget.Check }

func newTick(label string, changed func(bool)) *tick {
	t := &tick{}
	t.Text, t.OnChanged = label, changed
	t.ExtendBaseWidget(t)
	return t
}

// TypedKey is for Fyne.
func (t *tick) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyF1 || e.Name == fyne.KeyEscape {
		toWindow(t, e)
		return
	}
	t.Check.TypedKey(e)
}

// labelled sets a field under its name, with a hint below.
func labelled(f *Field, hint string) fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Bold(f.Name), f}
	if hint != "" {
		objects = append(objects, ui.Caption(hint))
	}
	return ui.Column(0.6, objects...)
}

// waiting is a bar that moves while something is done.
type waiting struct{ bar *widget.ProgressBarInfinite }

func newWaiting() *waiting {
	b := widget.NewProgressBarInfinite()
	b.Stop()
	return &waiting{b}
}

// start moves the bar. Once it is drawn it takes itself for running, and has to be
// stopped first.
func (b *waiting) start() { b.bar.Stop(); b.bar.Start() }
func (b *waiting) stop()  { b.bar.Stop() }
