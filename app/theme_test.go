package app_test

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
)

// texts are all texts of a tree.
func texts(o fyne.CanvasObject) (out []*canvas.Text) {
	if t, ok := o.(*canvas.Text); ok && t.Text != "" {
		out = append(out, t)
	}
	for _, c := range picture.Children(o) {
		out = append(out, texts(c)...)
	}
	return out
}

// A change of tone and size reaches the places that are not in view: each looks right when it is
// gone to.
func TestEveryPlaceFollowsAChangeOfTheme(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Fyne().Resize(windowtest.Plain.Size)
	w.Compare()
	for _, p := range w.Places() {
		w.Go(p.Name())
	}
	for _, from := range w.Places() {
		w.Unlock("p1", "p2") // the clock of tests runs fast, and idle keys lock
		w.SetTone(ui.Light)
		w.SetText(1)
		w.Go(from.Name())
		w.SetTone(ui.Dark)
		w.SetText(1.5)
		th := ui.Theme{Tone: ui.Dark, Scale: 1.5}
		sizes := []float32{th.Size(ui.SizeCaption), th.Size(ui.SizeBody), th.Size(ui.SizeHeading), th.Size(ui.SizeTitle)}
		for _, p := range w.Places() {
			w.Go(p.Name())
			all := texts(p.Content())
			require.NotEmpty(t, all)
			for _, text := range all {
				assert.NotEqual(t, ui.Theme{}.Color(ui.ColorInk, 0), text.Color, "%q in %s, from %s", text.Text, p.Name(),
					from.Name())
				assert.True(t, slices.Contains(sizes, text.TextSize), "%q in %s has size %v", text.Text, p.Name(), text.TextSize)
			}
		}
	}
}
