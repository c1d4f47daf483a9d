package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Surface is a plain colour of the theme, with or without an edge.
type Surface struct {
	widget.BaseWidget
	fill, edge fyne.ThemeColorName
	shadow     bool
	rect, dark *canvas.Rectangle
}

// NewSurface makes a surface; an empty edge draws none.
func NewSurface(fill, edge fyne.ThemeColorName) *Surface {
	s := &Surface{fill: fill, edge: edge, rect: canvas.NewRectangle(color.Transparent),
		dark: canvas.NewRectangle(color.Transparent)}
	s.ExtendBaseWidget(s)
	return s
}

// Set changes the colours.
func (s *Surface) Set(fill, edge fyne.ThemeColorName) {
	s.fill, s.edge = fill, edge
	s.Refresh()
}

// CreateRenderer is for Fyne.
func (s *Surface) CreateRenderer() fyne.WidgetRenderer {
	r := &surfaceRenderer{s}
	r.ink()
	return r
}

type surfaceRenderer struct{ s *Surface }

func (r *surfaceRenderer) Destroy()           {}
func (r *surfaceRenderer) MinSize() fyne.Size { return fyne.Size{} }
func (r *surfaceRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.s.dark, r.s.rect}
}
func (r *surfaceRenderer) Layout(size fyne.Size) {
	r.s.rect.Resize(size)
	r.s.dark.Resize(size)
	r.s.dark.Move(fyne.NewPos(3, 3))
}
func (r *surfaceRenderer) ink() {
	th := r.s.Theme()
	r.s.rect.FillColor, r.s.rect.StrokeColor, r.s.rect.StrokeWidth = color.Transparent, color.Transparent, 0
	if r.s.fill != "" {
		r.s.rect.FillColor = th.Color(r.s.fill, 0)
	}
	if r.s.edge != "" {
		r.s.rect.StrokeColor = th.Color(r.s.edge, 0)
		r.s.rect.StrokeWidth = th.Size(theme.SizeNameSeparatorThickness)
	}
	r.s.dark.FillColor = color.Transparent
	if r.s.shadow {
		r.s.dark.FillColor = th.Color(ColorDrop, 0)
	}
}
func (r *surfaceRenderer) Refresh() {
	r.ink()
	canvas.Refresh(r.s)
}

// Page lays content on a sheet of paper with a margin. The sheet casts a hard
// shadow on the desk.
func Page(content fyne.CanvasObject) *fyne.Container { return PageWith(inset{5, 4}, content) }

// PageWith is Page with a margin of its own.
func PageWith(margin fyne.Layout, content fyne.CanvasObject) *fyne.Container {
	s := NewSurface(ColorPaper, ColorRule)
	s.shadow = true
	return container.NewStack(s, container.New(margin, content))
}

// Slip is a smaller sheet, for a note on a page: what is odd, what to do.
func Slip(content fyne.CanvasObject) *fyne.Container {
	return container.NewStack(NewSurface(theme.ColorNameHeaderBackground, ColorRule), Inset(2.5, 2, content))
}

// Ruled draws a thin line under a row, with leading above and below its cells. The
// weights are those of Cells.
func Ruled(weights []float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.NewBorder(nil, Rule(), nil, nil, Inset(0.5, 1.2, MiddleCells(3, weights, objects...)))
}

// RuledTop is Ruled with its cells aligned at the top: for rows of several lines.
func RuledTop(weights []float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.NewBorder(nil, Rule(), nil, nil, Inset(0.5, 1.2, Cells(3, weights, objects...)))
}

// RuledHead is the head of a ruled table: captions over a heavy line.
func RuledHead(weights []float32, heads ...string) *fyne.Container {
	var objects []fyne.CanvasObject
	for _, h := range heads {
		objects = append(objects, NewWords(SizeCaption, Run{Text: h, Face: SansBold, Color: ColorFaded}).Short())
	}
	return container.NewBorder(nil, HeavyRule(), nil, nil, Inset(0.5, 0.8, MiddleCells(3, weights, objects...)))
}

// Rule is a thin line across, HeavyRule one of ink.
func Rule() fyne.CanvasObject { return newRule(ColorRule, 1) }

// HeavyRule is a line of ink across.
func HeavyRule() fyne.CanvasObject { return newRule(ColorInk, 2) }

type rule struct {
	*Surface
	thick float32
}

func newRule(c fyne.ThemeColorName, thick float32) *rule {
	r := &rule{&Surface{fill: c, rect: canvas.NewRectangle(color.Transparent),
		dark: canvas.NewRectangle(color.Transparent)}, thick}
	r.ExtendBaseWidget(r)
	return r
}

// MinSize is the thickness of the line; high contrast has thicker lines.
func (r *rule) MinSize() fyne.Size {
	return fyne.NewSize(0, r.thick*theme.SeparatorThicknessSize())
}

// pageLetters is the least width of a facing page, in letters of body text.
const pageLetters = 25

// Pages are two facing pages: the second entry on the left, the primary on the
// right, each under its heading. If they would be too narrow, one is below the
// other.
func Pages(secondHead string, second fyne.CanvasObject, primaryHead string, primary fyne.CanvasObject) *fyne.Container {
	page := func(head string, content fyne.CanvasObject) fyne.CanvasObject {
		return Page(container.NewBorder(Column(1.2, Kicker(head), HeavyRule()), nil, nil, nil, Inset(0, 1.5, content)))
	}
	return Beside(0.4, pageLetters, 1, 1, page(secondHead, second), page(primaryHead, primary))
}
