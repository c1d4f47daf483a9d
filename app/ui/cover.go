package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Ground lies under what takes keys. Fyne takes the focus away where a click meets nothing that
// could have it; a click that meets the ground leaves the focus where it is.
type Ground struct {
	widget.BaseWidget
	clicked
	content fyne.CanvasObject
}

// NewGround puts a ground under something.
func NewGround(content fyne.CanvasObject) *Ground {
	g := &Ground{content: content}
	g.ExtendBaseWidget(g)
	return g
}

// CreateRenderer is for Fyne.
func (g *Ground) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(g.content) }

// clicked could have the focus and never gets it: it is disabled.
type clicked struct{}

var (
	_ fyne.Focusable   = (*Ground)(nil)
	_ fyne.Disableable = (*Ground)(nil)
)

// Disabled is true for good. The other methods are for Fyne and do nothing.
func (clicked) Disabled() bool          { return true }
func (clicked) Enable()                 {}
func (clicked) Disable()                {}
func (clicked) FocusGained()            {}
func (clicked) FocusLost()              {}
func (clicked) TypedRune(rune)          {}
func (clicked) TypedKey(*fyne.KeyEvent) {}

// cover lies over the whole window, with a sheet of paper in its middle.
type cover struct {
	widget.BaseWidget
	clicked
	sheet       *Sheet
	veil, paper *Surface
}

func newCover(s *Sheet) *cover {
	c := &cover{sheet: s, veil: NewSurface(ColorVeil, ""), paper: NewSurface(theme.ColorNameOverlayBackground, ColorRule)}
	c.paper.shadow = true
	c.ExtendBaseWidget(c)
	return c
}

// CreateRenderer is for Fyne.
func (c *cover) CreateRenderer() fyne.WidgetRenderer { return coverRenderer{c} }

type coverRenderer struct{ c *cover }

func (r coverRenderer) Destroy()           {}
func (r coverRenderer) MinSize() fyne.Size { return fyne.Size{} }
func (r coverRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.c.veil, r.c.paper, r.c.sheet.body}
}

// Layout gives the sheet its size: as wide as is good to read, as high as its content.
func (r coverRenderer) Layout(size fyne.Size) {
	s, pad := r.c.sheet, theme.Padding()
	r.c.veil.Resize(size)
	letters := float32(sheetLetters)
	if s.Wide {
		letters = wideLetters
	}
	wide := min(size.Width-60, letters*theme.TextSize()/2)
	for range 3 {
		s.inner.Resize(fyne.NewSize(wide, s.inner.MinSize().Height))
		s.foot.Resize(fyne.NewSize(wide, s.foot.MinSize().Height))
	}
	high := min(size.Height-40, s.inner.MinSize().Height+s.foot.MinSize().Height+2*pad)
	at := fyne.NewPos((size.Width-wide)/2, (size.Height-high)/2)
	r.c.paper.Move(at.SubtractXY(pad, pad))
	r.c.paper.Resize(fyne.NewSize(wide+2*pad, high+2*pad))
	s.body.Move(at)
	s.body.Resize(fyne.NewSize(wide, high))
}

func (r coverRenderer) Refresh() {
	r.Layout(r.c.Size())
	r.c.veil.Refresh()
	r.c.paper.Refresh()
	r.c.sheet.body.Refresh()
}
