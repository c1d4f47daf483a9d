package picture

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

// rect is where something is on the window.
type rect struct{ x1, y1, x2, y2 float32 }

func (r rect) meet(o rect) rect {
	return rect{max(r.x1, o.x1), max(r.y1, o.y1), min(r.x2, o.x2), min(r.y2, o.y2)}
}

func (r rect) empty() bool { return r.x2-r.x1 <= slack || r.y2-r.y1 <= slack }

// slack is what rounding to dots may cost.
const slack = 1

// placed is a text as it is seen.
type placed struct {
	text string
	rect rect
}

// walker goes through a tree as it is drawn.
type walker struct {
	texts  []placed
	faults []string
}

// Faults returns, in words, each text that is cut off, and each pair of texts that
// overlap. What a scrolling area has not scrolled to is not seen, and no fault;
// text that people typed may be longer than its entry.
func Faults(c fyne.Canvas) []string {
	top := c.Content()
	if o := c.Overlays().Top(); o != nil {
		top = o
	}
	var w walker
	size := c.Size()
	w.walk(top, fyne.NewPos(0, 0), rect{0, 0, size.Width, size.Height}, false, false)
	for i, a := range w.texts {
		for _, b := range w.texts[i+1:] {
			if !a.rect.meet(b.rect).empty() {
				w.faults = append(w.faults, fmt.Sprintf("%q overlaps %q", a.text, b.text))
			}
		}
	}
	return w.faults
}

// Texts returns every text of a tree, seen or not, and what is in entries: all that
// a screen says, or could say by scrolling.
func Texts(o fyne.CanvasObject) (out []string) {
	if o == nil {
		return nil
	}
	switch o := o.(type) {
	case *canvas.Text:
		out = append(out, o.Text)
	case *widget.Entry:
		out = append(out, o.Text, o.PlaceHolder)
	case *widget.Label:
		out = append(out, o.Text)
	}
	for _, child := range children(o) {
		out = append(out, Texts(child)...)
	}
	return out
}

func children(o fyne.CanvasObject) []fyne.CanvasObject {
	switch o := o.(type) {
	case *fyne.Container:
		return o.Objects
	case fyne.Widget:
		return test.WidgetRenderer(o).Objects()
	}
	return nil
}

// walk visits what is visible. Clip is what can be seen; down and across say
// whether the rest can be scrolled to.
func (w *walker) walk(o fyne.CanvasObject, at fyne.Position, clip rect, down, across bool) {
	if o == nil || !o.Visible() {
		return
	}
	at = at.Add(o.Position())
	size := o.Size()
	here := rect{at.X, at.Y, at.X + size.Width, at.Y + size.Height}
	switch o := o.(type) {
	case *canvas.Text:
		w.text(o, here, clip, down, across)
		return
	case *widget.Entry:
		return
	case *container.Scroll:
		clip = clip.meet(here)
		down = down || o.Direction == container.ScrollBoth || o.Direction == container.ScrollVerticalOnly
		across = across || o.Direction == container.ScrollBoth || o.Direction == container.ScrollHorizontalOnly
	}
	if _, box := o.(fyne.Widget); box { // nothing that a widget says may stand outside it
		clip = clip.meet(here)
	}
	for _, child := range children(o) {
		w.walk(child, at, clip, down, across)
	}
}

func (w *walker) text(t *canvas.Text, here, clip rect, down, across bool) {
	if t.Text == "" || t.Text == " " {
		return
	}
	need := t.MinSize()
	// A label's box may be wider than its text: what counts is where the ink is.
	switch wide := here.x2 - here.x1; {
	case need.Width > wide+slack:
		w.faults = append(w.faults, fmt.Sprintf("%q needs a width of %.0f and has %.0f", t.Text, need.Width, wide))
	case t.Alignment == fyne.TextAlignCenter:
		here.x1 += (wide - need.Width) / 2
		here.x2 = here.x1 + need.Width
	case t.Alignment == fyne.TextAlignTrailing:
		here.x1 = here.x2 - need.Width
	default:
		here.x2 = here.x1 + need.Width
	}
	seen := here.meet(clip)
	cutDown := here.y1 < clip.y1-slack || here.y2 > clip.y2+slack
	cutAcross := here.x1 < clip.x1-slack || here.x2 > clip.x2+slack
	if cutDown && !down || cutAcross && !across {
		w.faults = append(w.faults,
			fmt.Sprintf("%q is cut off: it stands at %.0f,%.0f to %.0f,%.0f and can be seen within %.0f,%.0f to %.0f,%.0f",
				t.Text, here.x1, here.y1, here.x2, here.y2, clip.x1, clip.y1, clip.x2, clip.y2))
	}
	if !seen.empty() {
		// Leading above and below letters may overlap; letters may not.
		seen.y1 += need.Height * 0.12
		seen.y2 -= need.Height * 0.12
		w.texts = append(w.texts, placed{t.Text, seen})
	}
}

// Drawn counts what a tree draws: everything visible in it that has a size.
func Drawn(o fyne.CanvasObject) (n int) {
	if o == nil || !o.Visible() {
		return 0
	}
	switch o.(type) {
	case *fyne.Container, fyne.Widget:
		for _, c := range children(o) {
			n += Drawn(c)
		}
		return n
	}
	return 1
}
