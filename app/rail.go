package app

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/ui"
)

// rail is the cover of the folder at the left: a tab for each place.
type rail struct {
	w      *Window
	tabs   []*tab
	object fyne.CanvasObject
}

func newRail(w *Window) *rail {
	r := &rail{w: w}
	var objects []fyne.CanvasObject
	for i, p := range w.places {
		t := newTab(p.Icon(), p.Name(), func() { w.Go(p.Name()) })
		t.key = fmt.Sprintf("Ctrl+%d", i+1)
		r.tabs = append(r.tabs, t)
		objects = append(objects, t)
	}
	help := newTab(ui.PlaceHelp, "Help", w.Help)
	r.object = container.NewStack(ui.NewSurface(ui.ColorRail, ""),
		container.NewBorder(ui.Inset(0, 3, ui.Column(0.5, objects...)), ui.Inset(0, 2, help), nil, nil))
	return r
}

func (r *rail) refresh() {
	for i, t := range r.tabs {
		ok, _ := r.w.places[i].May()
		t.set(i == r.w.at, ok)
	}
}

// tab is a place on the rail. The one in view is of paper; one that cannot be
// entered yet carries a lock.
type tab struct {
	widget.BaseWidget
	name     string
	key      string
	icon     ui.Icon
	do       func()
	current  bool
	may      bool
	focused  bool
	hovered  bool
	surface  *ui.Surface
	edge     *ui.Surface
	drawing  *ui.Drawing
	lock     *ui.Drawing
	words    *ui.Words
	box      *fyne.Container
	lockSide *fyne.Container
}

var (
	_ fyne.Focusable    = (*tab)(nil)
	_ fyne.Tappable     = (*tab)(nil)
	_ desktop.Hoverable = (*tab)(nil)
)

// tabRoom is the room above and below a tab's words at most, so that all tabs have theirs at large text.
const tabRoom = 9

func newTab(icon ui.Icon, name string, do func()) *tab {
	t := &tab{name: name, icon: icon, do: do, may: true,
		surface: ui.NewSurface("", ""), edge: ui.NewSurface("", ""), drawing: ui.NewDrawing(icon, ui.ColorRailInk),
		lock:  ui.NewDrawing(ui.StateLocked, ui.ColorRailInk),
		words: ui.NewWords(ui.SizeBody, ui.Run{Text: name, Face: ui.SansBold, Color: ui.ColorRailInk})}
	t.lockSide = container.NewStack(t.lock)
	t.box = container.NewStack(t.surface, ui.Inset(0.4, 0.4, t.edge),
		ui.InsetAtMost(2.4, 2.2, tabRoom, ui.MiddleCells(1.8, []float32{0, 1, 0}, t.drawing, t.words, t.lockSide)))
	t.ExtendBaseWidget(t)
	t.dress()
	return t
}

func (t *tab) set(current, may bool) {
	t.current, t.may = current, may
	t.Refresh()
}

func (t *tab) dress() {
	fill, ink := fyne.ThemeColorName(""), fyne.ThemeColorName(ui.ColorRailInk)
	if t.current {
		fill, ink = ui.ColorTab, ui.ColorTabInk
	}
	edge := fyne.ThemeColorName("")
	switch {
	case t.focused && t.current:
		edge = ui.ColorTabInk
	case t.focused:
		edge = ui.ColorRailMark
	case t.hovered:
		edge = ink
	}
	t.surface.Set(fill, "")
	t.edge.Set("", edge)
	t.drawing.Set(t.icon, ink)
	t.lock.Set(ui.StateLocked, ink)
	t.words.SetColor(ink)
	if t.may {
		t.lockSide.Hide()
	} else {
		t.lockSide.Show()
	}
}

func (t *tab) CreateRenderer() fyne.WidgetRenderer { return &tabRenderer{t} }

type tabRenderer struct{ t *tab }

func (r *tabRenderer) Destroy()                     {}
func (r *tabRenderer) MinSize() fyne.Size           { return r.t.box.MinSize() }
func (r *tabRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.t.box} }
func (r *tabRenderer) Layout(s fyne.Size)           { r.t.box.Resize(s) }
func (r *tabRenderer) Refresh() {
	r.t.dress()
	r.t.box.Refresh()
	canvas.Refresh(r.t)
}

func (t *tab) Tapped(*fyne.PointEvent) { t.do() }
func (t *tab) FocusGained()            { t.focused = true; t.Refresh() }
func (t *tab) FocusLost()              { t.focused = false; t.Refresh() }
func (t *tab) TypedRune(r rune) {
	if r != ' ' {
		ui.RuneToWindow(t, r)
	}
}
func (t *tab) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		t.do()
	default: // what it does not know is the window's
		ui.ToWindow(t, e)
	}
}
func (t *tab) MouseIn(*desktop.MouseEvent)    { t.hovered = true; t.Refresh() }
func (t *tab) MouseMoved(*desktop.MouseEvent) {}
func (t *tab) MouseOut()                      { t.hovered = false; t.Refresh() }
