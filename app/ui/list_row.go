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

// RowList is a list of ListRows, of which only those in sight are drawn.
type RowList struct {
	widget.List
	// OnKey and OnRune get the keys that are typed into it.
	OnKey  func(*fyne.KeyEvent)
	OnRune func(rune)
	at     func() int
}

// NewRowList makes a list. Draw shows a row, at returns the chosen one, and choose is called
// when another row is chosen.
func NewRowList(length func() int, draw func(row int, r *ListRow), at func() int, choose func(row int)) *RowList {
	l := &RowList{OnKey: func(*fyne.KeyEvent) {}, at: at}
	l.OnRune = func(r rune) { RuneToWindow(l, r) }
	l.Length = length
	l.CreateItem = func() fyne.CanvasObject { return NewListRow() }
	l.UpdateItem = func(i widget.ListItemID, o fyne.CanvasObject) {
		if i < length() {
			draw(i, o.(*ListRow))
		}
	}
	l.OnSelected = func(i widget.ListItemID) {
		if i < length() {
			choose(i)
		}
	}
	l.ExtendBaseWidget(l)
	return l
}

// FocusGained and FocusLost leave the drawing to the selection.
func (l *RowList) FocusGained() {}
func (l *RowList) FocusLost()   {}

// Resize keeps the chosen row in sight: if a row was chosen before the list had its size, the
// list has scrolled too far.
func (l *RowList) Resize(size fyne.Size) {
	if size != l.Size() {
		l.List.Resize(size)
		l.InSight()
	}
}

// InSight scrolls to the chosen row.
func (l *RowList) InSight() {
	l.ScrollToTop()
	if at := l.at(); at > 1 {
		l.ScrollTo(at)
	}
}

// Turn chooses the row so many below the chosen one; where there is none it does nothing.
func (l *RowList) Turn(by int) {
	if to := l.at() + by; to >= 0 && to < l.Length() {
		l.Select(to)
	}
}

// TypedRune and TypedKey pass on what is typed.
func (l *RowList) TypedRune(r rune)          { l.OnRune(r) }
func (l *RowList) TypedKey(e *fyne.KeyEvent) { l.OnKey(e) }

// Show shows something, or hides it.
func Show(o fyne.CanvasObject, visible bool) {
	if visible {
		o.Show()
	} else {
		o.Hide()
	}
}
