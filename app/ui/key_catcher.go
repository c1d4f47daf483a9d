package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// KeyCatcher shows something and takes the letters that are typed meanwhile.
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

// MinSize is that of what it shows, at its present width.
func (k *KeyCatcher) MinSize() fyne.Size { return k.content.MinSize() }

// FocusGained and FocusLost change nothing to see: the sheet says which keys there are.
func (k *KeyCatcher) FocusGained() {}
func (k *KeyCatcher) FocusLost()   {}

// TypedRune hands a letter on.
func (k *KeyCatcher) TypedRune(r rune) { k.OnRune(r) }

// TypedKey leaves on Escape.
func (k *KeyCatcher) TypedKey(e *fyne.KeyEvent) {
	switch {
	case e.Name == fyne.KeyEscape && k.OnEscape != nil:
		k.OnEscape()
	case e.Name == fyne.KeyF1:
		ToWindow(k, e)
	}
}
