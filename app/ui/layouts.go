package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// gap is the theme's padding times n.
func gap(n float32) float32 { return theme.Padding() * n }

// Column sets things one below the other, n paddings apart, each as wide as the
// column. Unlike Fyne's box it asks for a height only after it gave the width, so
// that wrapped text takes the room that it needs.
func Column(n float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(column{n}, objects...)
}

type column struct{ gap float32 }

func (c column) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	y := float32(0)
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		o.Move(fyne.NewPos(0, y))
		o.Resize(fyne.NewSize(s.Width, o.Size().Height))
		high := o.MinSize().Height
		o.Resize(fyne.NewSize(s.Width, high))
		y += high + gap(c.gap)
	}
}

func (c column) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	seen := false
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		m := o.MinSize()
		s.Width = max(s.Width, m.Width)
		if seen {
			s.Height += gap(c.gap)
		}
		s.Height += m.Height
		seen = true
	}
	return s
}

// Cells sets things side by side, n paddings apart. A weight above 0 is the cell's
// share of the width that the others leave; at 0 a cell is as wide as its content.
// All are aligned at the top, and as high as the highest.
func Cells(n float32, weights []float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(cells{n, weights, false}, objects...)
}

// MiddleCells are Cells that are aligned at their middle.
func MiddleCells(n float32, weights []float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(cells{n, weights, true}, objects...)
}

type cells struct {
	gap     float32
	weights []float32
	middle  bool
}

func (c cells) weight(i int) float32 {
	if i < len(c.weights) {
		return c.weights[i]
	}
	return 0
}

func (c cells) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	rest, total := s.Width, float32(0)
	shown := 0
	for i, o := range objects {
		if !o.Visible() {
			continue
		}
		if shown > 0 {
			rest -= gap(c.gap)
		}
		shown++
		if w := c.weight(i); w > 0 {
			total += w
		} else {
			rest -= o.MinSize().Width
		}
	}
	x := float32(0)
	for i, o := range objects {
		if !o.Visible() {
			continue
		}
		wide := o.MinSize().Width
		if w := c.weight(i); w > 0 {
			wide = max(0, rest*w/total)
		}
		o.Resize(fyne.NewSize(wide, o.Size().Height))
		high, y := s.Height, float32(0)
		if c.middle {
			high = min(o.MinSize().Height, s.Height)
			y = (s.Height - high) / 2
		}
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(wide, high))
		x += wide + gap(c.gap)
	}
}

func (c cells) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	shown := 0
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		if shown > 0 {
			s.Width += gap(c.gap)
		}
		shown++
		m := o.MinSize()
		s.Width += m.Width
		s.Height = max(s.Height, m.Height)
	}
	return s
}

// Flow sets things side by side and continues in a new row where the width ends.
func Flow(n float32, objects ...fyne.CanvasObject) *Flowing {
	f := &Flowing{gap: n, objects: objects}
	f.ExtendBaseWidget(f)
	return f
}

// Flowing is what Flow makes.
type Flowing struct {
	widget.BaseWidget
	gap     float32
	objects []fyne.CanvasObject
}

// Set changes the things.
func (f *Flowing) Set(objects ...fyne.CanvasObject) {
	f.objects = objects
	f.Refresh()
}

// RowWidth is the width that all of it needs in one row.
func (f *Flowing) RowWidth() (wide float32) {
	for i, o := range f.objects {
		if i > 0 {
			wide += gap(f.gap)
		}
		wide += o.MinSize().Width
	}
	return wide
}

// CreateRenderer is for Fyne.
func (f *Flowing) CreateRenderer() fyne.WidgetRenderer { return flowing{f} }

type flowing struct{ f *Flowing }

func (r flowing) Destroy()                     {}
func (r flowing) Objects() []fyne.CanvasObject { return r.f.objects }
func (r flowing) Refresh() {
	for _, o := range r.f.objects {
		o.Refresh() // the theme may have changed
	}
	r.Layout(r.f.Size())
	canvas.Refresh(r.f)
}
func (r flowing) Layout(s fyne.Size) { r.place(s.Width, true) }
func (r flowing) MinSize() fyne.Size {
	var widest float32
	for _, o := range r.f.objects {
		if o.Visible() {
			widest = max(widest, o.MinSize().Width)
		}
	}
	at := r.f.Size().Width
	if at <= 0 {
		at = theme.TextSize() * 30
	}
	return fyne.NewSize(widest, r.place(max(at, widest), false))
}

func (r flowing) place(width float32, move bool) float32 {
	var x, y, high float32
	g := gap(r.f.gap)
	for _, o := range r.f.objects {
		if !o.Visible() {
			continue
		}
		m := o.MinSize()
		if x > 0 && x+m.Width > width+0.5 {
			x, y, high = 0, y+high+g, 0
		}
		if move {
			o.Move(fyne.NewPos(x, y))
			o.Resize(m)
		}
		x += m.Width + g
		high = max(high, m.Height)
	}
	return y + high
}

// Inset leaves paddings of room around a thing: to the sides and above and below.
func Inset(x, y float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(inset{x, y}, o)
}

// InsetAtMost is Inset with at most so many points above and below, however large the text is.
func InsetAtMost(x, y, most float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(insetAtMost{x, y, most}, o)
}

type insetAtMost struct{ x, y, most float32 }

func (i insetAtMost) high() float32 { return min(gap(i.y), i.most) }

func (i insetAtMost) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(gap(i.x), i.high()))
		o.Resize(fyne.NewSize(s.Width-2*gap(i.x), s.Height-2*i.high()))
	}
}

func (i insetAtMost) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return inset{}.MinSize(objects).AddWidthHeight(2*gap(i.x), 2*i.high())
}

// InsetBelow is Inset with other paddings above than below.
func InsetBelow(x, above, below float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(insetBelow{x, above, below}, o)
}

type insetBelow struct{ x, above, below float32 }

func (i insetBelow) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(gap(i.x), gap(i.above)))
		o.Resize(fyne.NewSize(s.Width-2*gap(i.x), s.Height-gap(i.above+i.below)))
	}
}

func (i insetBelow) MinSize(objects []fyne.CanvasObject) (s fyne.Size) {
	for _, o := range objects {
		if o.Visible() {
			s = s.Max(o.MinSize())
		}
	}
	return s.AddWidthHeight(2*gap(i.x), gap(i.above+i.below))
}

type inset struct{ x, y float32 }

func (i inset) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(gap(i.x), gap(i.y)))
		o.Resize(fyne.NewSize(s.Width-2*gap(i.x), s.Height-2*gap(i.y)))
	}
}

func (i inset) MinSize(objects []fyne.CanvasObject) (s fyne.Size) {
	for _, o := range objects {
		if o.Visible() {
			s = s.Max(o.MinSize())
		}
	}
	return s.AddWidthHeight(2*gap(i.x), 2*gap(i.y))
}

// AsWideAs gives a thing at least the width of others, which are not drawn, so that cells
// line up even if their rows show different things.
func AsWideAs(o fyne.CanvasObject, others ...fyne.CanvasObject) *fyne.Container {
	return container.New(asWideAs{others}, o)
}

type asWideAs struct{ others []fyne.CanvasObject }

func (l asWideAs) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(0, 0))
		o.Resize(s)
	}
}

func (l asWideAs) MinSize(objects []fyne.CanvasObject) (s fyne.Size) {
	for _, o := range objects {
		s = s.Max(o.MinSize())
	}
	for _, o := range l.others {
		s.Width = max(s.Width, o.MinSize().Width)
	}
	return s
}

// Spread centers a page, no wider than that many letters of body text.
func Spread(letters float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(spread{letters}, o)
}

type spread struct{ letters float32 }

func (l spread) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	wide := min(s.Width, l.letters*theme.TextSize()/2)
	for _, o := range objects {
		o.Move(fyne.NewPos((s.Width-wide)/2, 0))
		o.Resize(fyne.NewSize(wide, s.Height))
	}
}

func (l spread) MinSize(objects []fyne.CanvasObject) (s fyne.Size) {
	for _, o := range objects {
		s = s.Max(o.MinSize())
	}
	return s
}

// Beside sets two things side by side if each then has room for that many letters of body
// text, otherwise one below the other. The shares are their shares of the width.
func Beside(n, letters, first, second float32, a, b fyne.CanvasObject) *fyne.Container {
	return container.New(&beside{gap: n, letters: letters, shares: [2]float32{first, second}}, a, b)
}

type beside struct {
	gap, letters float32
	shares       [2]float32
	width        float32 // at the last layout
}

// widths returns the widths of the two, and whether they are side by side.
func (l *beside) widths(given float32) (a, b float32, side bool) {
	rest := given - gap(l.gap)
	a = rest * l.shares[0] / (l.shares[0] + l.shares[1])
	b = rest - a
	if min(a, b) < l.letters*theme.TextSize()/2 {
		return given, given, false
	}
	return a, b, true
}

func (l *beside) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	a, b, side := l.widths(s.Width)
	for i, wide := range []float32{a, b} {
		o[i].Resize(fyne.NewSize(wide, o[i].Size().Height))
	}
	if side {
		high := max(o[0].MinSize().Height, o[1].MinSize().Height)
		o[0].Resize(fyne.NewSize(a, high))
		o[1].Resize(fyne.NewSize(b, high))
		o[0].Move(fyne.NewPos(0, 0))
		o[1].Move(fyne.NewPos(a+gap(l.gap), 0))
		return
	}
	top := o[0].MinSize().Height
	o[0].Resize(fyne.NewSize(a, top))
	o[1].Resize(fyne.NewSize(b, o[1].MinSize().Height))
	o[0].Move(fyne.NewPos(0, 0))
	o[1].Move(fyne.NewPos(0, top+gap(l.gap)))
}

func (l *beside) MinSize(o []fyne.CanvasObject) fyne.Size {
	a, b := o[0].MinSize(), o[1].MinSize()
	wide := max(a.Width, b.Width)
	if _, _, side := l.widths(l.width); side {
		return fyne.NewSize(wide, max(a.Height, b.Height))
	}
	return fyne.NewSize(wide, a.Height+gap(l.gap)+b.Height)
}
