package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// BusyBar is a bar that moves while something is done, and shows the share that is done once that is
// known.
type BusyBar struct {
	Bar *widget.ProgressBarInfinite
	// Content shows Bar, or the share in its place.
	Content *fyne.Container
	done    *widget.ProgressBar
	words   *Words
}

// NewBusyBar makes a bar that does not move yet.
func NewBusyBar() BusyBar {
	b := widget.NewProgressBarInfinite()
	b.Stop()
	done := widget.NewProgressBar()
	done.TextFormatter = func() string { return "" } // on the bar it could not be read
	return BusyBar{b, container.NewStack(b), done, NewWords(SizeBody, Run{Text: "100 %", Face: SansBold})}
}

// Start moves the bar. Once drawn, a bar counts as running even if it does not move, so it
// has to be stopped first.
func (b BusyBar) Start() { b.Bar.Stop(); b.Bar.Start() }

// Stop stops the bar.
func (b BusyBar) Stop() { b.Bar.Stop() }

// Share shows the share that is done, from 0 to 1, in percent.
func (b BusyBar) Share(done float64) {
	b.Bar.Stop()
	b.done.SetValue(done)
	b.words.Set(Run{Text: fmt.Sprintf("%.0f %%", done*100), Face: SansBold})
	b.Content.Objects = []fyne.CanvasObject{MiddleCells(2, []float32{1, 0}, b.done, b.words)}
	b.Content.Refresh()
}
