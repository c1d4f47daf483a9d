package ui_test

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"

	"counterproof/app/ui"
	"counterproof/app/ui/picture"
)

// A row that is selected, pointed at or pressed has its colour laid over the paper, under
// text that may be faded or accented. WCAG 2.2, success criterion 1.4.3.
func TestTextStandsOutOnARowThatIsSelected(t *testing.T) {
	for _, tone := range ui.Tones {
		th := ui.Theme{Tone: tone}
		paper := th.Color(ui.ColorPaper, 0)
		for _, veil := range []fyne.ThemeColorName{theme.ColorNameSelection, theme.ColorNameHover, theme.ColorNamePressed,
			theme.ColorNameFocus} {
			c := th.Color(veil, 0).(color.NRGBA)
			mix := func(top uint8, under uint32) uint8 {
				return uint8((uint32(top)*uint32(c.A) + (under>>8)*(0xFF-uint32(c.A))) / 0xFF)
			}
			r, g, b, _ := paper.RGBA()
			ground := color.NRGBA{R: mix(c.R, r), G: mix(c.G, g), B: mix(c.B, b), A: 0xFF}
			for _, ink := range []fyne.ThemeColorName{ui.ColorInk, ui.ColorFaded, ui.ColorAccent} {
				got := picture.Contrast(th.Color(ink, 0), ground)
				assert.GreaterOrEqual(t, got, picture.LeastContrast, "%s: %s on %s", tone, ink, veil)
			}
		}
	}
}
