package ui

import "fyne.io/fyne/v2/widget"

// BusyBar is a bar that moves while something is done.
type BusyBar struct{ Bar *widget.ProgressBarInfinite }

// NewBusyBar makes a bar that does not move yet.
func NewBusyBar() BusyBar {
	b := widget.NewProgressBarInfinite()
	b.Stop()
	return BusyBar{b}
}

// Start moves the bar. Once drawn, a bar counts as running even if it does not move, so it
// has to be stopped first.
func (b BusyBar) Start() { b.Bar.Stop(); b.Bar.Start() }

// Stop stops the bar.
func (b BusyBar) Stop() { b.Bar.Stop() }
