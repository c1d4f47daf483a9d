package look_test

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

	"counterproof/app/look"
	"counterproof/app/look/picture"
)

// specimen is a sheet with everything that screens are made of.
func specimen() fyne.CanvasObject {
	var marks []fyne.CanvasObject
	for _, i := range look.Icons {
		marks = append(marks, look.NewBadge(i, string(i), look.ColorInk))
	}
	said := func(side look.Side) fyne.CanvasObject {
		return look.Column(1,
			look.BallotBold("Member of Town Council Town of Alder Falls"),
			look.Marked(look.SizeHeading, "Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", side, look.Serif),
			look.Marked(look.SizeBody, "Paloma Escribanо", "Paloma Escribano", side, look.Serif),
			look.Marked(look.SizeBody, "Reading Room Bond 1,250", "Reading Room  Bond 1,205", side, look.Serif))
	}
	return container.NewVScroll(look.Inset(4, 4, look.Column(3,
		look.Page(look.Column(2, look.Kicker("Specimen"), look.Title("Hold the page beside the proof"),
			look.Body("Proofs come per ballot style: each ballot face is keyed once, then given its precincts."),
			look.Caption("Ελληνικά, Кириллица, Łódź, Ŧ. 0123456789"),
			look.Flow(3, marks...))),
		look.Pages("Second entry", said(look.Second), "Primary", said(look.Primary)),
		look.Page(look.Column(0,
			look.RuledHead([]float32{1, 3, 1}, "precinct", "site", "use"),
			look.Ruled([]float32{1, 3, 1}, look.Ballot("1-01"), look.Ballot("Alder Falls Middle School"), look.Body("")),
			look.Ruled([]float32{1, 3, 1}, look.Ballot("1-11"), look.Ballot("St. Brendan's Parish Center"),
				look.Body("early")))),
		look.Page(look.Column(2,
			look.NewProgress(look.Part{Word: "cleared", Count: 7, Icon: look.StateCleared, Fill: look.Solid},
				look.Part{Word: "decided", Count: 4, Icon: look.StateDecided, Fill: look.Hatched},
				look.Part{Word: "open", Count: 3, Icon: look.StateOpen}),
			look.Flow(2, look.NewAction(look.Next, "Key the first ballot face", look.StateNext, "Enter", nil),
				look.NewAction(look.Plain, "Open a case", "", "Ctrl+O", nil), look.NewAction(look.Quiet, "Not now", "", "", nil)),
			look.Slip(look.NewBadge(look.StateWarning, "Vote for 0 is keyed", theme.ColorNameWarning)),
			look.KeyHint("F1", "help"))))))
}

func TestPictures(t *testing.T) {
	for _, v := range picture.Views() {
		t.Run(v.String(), func(t *testing.T) {
			v.App(t)
			w := test.NewTempWindow(t, specimen())
			dir := ".."
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
		{look.ColorInk, look.ColorPaper}, {look.ColorInk, theme.ColorNameBackground},
		{look.ColorInk, theme.ColorNameHeaderBackground}, {look.ColorInk, look.ColorTint},
		{look.ColorFaded, look.ColorPaper}, {look.ColorFaded, theme.ColorNameBackground},
		{look.ColorFaded, theme.ColorNameHeaderBackground},
		{look.ColorAccent, look.ColorPaper}, {look.ColorAccent, theme.ColorNameHeaderBackground},
		{theme.ColorNameForegroundOnPrimary, look.ColorAccent},
		{look.ColorRailInk, look.ColorRail}, {look.ColorRailMark, look.ColorRail}, {look.ColorTabInk, look.ColorTab},
		{look.ColorTab, look.ColorRail},
		{theme.ColorNameSuccess, look.ColorPaper}, {theme.ColorNameWarning, look.ColorPaper},
		{theme.ColorNameWarning, theme.ColorNameHeaderBackground},
	}
	for _, tone := range look.Tones {
		least := 4.5
		if tone == look.Contrast {
			least = 7
		}
		th := look.Theme{Tone: tone}
		for _, p := range pairs {
			got := contrast(th.Color(p[0], 0), th.Color(p[1], 0))
			assert.GreaterOrEqual(t, got, least, "%s: %s on %s", tone, p[0], p[1])
		}
	}
}

func TestATextAt200PercentIsTwiceAsHigh(t *testing.T) {
	one, two := look.Theme{}, look.Theme{Scale: 2}
	for _, s := range []fyne.ThemeSizeName{look.SizeCaption, look.SizeBody, look.SizeHeading} {
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
			w := look.Ballot(text)
			w.Resize(fyne.NewSize(180, 40))
			w.Resize(fyne.NewSize(180, w.MinSize().Height))
			var said strings.Builder
			for _, o := range test.WidgetRenderer(w).Objects() {
				if tx, ok := o.(*canvas.Text); ok {
					assert.LessOrEqual(t, tx.Position().X+look.Ballot(strings.TrimRight(tx.Text, " ")).MinSize().Width, float32(10000))
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
	run := func(text string, m look.Mark) look.Run { return look.Run{Text: text, Face: look.Serif, Mark: m} }
	assert.Equal(t, []look.Run{run("Ruth-Anne Skarsga", 0), run("a", look.Differs), run("rd", 0)},
		look.MarkedRuns("Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", look.Second, look.Serif))
	assert.Equal(t, []look.Run{run("Ruth-Anne Skarsga", 0), {Face: look.Serif, Mark: look.Gap}, run("rd", 0)},
		look.MarkedRuns("Ruth-Anne Skarsgard", "Ruth-Anne Skarsgaard", look.Primary, look.Serif))
	assert.Equal(t, []look.Run{run("Escriban", 0), run("о", look.Differs)},
		look.MarkedRuns("Escribanо", "Escribano", look.Primary, look.Serif), "the Cyrillic letter is marked, not replaced")
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
		"out of sight in a scroller": {container.NewVScroll(look.Column(0, look.Title("a"), look.Title("b"), look.Title("c"),
			look.Title("d"), look.Title("e"), look.Title("f"))), 0},
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
	a := look.NewAction(look.Next, "Seal", "", "", func() { done++ })
	w := test.NewTempWindow(t, a)
	w.Canvas().Focus(a)
	test.Tap(a)
	a.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	a.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	require.Equal(t, 3, done)
	a.Disable()
	test.Tap(a)
	a.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Equal(t, 3, done)
}
