package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// Field is an entry of a form: Enter submits the form and Escape leaves it.
type Field struct {
	widget.Entry
	// Name is what assistive technology is to call it.
	Name string
	// OnEscape is what Escape does; nil does nothing.
	OnEscape func()
	// OnKey sees every other key before the entry does, and reports whether it handled it.
	OnKey func(*fyne.KeyEvent) bool
	// OnFocus is called when it gets the focus; nil does nothing.
	OnFocus func()
	// OnDone is Ctrl+Enter in a field of several lines, where Enter is a new line.
	OnDone func()
}

// FocusGained is for Fyne.
func (f *Field) FocusGained() {
	f.Entry.FocusGained()
	if f.OnFocus != nil {
		f.OnFocus()
	}
}

// AcceptsTab returns false, even in a field of several lines: Tab moves to the next field.
func (f *Field) AcceptsTab() bool { return false }

// TypedShortcut sees Ctrl+Enter before the entry does.
func (f *Field) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && f.OnDone != nil && c.Modifier == fyne.KeyModifierShortcutDefault &&
		(c.KeyName == fyne.KeyReturn || c.KeyName == fyne.KeyEnter) {
		f.OnDone()
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
	if e.Name == fyne.KeyEscape && f.OnEscape != nil {
		f.OnEscape()
		return
	}
	if f.OnKey != nil && f.OnKey(e) {
		return
	}
	if forWindow(e.Name) || !f.MultiLine && (e.Name == fyne.KeyPageUp || e.Name == fyne.KeyPageDown) {
		ToWindow(f, e)
		return
	}
	f.Entry.TypedKey(e)
}

// forWindow reports whether a key is the window's wherever the focus is: help, the menu.
func forWindow(name fyne.KeyName) bool { return name == fyne.KeyF1 || name == fyne.KeyF10 }

// RuneToWindow passes on to the window a letter that something does not take.
func RuneToWindow(o fyne.CanvasObject, r rune) {
	if c := canvasOf(o); c != nil && c.OnTypedRune() != nil {
		c.OnTypedRune()(r)
	}
}

// ToWindow passes a key on to the window: F1, Escape, the keys that scroll.
func ToWindow(o fyne.CanvasObject, e *fyne.KeyEvent) {
	if c := canvasOf(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(e)
	}
}

// canvasOf is the canvas of something. Fyne knows it only once the thing was drawn, and a key may come
// before that; the program has one window.
func canvasOf(o fyne.CanvasObject) fyne.Canvas {
	d := fyne.CurrentApp().Driver()
	if c := d.CanvasForObject(o); c != nil {
		return c
	}
	if all := d.AllWindows(); len(all) > 0 {
		return all[0].Canvas()
	}
	return nil
}

// Tick is a check box that leaves F1 and Escape to the window.
type Tick struct{ widget.Check }

// NewTick makes a check box.
func NewTick(label string, changed func(bool)) *Tick {
	t := &Tick{}
	t.Text, t.OnChanged = label, changed
	t.ExtendBaseWidget(t)
	return t
}

// TypedKey is for Fyne.
func (t *Tick) TypedKey(e *fyne.KeyEvent) {
	t.Check.TypedKey(e)
	if e.Name != fyne.KeySpace {
		ToWindow(t, e)
	}
}

// TypedRune is for Fyne: a space ticks, a letter is the window's.
func (t *Tick) TypedRune(r rune) {
	if t.Check.TypedRune(r); r != ' ' {
		RuneToWindow(t, r)
	}
}

// Labelled sets a field under its name, with a hint below.
func Labelled(f *Field, hint string) fyne.CanvasObject {
	objects := []fyne.CanvasObject{Bold(f.Name), f}
	if hint != "" {
		objects = append(objects, Caption(hint))
	}
	return Column(0.6, objects...)
}
