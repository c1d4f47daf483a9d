package differences

import (
	"slices"
	"strconv"

	"fyne.io/fyne/v2"

	"counterproof/app/ui"
	"counterproof/checks/review"
)

// orders are what a side lists in its order, and the other side, where the order is what differs.
func orders(i *review.Item, side ui.Side) (own, other []string) {
	if side == ui.Primary {
		return i.Orders[0], i.Orders[1]
	}
	return i.Orders[1], i.Orders[0]
}

// numbered is a list with the place of each thing before it. What the other side has at another place
// is marked.
func numbered(own, other []string) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for n, words := range own {
		run := ui.Run{Text: words, Face: ui.Serif}
		if n >= len(other) || other[n] != words {
			run.Mark = ui.Differs
		}
		rows = append(rows, ui.Cells(1.5, []float32{0, 1},
			ui.NewWords(ui.SizeBody, ui.Run{Text: strconv.Itoa(n + 1), Face: ui.SansBold, Color: ui.ColorFaded}),
			ui.NewWords(ui.SizeBody, run).Wrapped()))
	}
	return ui.Column(0.4, slices.Clip(rows)...)
}
