package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
)

// IsNarrow reports whether the text is so large that two things side by side would
// have no room.
func IsNarrow(width float32) bool { return width < 45*theme.TextSize() }

// TwoParts sets two things side by side, the first with a share of the width; where
// large text leaves no room for that, one below the other.
func TwoParts(share float32, first, second fyne.CanvasObject) *fyne.Container {
	return container.New(&twoParts{share}, first, second)
}

type twoParts struct{ share float32 }

func (l *twoParts) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(400, 200) }
func (l *twoParts) Layout(o []fyne.CanvasObject, size fyne.Size) {
	const gap = 14
	if IsNarrow(size.Width) {
		// Two findings stay in sight above the facing pages.
		high := min(size.Height*0.45, 10.4*theme.TextSize())
		o[0].Move(fyne.NewPos(0, 0))
		o[0].Resize(fyne.NewSize(size.Width, high))
		o[1].Move(fyne.NewPos(0, high+gap))
		o[1].Resize(fyne.NewSize(size.Width, size.Height-high-gap))
		return
	}
	first := size.Width * l.share
	o[0].Move(fyne.NewPos(0, gap/2))
	o[0].Resize(fyne.NewSize(first, size.Height-gap/2))
	o[1].Move(fyne.NewPos(first+gap, gap/2))
	o[1].Resize(fyne.NewSize(size.Width-first-gap, size.Height-gap/2))
}
