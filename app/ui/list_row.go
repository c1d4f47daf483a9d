package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// ListRow is a row of a list in two lines, with a mark before it and a state behind it.
type ListRow struct {
	widget.BaseWidget
	mark, state *Drawing
	lead, words *Words
	content     fyne.CanvasObject
}

// NewListRow makes a row.
func NewListRow() *ListRow {
	r := &ListRow{mark: NewDrawing(MarkSpelling, ColorAccent), state: NewDrawing(StateOpen, ColorInk),
		lead:  NewWords(SizeBody, Run{Text: "lead", Face: SansBold}).Short(),
		words: NewWords(SizeCaption, Run{Text: "words"}).Short()}
	r.content = Inset(2, 0.8, MiddleCells(2, []float32{0, 1, 0}, r.mark, Column(0.2, r.lead, r.words), r.state))
	r.ExtendBaseWidget(r)
	return r
}

// CreateRenderer is for Fyne.
func (r *ListRow) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(r.content) }

// Set says what the row shows. A mark or a state that is empty is not drawn.
func (r *ListRow) Set(mark Icon, color fyne.ThemeColorName, state Icon, words Run, lead ...Run) {
	Show(r.mark, mark != "")
	if mark != "" {
		r.mark.Set(mark, color)
	}
	Show(r.state, state != "")
	if state != "" {
		r.state.Set(state, ColorInk)
	}
	r.lead.Set(lead...)
	r.words.Set(words)
	r.content.Refresh()
}

// Show shows something, or hides it.
func Show(o fyne.CanvasObject, visible bool) {
	if visible {
		o.Show()
	} else {
		o.Hide()
	}
}
