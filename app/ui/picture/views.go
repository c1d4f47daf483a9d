package picture

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"counterproof/app/ui"
)

// View is how a screen is looked at.
type View struct {
	Size  fyne.Size
	Tone  ui.Tone
	Scale float32
}

// String names the view: "light-1280x800", "dark-1920x1080-200".
func (v View) String() string {
	s := fmt.Sprintf("%s-%.0fx%.0f", v.Tone, v.Size.Width, v.Size.Height)
	if v.Scale > 1 {
		s += fmt.Sprintf("-%.0f", v.Scale*100)
	}
	return s
}

// file is the name of a picture of a screen.
func (v View) file(screen string) string { return screen + "-" + v.String() + ".png" }

// Keeps reports whether the picture of a screen in this view is one of Kept.
func (v View) Keeps(screen string) bool { return Kept[v.file(screen)] }

// The sizes of a window: an old laptop or projector, a usual screen, a large one.
var sizes = []fyne.Size{fyne.NewSize(1024, 700), fyne.NewSize(1280, 800), fyne.NewSize(1920, 1080)}

// Views are the ways in which every screen must be readable: each size of window, each
// tone and text at 100, 150 and 200 %, with CI=true. Without it there are those that
// show most, and in the short run the narrowest alone.
func Views() (out []View) {
	switch {
	case testing.Short():
		return []View{{sizes[0], ui.Light, 2}}
	case os.Getenv("CI") != "true":
		return []View{{sizes[1], ui.Light, 1}, {sizes[1], ui.Dark, 1}, {sizes[1], ui.Contrast, 1}, {sizes[1], ui.Light, 2},
			{sizes[0], ui.Contrast, 1.5}, {sizes[0], ui.Light, 2}}
	}
	for _, size := range sizes {
		for _, tone := range ui.Tones {
			for _, scale := range []float32{1, 1.5, 2} {
				out = append(out, View{size, tone, scale})
			}
		}
	}
	return out
}

// SkipShort leaves a screen out of the short run, unless a picture of it is kept: setting up
// each screen's case and laying it out takes half a second, and those show one of each place.
func SkipShort(t testing.TB, screen string) {
	t.Helper()
	if !testing.Short() {
		return
	}
	for file := range Kept {
		if strings.HasPrefix(file, screen+"-") {
			return
		}
	}
	t.Skip("one screen of each place is measured: all of them are long; run without -short")
}

// Kept are the pictures that are kept, at most twelve: they show the look, one of each
// place, a sheet, each tone and large text. What can be measured is measured (Faults).
var Kept = map[string]bool{
	"case-first-light-1280x800.png":               true,
	"rekey-keying-light-1280x800.png":             true,
	"rekey-odd-light-1280x800-200.png":            true,
	"after-differences-light-1280x800.png":        true,
	"after-differences-dark-1280x800.png":         true,
	"after-differences-decide-light-1280x800.png": true,
	"after-units-contrast-1280x800.png":           true,
	"after-sign-signed-light-1280x800.png":        true,
	"test-deck-typing-light-1280x800.png":         true,
	"specimen-light-1280x800.png":                 true,
}
