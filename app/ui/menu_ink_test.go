package ui_test

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/ui"
	"counterproof/app/ui/picture"
)

// The keys of what can be done stand in a menu as dark as its words, in each tone.
func TestTheKeysInAMenuCanBeRead(t *testing.T) {
	for _, tone := range ui.Tones {
		a := test.NewTempApp(t)
		a.Settings().SetTheme(ui.Theme{Tone: tone, Scale: 1})
		item := fyne.NewMenuItem("New case", nil)
		item.Shortcut = &desktop.CustomShortcut{KeyName: fyne.KeyN, Modifier: fyne.KeyModifierControl}
		m := widget.NewMenu(fyne.NewMenu("", item))
		w := test.NewTempWindow(t, m)
		w.Resize(fyne.NewSize(300, 100))
		found := 0
		var walk func(o fyne.CanvasObject)
		walk = func(o fyne.CanvasObject) {
			if x, ok := o.(*canvas.Text); ok && x.Text != "" && x.Text != "New case" {
				found++
				c := color.NRGBAModel.Convert(x.Color).(color.NRGBA)
				assert.Greater(t, c.A, uint8(0xE0), "%s: %q", tone, x.Text)
			}
			for _, c := range picture.Children(o) {
				walk(c)
			}
		}
		walk(m)
		require.Positive(t, found)
		ink := ui.Theme{Tone: tone}.Color(ui.ColorInk, 0)
		r, g, b, alpha := ink.RGBA()
		assert.Equal(t, uint8(0xFF), uint8(alpha>>8), "it is opaque")
		assert.LessOrEqual(t, max(r, g, b), alpha, "and a colour that can be")
	}
}
