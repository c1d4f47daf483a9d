package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Weight is how much an action stands out.
type Weight uint8

// The weights. A screen has at most one Next: the one thing to do.
const (
	Plain Weight = iota
	Next
	Quiet
)

// Action is something that can be done: with the pointer, or with Enter when it is focused. Space does
// nothing: whoever types a passphrase a moment too early must not answer a question with its first blank.
type Action struct {
	widget.BaseWidget
	// Name is what assistive technology is to call it; the label unless set.
	Name string
	// OnTapped does it.
	OnTapped func()

	label    string
	icon     Icon
	weight   Weight
	key      string
	disabled bool
	focused  bool
	hovered  bool

	surface *Surface
	ring    *Surface
	drawing *Drawing
	words   *Words
	hint    *Words
	box     *fyne.Container
}

var (
	_ fyne.Tappable     = (*Action)(nil)
	_ fyne.Focusable    = (*Action)(nil)
	_ fyne.Disableable  = (*Action)(nil)
	_ desktop.Hoverable = (*Action)(nil)
)

// NewAction makes an action. Icon and key ("Ctrl+N") may be empty; without a label there is the key
// alone, in small letters.
func NewAction(weight Weight, label string, icon Icon, key string, do func()) *Action {
	a := &Action{Name: label, OnTapped: do, label: label, icon: icon, weight: weight, key: key,
		surface: NewSurface("", ""), ring: NewSurface("", ""),
		words: NewWords(SizeBody, Run{Text: label, Face: SansBold}), hint: NewWords(SizeCaption, Run{Text: key})}
	var row []fyne.CanvasObject
	if icon != "" {
		a.drawing = NewDrawing(icon, ColorInk)
		row = append(row, a.drawing)
	}
	if label != "" {
		row = append(row, a.words)
	}
	if key != "" {
		row = append(row, a.hint)
	}
	a.box = container.NewStack(a.ring,
		Inset(0.6, 0.6, container.NewStack(a.surface, Inset(2, 1.2, MiddleCells(1.5, nil, row...)))))
	a.ExtendBaseWidget(a)
	a.dress()
	return a
}

// Label returns its text.
func (a *Action) Label() string { return a.label }

// SetLabel changes its text.
func (a *Action) SetLabel(label string) {
	a.label, a.Name = label, label
	a.words.SetText(label)
	a.Refresh()
}

func (a *Action) dress() {
	fill, edge, ink := theme.ColorNameHeaderBackground, ColorInk, fyne.ThemeColorName(ColorInk)
	switch {
	case a.disabled:
		fill, edge, ink = "", ColorRule, ColorFaded
	case a.weight == Next:
		fill, edge, ink = ColorAccent, ColorAccent, theme.ColorNameForegroundOnPrimary
	case a.weight == Quiet:
		fill, edge = "", ""
	}
	if a.hovered && !a.disabled {
		edge = ColorInk
		if a.weight == Plain {
			fill = ColorTint
		}
	}
	a.surface.Set(fill, edge)
	ring := fyne.ThemeColorName("")
	if a.focused {
		ring = ColorAccent
		if a.weight == Next {
			ring = ColorInk
		}
	}
	a.ring.Set("", ring)
	a.words.SetColor(ink)
	a.hint.SetColor(ink)
	if a.drawing != nil {
		a.drawing.Set(a.icon, ink)
	}
}

// CreateRenderer is for Fyne.
func (a *Action) CreateRenderer() fyne.WidgetRenderer { return &actionRenderer{a} }

type actionRenderer struct{ a *Action }

func (r *actionRenderer) Destroy()                     {}
func (r *actionRenderer) MinSize() fyne.Size           { return r.a.box.MinSize() }
func (r *actionRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.a.box} }
func (r *actionRenderer) Layout(s fyne.Size)           { r.a.box.Resize(s) }
func (r *actionRenderer) Refresh() {
	r.a.dress()
	r.a.box.Refresh()
	canvas.Refresh(r.a)
}

// Tapped does it.
func (a *Action) Tapped(*fyne.PointEvent) {
	if !a.disabled && a.OnTapped != nil {
		a.OnTapped()
	}
}

// FocusGained, FocusLost, TypedKey, TypedRune, MouseIn, MouseMoved and MouseOut are
// for Fyne.

// FocusGained shows the focus.
func (a *Action) FocusGained() { a.focused = true; a.Refresh(); toSight(a) }

// FocusLost takes it away.
func (a *Action) FocusLost() { a.focused = false; a.Refresh() }

// TypedRune leaves letters to the window.
func (a *Action) TypedRune(r rune) { RuneToWindow(a, r) }

// TypedKey does it on Enter.
func (a *Action) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		a.Tapped(nil)
	default: // what it does not know is the window's
		ToWindow(a, e)
	}
}

// MouseIn shows that it can be done.
func (a *Action) MouseIn(*desktop.MouseEvent) { a.hovered = true; a.Refresh() }

// MouseMoved does nothing.
func (a *Action) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes it away.
func (a *Action) MouseOut() { a.hovered = false; a.Refresh() }

// Enable, Disable and Disabled make it possible or not.

// Enable makes it possible.
func (a *Action) Enable() { a.disabled = false; a.Refresh() }

// Disable makes it impossible.
func (a *Action) Disable() { a.disabled = true; a.Refresh() }

// Disabled reports whether it is impossible now.
func (a *Action) Disabled() bool { return a.disabled }
