package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// Cautions are what the program can and cannot do, in the words of every report.
const Cautions = "Counterproof checks a configuration; it does not certify one. It takes the place of no test that " +
	"law or a board's procedure requires (ballot proofing, logic and accuracy testing, sealing), and local law and the " +
	"board's own procedures come first. It cannot see target positions, timing marks, audio or touch screens, nor " +
	"whether the proof itself agrees with the certified documents where only the proof was keyed: the proof and the " +
	"export usually come from one database, so there agreement proves printing, not set-up. It is no certified component " +
	"of a voting system and claims no legal status for its signatures. A seal in it closes an entry in the case file; it " +
	"is no numbered seal on a machine. It has no network access and never reads or writes a memory card or an EMS."

// NewCautions sets them with a sign before them.
func NewCautions(size fyne.ThemeSizeName) fyne.CanvasObject {
	return Cells(2, []float32{0, 1}, NewDrawing(StateWarning, theme.ColorNameWarning),
		NewWords(size, Run{Text: "Cautions. ", Face: SansBold}, Run{Text: Cautions}).Wrapped())
}
