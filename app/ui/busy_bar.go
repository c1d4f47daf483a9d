package ui

import "fyne.io/fyne/v2/widget"

// BusyBar is a bar that moves while something is done.
type BusyBar struct{ Bar *widget.ProgressBarInfinite }

// NewBusyBar makes a bar that stands still.
func NewBusyBar() BusyBar {
	b := widget.NewProgressBarInfinite()
	b.Stop()
	return BusyBar{b}
}

// Start moves the bar. Once it is drawn it takes itself for running, and has to be
// stopped first.
func (b BusyBar) Start() { b.Bar.Stop(); b.Bar.Start() }

// Stop has it stand still.
func (b BusyBar) Stop() { b.Bar.Stop() }
