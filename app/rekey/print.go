package rekey

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/ui"
)

// proofRow draws a line between its margins. On narrow paper, the notes about odd values go below
// the line.
type proofRow struct {
	width float32 // at the last layout
}

func (*proofRow) sizes(width float32) (left, margin float32, below bool) {
	em := theme.TextSize()
	left = em * 1.9
	if width < em*30 {
		return left, width - left, true
	}
	return left, em * 9.5, false
}

func (p *proofRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	p.width = s.Width
	left, margin, below := p.sizes(s.Width)
	body := s.Width - left - theme.Padding()*2
	if !below {
		body -= margin
	}
	o[0].Move(fyne.NewPos(0, theme.TextSize()*0.55))
	o[0].Resize(o[0].MinSize())
	o[1].Resize(fyne.NewSize(body, 1))
	high := o[1].MinSize().Height
	o[1].Move(fyne.NewPos(left, 0))
	o[1].Resize(fyne.NewSize(body, high))
	x, y := left+body+theme.Padding()*2, float32(0)
	if below {
		x, y = left, high
	}
	o[2].Resize(fyne.NewSize(margin, 1))
	o[2].Move(fyne.NewPos(x, y))
	o[2].Resize(fyne.NewSize(margin, o[2].MinSize().Height))
}

func (p *proofRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	high := o[1].MinSize().Height
	if _, _, below := p.sizes(p.width); below {
		high += o[2].MinSize().Height
	} else {
		high = max(high, o[2].MinSize().Height)
	}
	return fyne.NewSize(theme.TextSize()*8, max(high, o[0].MinSize().Height+theme.TextSize()*0.55))
}

// diskMark is a small square: filled when the field is on disk.
func diskMark(onDisk, trouble bool) fyne.CanvasObject {
	m := &diskSquare{onDisk: onDisk, trouble: trouble && !onDisk}
	m.ExtendBaseWidget(m)
	return m
}

type diskSquare struct {
	widget.BaseWidget
	onDisk, trouble bool
}

func (m *diskSquare) CreateRenderer() fyne.WidgetRenderer {
	th := m.Theme()
	o := canvas.NewRectangle(th.Color(theme.ColorNameSuccess, 0))
	o.StrokeColor, o.StrokeWidth = o.FillColor, 1
	if !m.onDisk {
		o.FillColor = th.Color(ui.ColorPaper, 0)
		o.StrokeColor = th.Color(ui.ColorFaded, 0)
	}
	if m.trouble {
		o.StrokeColor, o.StrokeWidth = th.Color(ui.ColorAccent, 0), 2
	}
	return &fixed{object: o, size: func() fyne.Size { n := theme.TextSize() * 0.4; return fyne.NewSize(n, n) }}
}

// oval is the voting target beside a choice, as ballots print it.
func oval() fyne.CanvasObject {
	o := &ovalTarget{}
	o.ExtendBaseWidget(o)
	return o
}

type ovalTarget struct{ widget.BaseWidget }

func (o *ovalTarget) CreateRenderer() fyne.WidgetRenderer {
	c := canvas.NewRectangle(o.Theme().Color(ui.ColorPaper, 0))
	c.StrokeColor, c.StrokeWidth, c.CornerRadius = o.Theme().Color(ui.ColorInk, 0), 1.3, theme.TextSize()*0.35
	return &fixed{object: c, size: func() fyne.Size { return fyne.NewSize(theme.TextSize()*1.25, theme.TextSize()*0.75) }}
}

// blank reserves space.
func blank(s fyne.Size) fyne.CanvasObject {
	o := canvas.NewRectangle(color.Transparent)
	o.SetMinSize(s)
	return o
}

type fixed struct {
	object fyne.CanvasObject
	size   func() fyne.Size
}

func (r *fixed) Destroy()                     {}
func (r *fixed) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.object} }
func (r *fixed) MinSize() fyne.Size           { return r.size() }
func (r *fixed) Refresh()                     { r.object.Refresh() }
func (r *fixed) Layout(s fyne.Size) {
	m := r.size()
	r.object.Resize(m)
	r.object.Move(fyne.NewPos(0, (s.Height-m.Height)/2))
}

// spot is printed text that turns into the field when it is clicked.
type spot struct {
	widget.BaseWidget
	content fyne.CanvasObject
	tapped  func()
}

func newSpot(content fyne.CanvasObject, tapped func()) *spot {
	s := &spot{content: content, tapped: tapped}
	s.ExtendBaseWidget(s)
	return s
}

// Tapped moves the field to the spot.
func (s *spot) Tapped(*fyne.PointEvent) { s.tapped() }

func (s *spot) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(s.content) }
