package picture

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// rect is where something is on the window.
type rect struct{ x1, y1, x2, y2 float32 }

func (r rect) meet(o rect) rect {
	return rect{max(r.x1, o.x1), max(r.y1, o.y1), min(r.x2, o.x2), min(r.y2, o.y2)}
}

func (r rect) empty() bool { return r.x2-r.x1 <= slack || r.y2-r.y1 <= slack }

// coversMore reports whether a part is wider and higher than so much.
func (r rect) coversMore(than float32) bool { return r.x2-r.x1 > than && r.y2-r.y1 > than }

// slack is what rounding to dots may cost.
const slack = 1

// thin is how wide a caret or a line may be: it covers no letter.
const thin = 4

// placed is a text as it is seen.
type placed struct {
	text string
	rect rect
	// under is how many fills were laid before it.
	under int
}

// painted is a colour that fills a part of the window.
type painted struct {
	rect
	fill color.Color
}

// walker goes through a tree as it is drawn.
type walker struct {
	texts  []placed
	fills  []painted
	faults []string
	// faint is the placeholder's colour: what has it in an entry cannot be scrolled to.
	faint color.Color
}

// Faults returns, in words, each text that is cut off, each pair of texts that overlap,
// each text that something opaque was laid over, and each whose contrast with what it
// stands on is below LeastContrast. Only the top layer is looked at: a sheet, if one lies
// on the window. What a scrolling area has not scrolled to is not seen, and no fault;
// text that people typed may be longer than its entry.
func Faults(c fyne.Canvas) []string {
	top := c.Content()
	if o := c.Overlays().Top(); o != nil {
		top = o
	}
	w := walker{faint: theme.Color(theme.ColorNamePlaceHolder)}
	size := c.Size()
	all := rect{0, 0, size.Width, size.Height}
	w.fills = append(w.fills, painted{all, over(theme.Color(theme.ColorNameBackground), color.Black)})
	w.walk(top, fyne.NewPos(0, 0), all, seeing{})
	for i, a := range w.texts {
		for _, b := range w.texts[i+1:] {
			if !a.rect.meet(b.rect).empty() {
				w.faults = append(w.faults, fmt.Sprintf("%q overlaps %q", a.text, b.text))
			}
		}
		for _, f := range w.fills[a.under:] {
			if _, _, _, alpha := f.fill.RGBA(); alpha == 0xFFFF && a.rect.meet(f.rect).coversMore(thin) {
				w.faults = append(w.faults, fmt.Sprintf("%q is covered: something is drawn over it", a.text))
				break
			}
		}
	}
	return w.faults
}

// groundAt is the colour that is seen at a point, of all that was laid so far.
func (w *walker) groundAt(x, y float32) color.Color {
	ground := color.Color(color.Black)
	for _, f := range w.fills {
		if x >= f.x1 && x < f.x2 && y >= f.y1 && y < f.y2 {
			ground = over(f.fill, ground)
		}
	}
	return ground
}

// contrast compares the ink of a text with its ground, at five places along it.
func (w *walker) contrast(t *canvas.Text, seen rect) {
	least, on := math.Inf(1), color.Color(nil)
	for i := range 5 {
		ground := w.groundAt(seen.x1+(seen.x2-seen.x1)*(0.1+0.2*float32(i)), (seen.y1+seen.y2)/2)
		if c := Contrast(over(t.Color, ground), ground); c < least {
			least, on = c, ground
		}
	}
	if least < LeastContrast {
		w.faults = append(w.faults, fmt.Sprintf("%q has a contrast of %.2f:1 (%s on %s); WCAG 2.2, 1.4.3 asks for %.1f:1",
			t.Text, least, hex(t.Color), hex(on), LeastContrast))
	}
}

func hex(c color.Color) string {
	r, g, b, _ := c.RGBA()
	return fmt.Sprintf("#%02X%02X%02X", r>>8, g>>8, b>>8)
}

// seeing is what can be done to see the rest of a thing: scroll down, or across.
type seeing struct{ down, across bool }

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
	for _, child := range Children(o) {
		out = append(out, Texts(child)...)
	}
	return out
}

// Children are what a thing on the screen consists of.
func Children(o fyne.CanvasObject) []fyne.CanvasObject {
	switch o := o.(type) {
	case *fyne.Container:
		return o.Objects
	case fyne.Widget:
		return test.WidgetRenderer(o).Objects()
	}
	return nil
}

// walk visits what is visible, in the order in which it is drawn. Clip is what can be seen.
func (w *walker) walk(o fyne.CanvasObject, at fyne.Position, clip rect, can seeing) {
	if o == nil || !o.Visible() {
		return
	}
	at = at.Add(o.Position())
	size := o.Size()
	here := rect{at.X, at.Y, at.X + size.Width, at.Y + size.Height}
	switch o := o.(type) {
	case *canvas.Text:
		w.text(o, here, clip, can)
		return
	case *canvas.Rectangle:
		if o.FillColor == nil {
			return
		}
		seen := here.meet(clip)
		if _, _, _, alpha := o.FillColor.RGBA(); alpha > 0 && !seen.empty() {
			w.fills = append(w.fills, painted{seen, o.FillColor})
		}
		return
	case *container.Scroll:
		clip = clip.meet(here)
		can.down = can.down || o.Direction == container.ScrollBoth || o.Direction == container.ScrollVerticalOnly
		can.across = can.across || o.Direction == container.ScrollBoth || o.Direction == container.ScrollHorizontalOnly
	}
	if _, box := o.(fyne.Widget); box { // nothing that a widget says may stand outside it
		clip = clip.meet(here)
	}
	for _, child := range Children(o) {
		w.walk(child, at, clip, can)
	}
}

func (w *walker) text(t *canvas.Text, here, clip rect, can seeing) {
	if strings.TrimSpace(t.Text) == "" {
		return
	}
	if can.across && !can.down && t.Color == w.faint {
		can.across = false // the example in an empty entry: no caret goes along it
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
	if high := here.y2 - here.y1; need.Height > high+slack {
		w.faults = append(w.faults, fmt.Sprintf("%q needs a height of %.0f and has %.0f", t.Text, need.Height, high))
	}
	seen := here.meet(clip)
	cutDown := here.y1 < clip.y1-slack || here.y2 > clip.y2+slack
	cutAcross := here.x1 < clip.x1-slack || here.x2 > clip.x2+slack
	if cutDown && !can.down || cutAcross && !can.across {
		w.faults = append(w.faults,
			fmt.Sprintf("%q is cut off: it stands at %.0f,%.0f to %.0f,%.0f and can be seen within %.0f,%.0f to %.0f,%.0f",
				t.Text, here.x1, here.y1, here.x2, here.y2, clip.x1, clip.y1, clip.x2, clip.y2))
	}
	if !seen.empty() {
		w.contrast(t, seen)
		// Leading above and below letters may overlap; letters may not.
		seen.y1 += need.Height * 0.12
		seen.y2 -= need.Height * 0.12
		w.texts = append(w.texts, placed{t.Text, seen, len(w.fills)})
	}
}

// Drawn counts what a tree draws: everything visible in it that has a size.
func Drawn(o fyne.CanvasObject) (n int) {
	if o == nil || !o.Visible() {
		return 0
	}
	switch o.(type) {
	case *fyne.Container, fyne.Widget:
		for _, c := range Children(o) {
			n += Drawn(c)
		}
		return n
	}
	return 1
}
