package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// KeyedList is a list that is used with keys.
type KeyedList struct {
	widget.List
	// At is the line that is picked, -1 for none.
	At int
	// Letter gets the letters that are typed into the list; nil: they are the window's.
	Letter func(rune)
	key    func(e *fyne.KeyEvent) bool
	take   func(int)
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
		o.(*fyne.Container).Objects[0].(*Words).Set(runs...)
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

// Tall is the list with the height of that many lines.
func (l *KeyedList) Tall(lines int) fyne.CanvasObject { return container.New(tall(lines), l) }

// tall is the height of that many lines of a list.
type tall int

func (n tall) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(theme.TextSize()*20, float32(n)*(theme.TextSize()*1.4+theme.Padding()*2))
}

func (n tall) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }

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

// FocusGained and FocusLost leave the drawing to the mark on the picked line: Fyne would draw its own
// idea of the line that has the focus, which these keys do not move.
func (l *KeyedList) FocusGained() {}
func (l *KeyedList) FocusLost()   {}

// TypedRune is for Fyne.
func (l *KeyedList) TypedRune(r rune) {
	if l.Letter != nil {
		l.Letter(r)
		return
	}
	RuneToWindow(l, r)
}
