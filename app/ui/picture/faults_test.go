package picture_test

import (
	"image/color"
	"io/fs"
	"os"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/ui"
	"counterproof/app/ui/picture"
)

func gray(v uint8) color.Color { return color.NRGBA{v, v, v, 0xFF} }

// The ends of the scale are those of WCAG 2.2 (definition of contrast ratio: 1 to 21).
// #767676 on white is the lightest gray that passes 4.5:1, #777777 the next that does
// not, by the definition's own formula: ((119/255+0.055)/1.055)^2.4 = 0.1845, and
// 1.05/0.2345 = 4.48.
func TestContrastIsThatOfTheGuidelines(t *testing.T) {
	assert.InDelta(t, 21, picture.Contrast(color.Black, color.White), 0.001)
	assert.InDelta(t, 1, picture.Contrast(gray(90), gray(90)), 0.001)
	assert.InDelta(t, 4.48, picture.Contrast(color.White, gray(0x77)), 0.005)
	assert.GreaterOrEqual(t, picture.Contrast(gray(0x76), color.White), picture.LeastContrast)
	// A channel weighs as the eye sees it: 0.2126, 0.7152, 0.0722, on black.
	for c, weight := range map[color.Color]float64{
		color.NRGBA{R: 0xFF, A: 0xFF}: 0.2126, color.NRGBA{G: 0xFF, A: 0xFF}: 0.7152, color.NRGBA{B: 0xFF, A: 0xFF}: 0.0722,
	} {
		assert.InDelta(t, (weight+0.05)/0.05, picture.Contrast(c, color.Black), 0.001)
	}
}

// fixed gives things a size of their own, whatever they need.
type fixed struct{ size fyne.Size }

func (f fixed) Layout(o []fyne.CanvasObject, _ fyne.Size) {
	for _, o := range o {
		o.Resize(f.size)
	}
}
func (f fixed) MinSize([]fyne.CanvasObject) fyne.Size { return f.size }

// A measure that finds nothing would let every screen through: made-up screens with one
// fault each, and the same without it.
func TestTheMeasureSeesWhatCannotBeRead(t *testing.T) {
	v := picture.View{Size: fyne.NewSize(300, 200)}
	paper := ui.Theme{}.Color(ui.ColorPaper, 0)
	inked := func(x, y float32, ink color.Color) *canvas.Text {
		o := canvas.NewText("Brightwater", ink)
		o.Move(fyne.NewPos(x, y))
		o.Resize(o.MinSize())
		return o
	}
	text := func(x, y float32) *canvas.Text { return inked(x, y, color.Black) }
	fill := func(c color.Color, x, y, wide, high float32) *canvas.Rectangle {
		o := canvas.NewRectangle(c)
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(wide, high))
		return o
	}
	sized := func(o fyne.CanvasObject, wide, high float32) fyne.CanvasObject {
		return container.NewWithoutLayout(container.New(fixed{fyne.NewSize(wide, high)}, o))
	}
	at := func(objects ...fyne.CanvasObject) fyne.CanvasObject { return container.NewWithoutLayout(objects...) }
	typed := func(text, example string) *widget.Entry {
		e := widget.NewEntry()
		e.Wrapping, e.Scroll = fyne.TextWrapOff, fyne.ScrollHorizontalOnly
		e.Text, e.PlaceHolder = text, example
		return e
	}
	v.App(t)
	narrow := text(0, 0)
	narrow.Resize(fyne.NewSize(20, 40))
	low := text(0, 0)
	low.Resize(fyne.NewSize(200, 8))
	rows := ui.Column(0)
	for range 12 {
		rows.Add(ui.Body("Brightwater"))
	}
	across := container.New(fixed{fyne.NewSize(600, 40)}, text(0, 0))
	hidden, blank := text(280, 0), canvas.NewText("   ", color.Black)
	hidden.Hide()
	blank.Move(fyne.NewPos(299, 0))
	const long = "Brightwater Town Hall, 12 Mill Lane"
	white, veil := fill(color.White, 0, 0, 200, 60), fill(color.NRGBA{A: 0xB0}, 0, 0, 200, 60)
	ink := ui.Theme{}.Color(theme.ColorNameForeground, 0)
	short := ui.NewWords(ui.SizeBody, ui.Run{Text: "Brightwater Town Hall"}).Short()
	for name, c := range map[string]struct {
		content fyne.CanvasObject
		says    string // "" for no fault
	}{
		"side by side":       {at(text(0, 0), text(150, 0)), ""},
		"one over the other": {at(text(0, 0), text(30, 5)), "overlaps"},

		"a box too narrow":                   {at(narrow), "needs a width"},
		"a box too low":                      {at(low), "needs a height"},
		"past the right edge":                {at(text(260, 0)), "cut off"},
		"past the lower edge":                {at(text(0, 190)), "cut off"},
		"a widget smaller than its text":     {sized(widget.NewLabel("Brightwater"), 40, 40), "cut off"},
		"in a scroller, to be scrolled to":   {container.NewVScroll(rows), ""},
		"in a scroller that goes down alone": {sized(container.NewVScroll(at(text(280, 0))), 300, 100), "cut off"},
		"in a scroller that goes across":     {sized(container.NewHScroll(across), 60, 40), ""},
		"cut short with an ellipsis":         {sized(short, 80, 40), ""},
		"what is typed is longer":            {sized(typed(long, ""), 90, 40), ""},
		"the example is longer":              {sized(typed("", long), 90, 40), "cut off"},
		"an entry too low for its letters":   {sized(typed("Brightwater", ""), 200, 18), "cut off"},
		"hidden, and past the edge":          {at(hidden), ""},
		"only blanks, past the edge":         {at(blank), ""},

		"ink on paper":                       {at(fill(paper, 0, 0, 200, 60), text(0, 0)), ""},
		"gray on paper":                      {at(fill(paper, 0, 0, 200, 60), inked(0, 0, gray(0x90))), "contrast of"},
		"white on a dark bar":                {at(fill(gray(0x20), 0, 0, 200, 60), inked(0, 0, color.White)), ""},
		"white half past its dark bar":       {at(fill(gray(0x20), 0, 0, 30, 60), inked(0, 0, color.White)), "contrast of"},
		"a veil makes the ground as the ink": {at(white, veil, text(0, 0)), "contrast of"},
		"ink that is half transparent":       {at(white, inked(0, 0, color.NRGBA{A: 0x60})), "contrast of"},
		"on the theme's own desk, no ground": {at(inked(0, 0, ink)), ""},

		"something opaque laid over it":      {at(text(0, 0), fill(color.White, 40, 0, 200, 60)), "covered"},
		"a caret in it":                      {at(text(0, 0), fill(color.Black, 40, 0, 3, 30)), ""},
		"something transparent laid over it": {at(text(0, 0), fill(color.NRGBA{A: 0x10}, 40, 0, 200, 60)), ""},
	} {
		t.Run(name, func(t *testing.T) {
			w := test.NewTempWindow(t, c.content)
			v.Lay(w)
			found := picture.Faults(w.Canvas())
			if c.says == "" {
				assert.Empty(t, found)
				return
			}
			require.NotEmpty(t, found)
			assert.Contains(t, found[0], c.says)
		})
	}
}

// A sheet is measured in place of what lies under it.
func TestOnlyTheTopLayerIsMeasured(t *testing.T) {
	v := picture.View{Size: fyne.NewSize(300, 200)}
	v.App(t)
	faint := canvas.NewText("Brightwater", color.NRGBA{0xE0, 0xD8, 0xC8, 0xFF})
	faint.Resize(faint.MinSize())
	w := test.NewTempWindow(t, container.NewWithoutLayout(faint))
	v.Lay(w)
	require.Len(t, picture.Faults(w.Canvas()), 1)
	pop := widget.NewModalPopUp(ui.Body("A sheet"), w.Canvas())
	pop.Show()
	pop.Resize(fyne.NewSize(200, 100))
	assert.Empty(t, picture.Faults(w.Canvas()))
	pop.Hide()
	assert.Len(t, picture.Faults(w.Canvas()), 1)
}

// A picture that no test looks at, or one more than show the look, would only grow old.
func TestFewPicturesAreKept(t *testing.T) {
	assert.LessOrEqual(t, len(picture.Kept), 12, "what can be measured needs no picture")
	there := map[string]bool{}
	require.NoError(t, fs.WalkDir(os.DirFS("../.."), ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".png") && strings.Contains(path, "testdata/pictures/") {
			there[d.Name()] = true
		}
		return err
	}))
	assert.Equal(t, picture.Kept, there)
}

// The views are what the tier asks for; those of CI are every size, tone and text size.
func TestEveryScreenIsMeasuredInEveryWay(t *testing.T) {
	if testing.Short() {
		assert.Len(t, picture.Views(), 1)
		return
	}
	t.Setenv("CI", "true")
	seen := map[picture.View]bool{}
	for _, v := range picture.Views() {
		seen[v] = true
	}
	assert.Len(t, seen, 3*3*3)
}
