// Empty is a window with nothing in it: what the benchmark of the first window measures against.
package main

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"fyne.io/fyne/v2/container"
)

func main() {
	w := app.NewWithID("org.counterproof.empty").NewWindow("Empty")
	w.SetContent(container.NewWithoutLayout())
	w.Resize(fyne.NewSize(1280, 800))
	w.ShowAndRun()
}
