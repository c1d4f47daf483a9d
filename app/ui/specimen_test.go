package ui_test

import (
	"image/color"
	"math"
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

// specimen is a sheet with everything that screens are made of.
func specimen() fyne.CanvasObject {
	var marks []fyne.CanvasObject
	for _, i := range ui.Icons {
		marks = append(marks, ui.NewBadge(i, string(i), ui.ColorInk))
	}
	said := func(side ui.Side) fyne.CanvasObject {
		return ui.Column(1,
			ui.NewWords(ui.SizeBody,
				ui.Run{Text: "Member of Town Council Town of Alder Falls", Face: ui.SerifBold}).Wrapped(),
			ui.Marked(ui.SizeHeading, "Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", side, ui.Serif),
			ui.Marked(ui.SizeBody, "Paloma Escribanо", "Paloma Escribano", side, ui.Serif),
			ui.Marked(ui.SizeBody, "Reading Room Bond 1,250", "Reading Room  Bond 1,205", side, ui.Serif))
	}
	return container.NewVScroll(ui.Inset(4, 4, ui.Column(3,
		ui.Page(ui.Column(2, ui.Kicker("Specimen"), ui.Title("Hold the page beside the proof"),
			ui.Body("Proofs come per ballot style: each ballot face is keyed once, then given its precincts."),
			ui.Caption("Ελληνικά, Кириллица, Łódź, Ŧ. 0123456789"),
			ui.Flow(3, marks...))),
		ui.Pages("Second entry", said(ui.Second), "Primary", said(ui.Primary)),
		ui.Page(ui.Column(0,
			ui.RuledHead([]float32{1, 3, 1}, "precinct", "site", "use"),
			ui.Ruled([]float32{1, 3, 1}, ui.Ballot("1-01"), ui.Ballot("Alder Falls Middle School"), ui.Body("")),
			ui.Ruled([]float32{1, 3, 1}, ui.Ballot("1-11"), ui.Ballot("St. Brendan's Parish Center"),
				ui.Body("early")))),
		ui.Page(ui.Column(2,
			ui.NewProgress(ui.Part{Word: "cleared", Count: 7, Icon: ui.StateCleared, Fill: ui.Solid},
				ui.Part{Word: "decided", Count: 4, Icon: ui.StateDecided, Fill: ui.Hatched},
				ui.Part{Word: "open", Count: 3, Icon: ui.StateOpen}),
			ui.Flow(2, ui.NewAction(ui.Next, "Key the first ballot face", ui.StateNext, "Enter", nil),
				ui.NewAction(ui.Plain, "Open a case", "", "Ctrl+O", nil), ui.NewAction(ui.Quiet, "Not now", "", "", nil)),
			ui.Slip(ui.NewBadge(ui.StateWarning, "Vote for 0 is keyed", theme.ColorNameWarning)),
			ui.KeyHint("F1", "help"))))))
}

func TestPictures(t *testing.T) {
	for _, v := range picture.Views() {
		t.Run(v.String(), func(t *testing.T) {
			v.App(t)
			w := test.NewTempWindow(t, specimen())
			dir := "."
			if v.Size.Width > 1280 {
				dir = "" // one size is kept; the other is checked for text that is cut off
			}
			picture.Check(t, dir, "specimen", v, w)
		})
	}
}

// luminance and the contrast of two colours are those of WCAG 2.2.
func luminance(c color.Color) float64 {
	r, g, b, _ := c.RGBA()
	linear := func(v uint32) float64 {
		s := float64(v) / 0xFFFF
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}

func contrast(a, b color.Color) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// WCAG 2.2, success criteria 1.4.3 (4.5:1) and, for high contrast, 1.4.6 (7:1).
func TestTextStandsOutFromWhatItIsPrintedOn(t *testing.T) {
	pairs := [][2]fyne.ThemeColorName{
		{ui.ColorInk, ui.ColorPaper}, {ui.ColorInk, theme.ColorNameBackground},
		{ui.ColorInk, theme.ColorNameHeaderBackground}, {ui.ColorInk, ui.ColorTint},
		{ui.ColorFaded, ui.ColorPaper}, {ui.ColorFaded, theme.ColorNameBackground},
		{ui.ColorFaded, theme.ColorNameHeaderBackground},
		{ui.ColorAccent, ui.ColorPaper}, {ui.ColorAccent, theme.ColorNameHeaderBackground},
		{theme.ColorNameForegroundOnPrimary, ui.ColorAccent},
		{ui.ColorRailInk, ui.ColorRail}, {ui.ColorRailMark, ui.ColorRail}, {ui.ColorTabInk, ui.ColorTab},
		{ui.ColorTab, ui.ColorRail},
		{theme.ColorNameSuccess, ui.ColorPaper}, {theme.ColorNameWarning, ui.ColorPaper},
		{theme.ColorNameWarning, theme.ColorNameHeaderBackground},
	}
	for _, tone := range ui.Tones {
		least := 4.5
		if tone == ui.Contrast {
			least = 7
		}
		th := ui.Theme{Tone: tone}
		for _, p := range pairs {
			got := contrast(th.Color(p[0], 0), th.Color(p[1], 0))
			assert.GreaterOrEqual(t, got, least, "%s: %s on %s", tone, p[0], p[1])
		}
	}
}

func TestATextAt200PercentIsTwiceAsHigh(t *testing.T) {
	one, two := ui.Theme{}, ui.Theme{Scale: 2}
	for _, s := range []fyne.ThemeSizeName{ui.SizeCaption, ui.SizeBody, ui.SizeHeading} {
		assert.Equal(t, 2*one.Size(s), two.Size(s), s)
	}
}

func TestWordsBreakBetweenWordsAndLoseNothing(t *testing.T) {
	picture.View{}.App(t)
	for name, text := range map[string]string{
		"a long name": "Shall the Charter of the County be amended to lengthen the terms of its Council from " +
			"two years to four?",
		"a name without spaces":  strings.Repeat("Llanfairpwllgwyngyll", 12),
		"lines of their own":     "one\ntwo\n\nthree",
		"spaces at the ends":     "  two before, two after  ",
		"letters serif lacks":    "Ŧuommá Ĳsbrand",
		"bytes that are no text": "a\xffb",
		"nothing":                "",
	} {
		t.Run(name, func(t *testing.T) {
			w := ui.Ballot(text)
			w.Resize(fyne.NewSize(180, 40))
			w.Resize(fyne.NewSize(180, w.MinSize().Height))
			var said strings.Builder
			for _, o := range test.WidgetRenderer(w).Objects() {
				if tx, ok := o.(*canvas.Text); ok {
					assert.LessOrEqual(t, tx.Position().X+ui.Ballot(strings.TrimRight(tx.Text, " ")).MinSize().Width, float32(10000))
					said.WriteString(tx.Text)
				}
			}
			// Blanks at the end of a line are not set.
			assert.Equal(t, strings.Join(strings.Fields(text), ""), strings.Join(strings.Fields(said.String()), ""))
			assert.True(t, strings.HasPrefix(text, "  ") == strings.HasPrefix(said.String(), "  "), "blanks at the start are")
		})
	}
}

func TestTheDifferingLettersAreMarkedOnBothSides(t *testing.T) {
	run := func(text string, m ui.Mark) ui.Run { return ui.Run{Text: text, Face: ui.Serif, Mark: m} }
	assert.Equal(t, []ui.Run{run("Ruth-Anne Skarsga", 0), run("a", ui.Differs), run("rd", 0)},
		ui.MarkedRuns("Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", ui.Second, ui.Serif))
	assert.Equal(t, []ui.Run{run("Ruth-Anne Skarsga", 0), {Face: ui.Serif, Mark: ui.Gap}, run("rd", 0)},
		ui.MarkedRuns("Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", ui.Primary, ui.Serif))
	assert.Equal(t, []ui.Run{run("Escriban", 0), run("о", ui.Differs)},
		ui.MarkedRuns("Escribanо", "Escribano", ui.Primary, ui.Serif), "the Cyrillic letter is marked, not replaced")
}

// A harness that finds nothing would pass every screen.
func TestTheHarnessSeesTextThatIsCutOffOrOverlaps(t *testing.T) {
	v := picture.View{Size: fyne.NewSize(300, 200)}
	v.App(t)
	text := func(x, y, wide float32) *canvas.Text {
		o := canvas.NewText("Brightwater", color.Black)
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(wide, o.MinSize().Height))
		return o
	}
	for name, c := range map[string]struct {
		content fyne.CanvasObject
		faults  int
	}{
		"side by side":       {container.NewWithoutLayout(text(0, 0, 120), text(130, 0, 120)), 0},
		"a box too narrow":   {container.NewWithoutLayout(text(0, 0, 20)), 1},
		"past the edge":      {container.NewWithoutLayout(text(260, 0, 120)), 1},
		"one over the other": {container.NewWithoutLayout(text(0, 0, 120), text(30, 5, 120)), 1},
		"a label shrunk":     {container.New(shrink{}, widget.NewLabel("Brightwater")), 1},
		"out of sight in a scroller": {container.NewVScroll(ui.Column(0, ui.Title("a"), ui.Title("b"), ui.Title("c"),
			ui.Title("d"), ui.Title("e"), ui.Title("f"))), 0},
	} {
		t.Run(name, func(t *testing.T) {
			w := test.NewTempWindow(t, c.content)
			v.Draw(w)
			assert.Len(t, picture.Faults(w.Canvas()), c.faults)
		})
	}
}

type shrink struct{}

func (shrink) Layout(o []fyne.CanvasObject, _ fyne.Size) { o[0].Resize(fyne.NewSize(30, 40)) }
func (shrink) MinSize([]fyne.CanvasObject) fyne.Size     { return fyne.NewSize(30, 40) }

func TestAnActionIsDoneByKeyAndPointerAndNotWhenDisabled(t *testing.T) {
	picture.View{}.App(t)
	done := 0
	a := ui.NewAction(ui.Next, "Seal", "", "", func() { done++ })
	w := test.NewTempWindow(t, a)
	w.Canvas().Focus(a)
	test.Tap(a)
	a.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	a.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	require.Equal(t, 2, done, "a blank does nothing")
	a.Disable()
	test.Tap(a)
	a.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Equal(t, 2, done)
}
