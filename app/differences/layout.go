package differences

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
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
		l.p.fitBar()
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

// lay puts the place together once a case may be compared.
func (p *Place) lay() {
	if len(p.body.Objects) > 0 {
		return
	}
	bar := container.New(barRow{p}, p.progress, ui.MiddleCells(1.5, []float32{1, 0, 0, 0}, p.filter,
		p.export, p.amendment, p.toSignBar))
	left := container.NewStack(ui.NewSurface(ui.ColorPaper, ui.ColorRule),
		container.NewBorder(ui.Inset(2, 1, ui.Column(1, p.shown, p.toSign)), nil, nil, nil, p.table))
	split := ui.TwoParts(0.34, left, p.scroll)
	p.body.Objects = []fyne.CanvasObject{ui.Inset(3, 2,
		container.NewBorder(ui.Column(1.5, bar, ui.Rule()), nil, nil, nil, split))}
	p.body.Refresh()
}

// filterHint stands in the empty filter.
const filterHint = "filter: words, check: …"

// fitBar shows the actions that have room: with large text, To sign in place of Export and Amendment,
// which are in the menu and on their keys too.
func (p *Place) fitBar() {
	listed := p.list != nil && len(p.list.Snapshot.Collected) > 0
	ui.Show(p.toSign, listed && !p.narrow)
	ui.Show(p.toSignBar, listed && p.narrow)
	ui.Show(p.export, !listed || !p.narrow)
	ui.Show(p.amendment, !p.narrow)
	p.filter.SetPlaceHolder(filterHint)
	if p.narrow {
		p.filter.SetPlaceHolder("filter")
	}
}
