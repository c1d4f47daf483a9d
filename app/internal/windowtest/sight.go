package windowtest

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"counterproof/app/ui/picture"
)

// Sees reports whether a text can be read as a whole on the window, without scrolling.
func (w *Window) Sees(text string) bool {
	size := w.Fyne().Canvas().Size()
	var walk func(o fyne.CanvasObject, at, from, to fyne.Position) bool
	walk = func(o fyne.CanvasObject, at, from, to fyne.Position) bool {
		if !o.Visible() {
			return false
		}
		at = at.Add(o.Position())
		end := at.Add(o.Size())
		if t, ok := o.(*canvas.Text); ok && strings.Contains(t.Text, text) {
			return at.X >= from.X-1 && at.Y >= from.Y-1 && at.X+t.MinSize().Width <= to.X+1 && end.Y <= to.Y+1
		}
		if _, ok := o.(*container.Scroll); ok {
			from = fyne.NewPos(max(from.X, at.X), max(from.Y, at.Y))
			to = fyne.NewPos(min(to.X, end.X), min(to.Y, end.Y))
		}
		for _, c := range picture.Children(o) {
			if walk(c, at, from, to) {
				return true
			}
		}
		return false
	}
	return walk(w.Fyne().Content(), fyne.Position{}, fyne.Position{}, fyne.NewPos(size.Width, size.Height))
}
