package app

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// narrow reports whether the text is so large that two things side by side would
// have no room.
func narrow(width float32) bool { return width < 45*theme.TextSize() }

// twoParts sets two things side by side, the first with a share of the width; where
// large text leaves no room for that, one below the other.
type twoParts struct{ share float32 }

func (l *twoParts) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(400, 200) }
func (l *twoParts) Layout(o []fyne.CanvasObject, size fyne.Size) {
	const gap = 14
	if narrow(size.Width) {
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

// barRow sets how far the work is beside the filter and its actions. Large text
// leaves no room for the strip: the head of the list says the same in words.
type barRow struct{ p *differencesPlace }

func (barRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	s := o[1].MinSize()
	if o[0].Visible() {
		s.Height = max(s.Height, o[0].MinSize().Height)
	}
	return s
}

func (l barRow) Layout(o []fyne.CanvasObject, size fyne.Size) {
	gap := 3 * theme.Padding()
	left := (size.Width - gap) * 0.4
	if is := narrow(size.Width); is != l.p.narrow {
		l.p.narrow = is
		show(o[0], !is)
		l.p.say()
	}
	if l.p.narrow {
		left = -gap
	}
	high := o[1].MinSize().Height
	if o[0].Visible() {
		o[0].Resize(fyne.NewSize(left, o[0].Size().Height))
		own := o[0].MinSize().Height
		o[0].Resize(fyne.NewSize(left, own))
		o[0].Move(fyne.NewPos(0, max(0, (size.Height-own)/2)))
	}
	o[1].Move(fyne.NewPos(left+gap, max(0, (size.Height-high)/2)))
	o[1].Resize(fyne.NewSize(size.Width-left-gap, high))
}
