package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// KeyedList is a list that is used with keys.
type KeyedList struct {
	widget.List
	// At is the line that is picked, -1 for none.
	At int
	// Wrap gives a line that is longer than the list is wide as many rows as it needs.
	Wrap bool
	key  func(e *fyne.KeyEvent) bool
	take func(int)
}

// NewKeyedList makes a list. Take is called with the line chosen by Enter or the pointer; key,
// which may be nil, sees each key first and reports whether it handled it.
func NewKeyedList(length func() int, line func(int) []Run, take func(int),
	key func(*fyne.KeyEvent) bool) *KeyedList {
	l := &KeyedList{key: key, take: take}
	l.Length = length
	l.CreateItem = func() fyne.CanvasObject {
		return Inset(0.5, 0.5, NewWords(SizeBody, Run{Text: "x"}).Short())
	}
	l.UpdateItem = func(id widget.ListItemID, o fyne.CanvasObject) {
		if id >= length() {
			return
		}
		runs := line(id)
		if id == l.At {
			runs = append([]Run{{Text: "▸ ", Face: SansBold, Color: ColorAccent}}, runs...)
		} else {
			runs = append([]Run{{Text: "   "}}, runs...)
		}
		words := o.(*fyne.Container).Objects[0].(*Words)
		if words.wrap, words.short = l.Wrap, !l.Wrap; l.Wrap {
			words.Set(runs...)
			l.SetItemHeight(id, o.MinSize().Height)
			return
		}
		words.Set(runs...)
	}
	l.OnSelected = func(id widget.ListItemID) {
		l.UnselectAll()
		l.At = id
		l.Refresh()
		l.take(id)
	}
	l.ExtendBaseWidget(l)
	return l
}

func (l *KeyedList) move(by int) {
	l.At = max(0, min(l.At+by, l.Length()-1))
	l.Refresh()
	if l.Length() > 0 {
		l.ScrollTo(l.At)
	}
}

// TypedKey moves in the list.
func (l *KeyedList) TypedKey(e *fyne.KeyEvent) {
	if l.key != nil && l.key(e) {
		return
	}
	switch e.Name {
	case fyne.KeyUp:
		l.move(-1)
	case fyne.KeyDown:
		l.move(1)
	case fyne.KeyPageUp:
		l.move(-10)
	case fyne.KeyPageDown:
		l.move(10)
	case fyne.KeyReturn, fyne.KeyEnter:
		if l.At < l.Length() {
			l.take(l.At)
		}
	default:
		ToWindow(l, e)
	}
}

// TypedRune is for Fyne: a list takes no letters.
func (l *KeyedList) TypedRune(r rune) { RuneToWindow(l, r) }
