package differences

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"

	"counterproof/app/ui"
)

// barRow sets how far the work is beside the filter and its actions. Large text
// leaves no room for the strip: the head of the list says the same in words.
type barRow struct{ p *Place }

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
	if is := ui.IsNarrow(size.Width); is != l.p.narrow {
		l.p.narrow = is
		ui.Show(o[0], !is)
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
