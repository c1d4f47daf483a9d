package rekey

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/desk"
	"counterproof/app/ui"
)

// sheet is the paper: blocks from top to bottom, of which only the visible ones are created and
// drawn, and the field on top of one of them.
type sheet struct {
	widget.BaseWidget
	r      *Screen
	scroll *container.Scroll
	paper  *paper
	back   *fyne.Container
	// revealed is the offset to which reveal scrolled last.
	revealed float32
}

func newSheet(r *Screen) *sheet {
	s := &sheet{r: r}
	s.paper = &paper{r: r, made: map[string]*madeBlock{}}
	s.paper.ExtendBaseWidget(s.paper)
	s.scroll = container.NewVScroll(s.paper)
	s.scroll.OnScrolled = func(fyne.Position) { s.paper.fill() }
	s.paper.scroll = s.scroll
	s.back = ui.PageWith(margin{}, s.scroll)
	s.ExtendBaseWidget(s)
	return s
}

func (s *sheet) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(s.back) }

// MinSize lets the sheet become as small as necessary.
func (s *sheet) MinSize() fyne.Size {
	return fyne.NewSize(theme.TextSize()*12, theme.TextSize()*8)
}

func (s *sheet) Resize(size fyne.Size) {
	changed := size != s.Size()
	s.BaseWidget.Resize(size)
	s.paper.fill()
	if changed {
		s.reveal()
	}
}

// margin is that of the sheet: large text leaves it no room.
type margin struct{}

func (margin) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (margin) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x, y := 5*theme.Padding(), 4*theme.Padding()
	if s.Height < 20*theme.TextSize() {
		x, y = 2*theme.Padding(), theme.Padding()
	}
	o[0].Move(fyne.NewPos(x, y))
	o[0].Resize(fyne.NewSize(s.Width-2*x, s.Height-2*y))
}

func (s *sheet) rebuild() {
	s.paper.blocks = s.r.blocks()
	s.paper.fill()
}

// page scrolls by one screen.
func (s *sheet) page(by float32) {
	s.scroll.Offset.Y += by * s.scroll.Size().Height * 0.85
	s.scroll.Offset.Y = max(0, min(s.scroll.Offset.Y, s.paper.Size().Height-s.scroll.Size().Height))
	s.scroll.Refresh()
	s.paper.fill()
}

// reveal scrolls until the field and the list under it are visible.
func (s *sheet) reveal() {
	for range 2 { // the first time may create blocks whose height was a guess
		y, high, ok := s.paper.focused()
		if !ok {
			return
		}
		view := s.scroll.Size().Height
		if view <= 0 {
			return
		}
		pad := theme.TextSize() * 3
		if view < 20*theme.TextSize() {
			pad = theme.TextSize() * 2 // the line before stays in sight
		}
		offset := s.scroll.Offset.Y
		above := float32(0) // what was placed is held against the proof
		if s.r.placed != nil && s.r.d.Placed() != "" {
			above = s.r.placed.Size().Height + 2*theme.Padding()
			pad = max(pad, above)
		}
		if y+high+pad > offset+view {
			offset = y + high + pad - view
		}
		if y-pad < offset {
			offset = y - pad
		}
		offset = max(0, min(offset, s.paper.high-view))
		if offset > 0 && (offset != s.scroll.Offset.Y || offset == s.revealed) { // not where a person scrolled
			offset = min(s.paper.whole(offset), max(offset, y-above))
			s.revealed = offset
		}
		if offset != s.scroll.Offset.Y {
			s.scroll.Offset.Y = offset
			s.scroll.Refresh()
			s.paper.fill()
		}
	}
}

// whole returns the next offset, downwards, at which the view does not begin with half a line.
func (p *paper) whole(offset float32) float32 {
	cut := true
	var walk func(o fyne.CanvasObject, y float32)
	walk = func(o fyne.CanvasObject, y float32) {
		y += o.Position().Y
		foot := y + o.Size().Height
		switch o := o.(type) {
		case *fyne.Container:
			for _, c := range o.Objects {
				walk(c, y)
			}
		case *spot:
			walk(o.content, y)
		case *fieldSlot:
		default:
			// A paragraph that is higher than the margin would leave too much out.
			if o.Visible() && y < offset-1 && foot > offset+1 && foot-offset < 3*theme.TextSize() {
				offset, cut = foot, true
			}
		}
	}
	for n := 0; cut && n < 4; n++ { // what stands beside a cut line may reach further down
		cut = false
		for _, o := range p.seen {
			walk(o, 0)
		}
	}
	return offset
}

// block is a part of the page: sig identifies its content, and it has a function that creates it.
type block struct {
	key, sig string
	guess    float32 // height in lines, until it is created
	focus    bool    // has the field
	make     func() fyne.CanvasObject
}

type madeBlock struct {
	sig    string
	width  float32
	object fyne.CanvasObject
	high   float32
}

type paper struct {
	widget.BaseWidget
	r      *Screen
	scroll *container.Scroll
	blocks []block
	made   map[string]*madeBlock
	high   float32
	at     []float32
	seen   []fyne.CanvasObject
	busy   bool
	theme  string
}

// fill creates the visible blocks, discards the others, and places the field on its slot.
func (p *paper) fill() {
	view := p.scroll.Size()
	if p.busy || view.Width <= 0 {
		return
	}
	p.busy = true
	defer func() { p.busy = false }()
	gap, line := theme.Padding()*2, theme.TextSize()*1.6
	width := view.Width - theme.Padding()*2
	top, bottom := p.scroll.Offset.Y-view.Height/3, p.scroll.Offset.Y+view.Height*4/3
	p.seen = p.seen[:0:0]
	p.at = p.at[:0]
	y := float32(0)
	live := map[string]bool{}
	for i := range p.blocks {
		b := &p.blocks[i]
		live[b.key] = true
		m := p.made[b.key]
		guess := b.guess * line
		if m != nil && m.high > 0 {
			guess = m.high
		}
		inSight := y+guess >= top && y <= bottom || b.focus
		if m == nil {
			m = &madeBlock{high: 0}
			p.made[b.key] = m
		}
		p.at = append(p.at, y)
		if !inSight {
			m.object = nil
			y += guess + gap
			continue
		}
		if m.object == nil || m.sig != b.sig || m.width != width {
			m.object, m.sig, m.width = b.make(), b.sig, width
		}
		m.object.Resize(fyne.NewSize(width, 1))
		m.high = m.object.MinSize().Height
		m.object.Resize(fyne.NewSize(width, m.high))
		m.object.Move(fyne.NewPos(0, y))
		p.seen = append(p.seen, m.object)
		y += m.high + gap
	}
	for key := range p.made {
		if !live[key] {
			delete(p.made, key)
		}
	}
	p.high = y
	if slot, at := p.slot(); slot != nil {
		f := p.r.field
		f.Show()
		f.Move(at)
		f.Resize(slot.Size())
	} else {
		p.r.field.Resize(fyne.NewSize(theme.TextSize()*4, line*1.4))
		p.r.field.Move(fyne.NewPos(0, -line*4))
	}
	p.BaseWidget.Resize(fyne.NewSize(view.Width, max(y, view.Height)))
	if p.scroll.Content == p && p.scroll.Size().Height > 0 {
		p.scroll.Refresh()
	}
	canvas.Refresh(p)
}

// focused returns the position and height of the block with the field.
func (p *paper) focused() (y, high float32, ok bool) {
	slot, at := p.slot()
	if slot == nil {
		return 0, 0, false
	}
	high = slot.Size().Height
	if list := p.r.d.Copies(); len(list) > 0 && p.r.d.Focus().Kind == desk.NextContest {
		high += float32(min(len(list[0].Words), mostItems)+4) * theme.TextSize() * 1.8
	} else if len(p.r.d.Items()) > 0 && p.r.items != nil {
		high += p.r.items.Size().Height
	}
	return at.Y, high, true
}

// slot finds the slot for the field in the created blocks.
func (p *paper) slot() (*fieldSlot, fyne.Position) {
	var find func(o fyne.CanvasObject, at fyne.Position) (*fieldSlot, fyne.Position)
	find = func(o fyne.CanvasObject, at fyne.Position) (*fieldSlot, fyne.Position) {
		at = at.Add(o.Position())
		switch o := o.(type) {
		case *fieldSlot:
			return o, at
		case *fyne.Container:
			for _, c := range o.Objects {
				if s, pos := find(c, at); s != nil {
					return s, pos
				}
			}
		}
		return nil, at
	}
	for _, o := range p.seen {
		if s, at := find(o, fyne.Position{}); s != nil {
			return s, at
		}
	}
	return nil, fyne.Position{}
}

// MinSize returns the height of the page.
func (p *paper) MinSize() fyne.Size { return fyne.NewSize(0, p.high) }

func (p *paper) CreateRenderer() fyne.WidgetRenderer { return paperRenderer{p} }

type paperRenderer struct{ p *paper }

func (r paperRenderer) Destroy()           {}
func (r paperRenderer) MinSize() fyne.Size { return r.p.MinSize() }
func (r paperRenderer) Layout(fyne.Size)   { r.p.fill() }
func (r paperRenderer) Refresh() {
	if !r.p.busy {
		// If the theme or the sizes changed, create everything again.
		if now := themeMark(r.p); now != r.p.theme {
			r.p.theme = now
			for _, m := range r.p.made {
				m.object = nil
			}
		}
		r.p.fill()
	}
	canvas.Refresh(r.p)
}

func themeMark(w fyne.Widget) string {
	th := theme.CurrentForWidget(w)
	return fmt.Sprint(th.Color(ui.ColorInk, 0), th.Color(ui.ColorPaper, 0), th.Size(theme.SizeNameText),
		th.Size(theme.SizeNamePadding))
}

func (r paperRenderer) Objects() []fyne.CanvasObject {
	return append(append([]fyne.CanvasObject(nil), r.p.seen...), r.p.r.field)
}

// fieldSlot reserves space for the field.
type fieldSlot struct {
	widget.BaseWidget
	r    *Screen
	wide float32 // in letters
}

func (r *Screen) slot(letters float32) *fieldSlot {
	s := &fieldSlot{r: r, wide: letters}
	s.ExtendBaseWidget(s)
	return s
}

// MinSize is the height of the field; for a long text, as many lines as it needs.
func (s *fieldSlot) MinSize() fyne.Size {
	f := s.r.field
	high := f.MinSize().Height
	if f.MultiLine {
		width := max(s.Size().Width, theme.TextSize()*10)
		lines := 2 + int(float32(len([]rune(f.Text)))*theme.TextSize()*0.5/(width-theme.Padding()*6))
		high = max(float32(min(lines, 14))*theme.TextSize()*1.45+theme.InnerPadding()*2, theme.TextSize()*4)
	}
	return fyne.NewSize(s.wide*theme.TextSize()/2, high)
}

func (s *fieldSlot) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewWithoutLayout())
}
