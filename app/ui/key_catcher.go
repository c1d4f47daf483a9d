package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// KeyCatcher shows something and receives the letters that are typed meanwhile.
type KeyCatcher struct {
	widget.BaseWidget
	content  fyne.CanvasObject
	OnRune   func(rune)
	OnEscape func()
}

// NewKeyCatcher makes one.
func NewKeyCatcher(content fyne.CanvasObject, OnRune func(rune)) *KeyCatcher {
	k := &KeyCatcher{content: content, OnRune: OnRune}
	k.ExtendBaseWidget(k)
	return k
}

// CreateRenderer is for Fyne.
func (k *KeyCatcher) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(k.content) }

// MinSize is the size of its content at the current width.
func (k *KeyCatcher) MinSize() fyne.Size { return k.content.MinSize() }

// FocusGained and FocusLost change nothing visible: the sheet says which keys there are.
func (k *KeyCatcher) FocusGained() {}
func (k *KeyCatcher) FocusLost()   {}

// TypedRune passes a letter on.
func (k *KeyCatcher) TypedRune(r rune) { k.OnRune(r) }

// TypedKey leaves on Escape; every other key is the window's.
func (k *KeyCatcher) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape && k.OnEscape != nil {
		k.OnEscape()
		return
	}
	ToWindow(k, e)
}
