package ui

import (
	"fmt"
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Badge is a shape with its word: a state, or what is wrong.
type Badge struct {
	widget.BaseWidget
	drawing *Drawing
	words   *Words
}

// NewBadge makes a badge.
func NewBadge(i Icon, word string, c fyne.ThemeColorName) *Badge {
	b := &Badge{drawing: NewDrawing(i, c), words: NewWords(SizeBody, Run{Text: word, Face: SansBold, Color: c})}
	b.ExtendBaseWidget(b)
	return b
}

// Set changes the badge.
func (b *Badge) Set(i Icon, word string, c fyne.ThemeColorName) {
	b.drawing.Set(i, c)
	b.words.Set(Run{Text: word, Face: SansBold, Color: c})
	b.Refresh()
}

// Text returns the badge's word.
func (b *Badge) Text() string { return b.words.Text() }

// CreateRenderer is for Fyne.
func (b *Badge) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(MiddleCells(1, nil, b.drawing, b.words))
}

// KeyHint shows a key and what it does: "F1 Help".
func KeyHint(key, what string) fyne.CanvasObject {
	cap := container.NewStack(NewSurface(ColorPaper, ColorFaded),
		Inset(1, 0.2, NewWords(SizeCaption, Run{Text: key, Face: SansBold})))
	if what == "" {
		return cap
	}
	return MiddleCells(1, nil, cap, NewWords(SizeCaption, Run{Text: what, Color: ColorFaded}))
}

// Part is a share of a Progress strip.
type Part struct {
	// Word names it, Count is its size; Icon its shape.
	Word  string
	Count int
	Icon  Icon
	// Solid, Hatched and empty parts are distinguishable without color.
	Fill Fill
}

// Fill is how a part of a strip is drawn.
type Fill uint8

// The fills.
const (
	Empty Fill = iota
	Hatched
	Solid
)

// Progress shows how far the work is: a strip in proportion, and under it each part
// in words.
type Progress struct {
	widget.BaseWidget
	parts []Part
	strip *strip
	words *Flowing
}

// NewProgress makes a strip.
func NewProgress(parts ...Part) *Progress {
	p := &Progress{strip: &strip{}, words: Flow(4)}
	p.strip.ExtendBaseWidget(p.strip)
	p.ExtendBaseWidget(p)
	p.Set(parts...)
	return p
}

// Set changes the parts.
func (p *Progress) Set(parts ...Part) {
	p.parts, p.strip.parts = parts, parts
	var legend []fyne.CanvasObject
	for _, part := range parts {
		legend = append(legend, MiddleCells(1, nil, NewDrawing(part.Icon, ColorInk),
			NewWords(SizeBody, Run{Text: fmt.Sprint(part.Count), Face: SansBold}, Run{Text: " " + part.Word})))
	}
	p.words.Set(legend...)
	p.strip.Refresh()
	p.Refresh()
}

// CreateRenderer is for Fyne.
func (p *Progress) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(Column(1.2, p.strip, p.words))
}

type strip struct {
	widget.BaseWidget
	parts []Part
}

func (s *strip) CreateRenderer() fyne.WidgetRenderer { return &stripRenderer{s: s} }

type stripRenderer struct {
	s       *strip
	objects []fyne.CanvasObject
}

func (r *stripRenderer) Destroy()                     {}
func (r *stripRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *stripRenderer) MinSize() fyne.Size           { return fyne.NewSize(40, theme.TextSize()) }
func (r *stripRenderer) Refresh() {
	r.Layout(r.s.Size())
	canvas.Refresh(r.s)
}

func (r *stripRenderer) Layout(size fyne.Size) {
	th := r.s.Theme()
	ink := th.Color(ColorInk, 0)
	r.objects = nil
	total := 0
	for _, p := range r.s.parts {
		total += max(p.Count, 0)
	}
	x := float32(0)
	for _, p := range r.s.parts {
		if p.Count <= 0 || total == 0 {
			continue
		}
		wide := size.Width * float32(p.Count) / float32(total)
		if p.Fill == Solid {
			r.rect(x, 0, wide, size.Height, ink)
		}
		if p.Fill == Hatched {
			for at := float32(0); at < wide; at += 8 {
				r.rect(x+at, 0, min(4, wide-at), size.Height, ink)
			}
		}
		x += wide
	}
	frame := canvas.NewRectangle(color.Transparent)
	frame.StrokeColor, frame.StrokeWidth = ink, 1.5
	frame.Resize(size)
	r.objects = append(r.objects, frame)
}

func (r *stripRenderer) rect(x, y, w, h float32, c color.Color) {
	o := canvas.NewRectangle(c)
	o.Move(fyne.NewPos(x, y))
	o.Resize(fyne.NewSize(w, h))
	r.objects = append(r.objects, o)
}

// Key is a shortcut and what it does.
type Key struct{ Key, Does string }

// Keys makes a list of shortcuts, each followed by what it does.
func Keys(pairs ...string) (out []Key) {
	for p := range slices.Chunk(pairs, 2) {
		out = append(out, Key{p[0], p[1]})
	}
	return out
}
