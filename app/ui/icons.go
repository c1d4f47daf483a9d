package ui

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Icon names one of our own icons.
type Icon string

// Proofreader's marks, of our own drawing: what is wrong with a thing.
const (
	MarkMissing  Icon = "missing"  // a caret: something is to be put in
	MarkExtra    Icon = "extra"    // a deletion loop
	MarkSpelling Icon = "spelling" // letters ringed
	MarkOrder    Icon = "order"    // a transposition
	MarkLine     Icon = "line"     // another party line: moved to a neighbouring row
	MarkNumber   Icon = "number"   // another number
	MarkPlace    Icon = "place"    // another place: precinct, unit, site
)

// States of a thing, and the places of the program.
const (
	StateOpen    Icon = "open"    // a ring
	StateDecided Icon = "decided" // a half-filled ring: decided, not yet cleared
	StateCleared Icon = "cleared" // a filled ring with a tick
	StateOnDisk  Icon = "on-disk" // a page with a tick
	StateSealed  Icon = "sealed"  // a seal with ribbons
	StateWarning Icon = "warning" // a triangle
	StateLocked  Icon = "locked"
	StateFree    Icon = "unlocked"
	StateNext    Icon = "next" // a pointing hand's arrow

	PlaceCase        Icon = "case"
	PlaceRekey       Icon = "rekey"
	PlaceDifferences Icon = "differences"
	PlaceUnits       Icon = "units"
	PlaceMachines    Icon = "machines"
	PlaceSign        Icon = "sign"
	PlaceDeck        Icon = "deck"
	PlaceHelp        Icon = "help"
)

// Icons lists all icons.
var Icons = []Icon{
	MarkMissing, MarkExtra, MarkSpelling, MarkOrder, MarkLine, MarkNumber, MarkPlace,
	StateOpen, StateDecided, StateCleared, StateOnDisk, StateSealed, StateWarning, StateLocked, StateFree, StateNext,
	PlaceCase, PlaceRekey, PlaceDifferences, PlaceUnits, PlaceSign, PlaceDeck, PlaceMachines, PlaceHelp,
}

// Each is drawn on a field of 24 by 24 with a stroke of 2, as with one pen.
var drawings = map[Icon]string{
	MarkMissing: `<path d="M3 19 L12 6 L21 19"/><path d="M12 6 L12 3"/>`,
	MarkExtra:   `<path d="M2 16 L15 7 C19 4 22 8 19 11 C16 14 11 12 10 9 C9 6 12 3 15 3"/><path d="M8 21 L20 15"/>`,
	MarkSpelling: `<path d="M12 4 C18 4 22 7 22 12 C22 17 18 20 12 20 C6 20 2 17 2 12 C2 7 7 3 14 4"/><path d="M9 16 ` +
		`L12 8 L15 16"/><path d="M10 13.5 L14 13.5"/>`,
	MarkOrder: `<path d="M2 9 C2 4 12 4 12 12 C12 20 22 20 22 15"/><path d="M2 9 L2 14"/><path d="M22 15 L22 10"/>`,
	MarkLine: `<path d="M3 6 L13 6"/><path d="M11 18 L21 18"/><path d="M6 10 C6 15 10 14 17 14"/><path d="M14 11 ` +
		`L17 14 L14 17"/>`,
	MarkNumber: `<path d="M9 3 L6 21"/><path d="M18 3 L15 21"/><path d="M3 9 L21 9"/><path d="M3 15 L21 15"/>`,
	MarkPlace:  `<path d="M4 21 L4 4 L14 4"/><path d="M4 12 L19 12"/><path d="M15 8 L19 12 L15 16"/>`,

	StateOpen:    `<circle cx="12" cy="12" r="8"/>`,
	StateDecided: `<circle cx="12" cy="12" r="8"/><path d="M12 5 C16 5 19 8 19 12 C19 16 16 19 12 19 Z" fill="#000000"/>`,
	StateCleared: `<path d="M3 12 L9 19 L21 5" stroke-width="3"/>`,
	StateOnDisk:  `<path d="M5 3 L15 3 L19 7 L19 21 L5 21 Z"/><path d="M8 14 L11 17 L16 10"/>`,
	StateSealed: `<circle cx="12" cy="9" r="6"/><path d="M8 14 L6 22 L12 18 L18 22 L16 14"/><path d="M10 9 L12 11 ` +
		`L15 7"/>`,
	StateWarning: `<path d="M12 3 L22 20 L2 20 Z"/><path d="M12 9 L12 14"/><path d="M12 16.5 L12 17.5"/>`,
	StateLocked: `<path d="M5 11 L19 11 L19 21 L5 21 Z"/><path d="M8 11 L8 7 C8 2 16 2 16 7 L16 11"/><path d="M12 15 ` +
		`L12 17"/>`,
	StateFree: `<path d="M5 11 L19 11 L19 21 L5 21 Z"/><path d="M8 11 L8 6 C8 1 16 1 16 5"/><path d="M12 15 L12 17"/>`,
	StateNext: `<path d="M3 12 L20 12"/><path d="M14 6 L20 12 L14 18"/>`,

	PlaceCase: `<path d="M3 6 L10 6 L12 9 L21 9 L21 20 L3 20 Z"/><path d="M7 14 L17 14"/>`,
	PlaceRekey: `<path d="M4 3 L14 3 L14 8"/><path d="M4 3 L4 21 L11 21"/><path d="M7 8 L10 8"/><path d="M7 12 L9 ` +
		`12"/><path d="M13 18 L20 9 L22 11 L15 20 L12 21 Z"/>`,
	PlaceDifferences: `<path d="M12 5 L12 21"/><path d="M12 5 C9 3 5 3 2 4 L2 20 C5 19 9 19 12 21 C15 19 19 19 22 20 ` +
		`L22 4 C19 3 15 3 12 5"/><path d="M5 12 L9 8"/><path d="M15 8 L19 12"/>`,
	PlaceUnits: `<path d="M4 3 L20 3 L20 21 L4 21 Z"/><path d="M8 7 L16 7"/><path d="M8 11 L16 11"/><path d="M9 ` +
		`17 L15 17"/>`,
	PlaceMachines: `<path d="M5 3 L15 3 L19 7 L19 21 L5 21 Z"/><path d="M9 7 L9 10"/><path d="M12 7 L12 10"/><path ` +
		`d="M15 8 L15 10"/><path d="M8 16 L11 19 L16 13"/>`,
	PlaceSign: `<path d="M2 20 L22 20"/><path d="M4 15 C8 4 11 4 9 11 C8 15 11 15 12 12 C13 9 15 9 15 12 C15 15 ` +
		`18 15 20 11"/>`,
	PlaceDeck: `<path d="M7 3 L21 3 L21 17"/><path d="M3 7 L17 7 L17 21 L3 21 Z"/><path d="M6 12 L10 12"/><path d="M6 ` +
		`16 L10 16"/><path d="M12.5 12 L14 12" stroke-width="4"/>`,
	PlaceHelp: `<path d="M8 8 C8 3 17 3 16 9 C15 12 12 12 12 15"/><path d="M12 19 L12 20.5"/>`,
}

// Resource returns the icon in the colour of the theme with that name. It follows
// the theme.
func (i Icon) Resource(name fyne.ThemeColorName) fyne.Resource { return inked{i, name, 1} }

// inked is an icon in a colour of the theme that is current when it is drawn. (Fyne
// colours fills alone; ours are strokes.)
type inked struct {
	icon  Icon
	color fyne.ThemeColorName
	times float32 // how much larger than a line of text
}

func (r inked) hex() string {
	cr, cg, cb, _ := theme.Color(r.color).RGBA()
	return fmt.Sprintf("#%02x%02x%02x", cr>>8, cg>>8, cb>>8)
}

// pen is the width of the stroke on the field of 24: what draws does not let it grow
// with the field.
func (r inked) pen(width float32) string {
	return fmt.Sprintf("%.1f", width*r.times*theme.IconInlineSize()/20)
}

// Name holds the colour and the pen too, as drawings are kept by name.
func (r inked) Name() string {
	return "counterproof-" + string(r.icon) + r.hex()[1:] + r.pen(2) + ".svg"
}

func (r inked) Content() []byte {
	svg := `<svg xmlns="http://www.w3.org/2000/svg" width="24" height="24" viewBox="0 0 24 24">` +
		`<g fill="none" stroke="#000000" stroke-width="` + r.pen(2) + `" stroke-linecap="round" stroke-linejoin="round">` +
		drawings[r.icon] + `</g></svg>`
	svg = strings.ReplaceAll(svg, `stroke-width="3"`, `stroke-width="`+r.pen(3)+`"`)
	return []byte(strings.ReplaceAll(svg, "#000000", r.hex()))
}

// Drawing is an icon on a screen. It grows with the text.
type Drawing struct {
	widget.BaseWidget
	icon  Icon
	color fyne.ThemeColorName
	image *canvas.Image
	times float32
}

// NewDrawing makes a drawing of an icon in a colour of the theme, as high as a line
// of body text.
func NewDrawing(i Icon, c fyne.ThemeColorName) *Drawing { return newDrawing(i, c, 1) }

// NewLargeDrawing makes a drawing twice as high.
func NewLargeDrawing(i Icon, c fyne.ThemeColorName) *Drawing { return newDrawing(i, c, 2) }

func newDrawing(i Icon, c fyne.ThemeColorName, times float32) *Drawing {
	d := &Drawing{icon: i, color: c, times: times, image: &canvas.Image{}}
	d.image.FillMode = canvas.ImageFillContain
	d.image.Resource = inked{i, c, times}
	d.ExtendBaseWidget(d)
	return d
}

// Set changes what is drawn.
func (d *Drawing) Set(i Icon, c fyne.ThemeColorName) {
	if d.icon == i && d.color == c {
		return
	}
	d.icon, d.color = i, c
	d.image.Resource = inked{i, c, d.times}
	d.Refresh()
}

// MinSize is a square.
func (d *Drawing) MinSize() fyne.Size {
	return fyne.NewSquareSize(theme.SizeForWidget(theme.SizeNameInlineIcon, d) * d.times)
}

// CreateRenderer is for Fyne.
func (d *Drawing) CreateRenderer() fyne.WidgetRenderer { return &drawingRenderer{d} }

type drawingRenderer struct{ d *Drawing }

func (r *drawingRenderer) Destroy() {}
func (r *drawingRenderer) Layout(s fyne.Size) {
	side := min(s.Width, s.Height, r.d.MinSize().Width)
	r.d.image.Resize(fyne.NewSquareSize(side))
	r.d.image.Move(fyne.NewPos((s.Width-side)/2, (s.Height-side)/2))
}
func (r *drawingRenderer) MinSize() fyne.Size           { return r.d.MinSize() }
func (r *drawingRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.d.image} }
func (r *drawingRenderer) Refresh() {
	r.Layout(r.d.Size())
	r.d.image.Refresh()
}
