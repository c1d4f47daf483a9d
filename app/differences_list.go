package app

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/review"
)

// findingList is the list; only its visible rows are drawn.
type findingList struct {
	widget.List
	p *differencesPlace
}

func newFindingList(p *differencesPlace) *findingList {
	l := &findingList{p: p}
	l.Length = func() int { return len(p.rows) }
	l.CreateItem = func() fyne.CanvasObject { return newFindingRow() }
	l.UpdateItem = func(i widget.ListItemID, o fyne.CanvasObject) {
		if i < len(p.rows) {
			o.(*findingRow).set(p.rows[i])
		}
	}
	l.OnSelected = func(i widget.ListItemID) {
		if i >= len(p.rows) {
			return
		}
		if p.rows[i].Head != "" {
			i++
			l.Select(i)
			return
		}
		changed := p.chosen != p.rows[i].Item.ID
		p.at, p.chosen = i, p.rows[i].Item.ID
		if changed {
			p.whole = false
			p.show()
		}
	}
	l.ExtendBaseWidget(l)
	return l
}

// FocusGained and FocusLost leave the drawing to the selection.
func (l *findingList) FocusGained() {}
func (l *findingList) FocusLost()   {}

// Resize keeps the finding in view in sight: a list that was chosen in before it had
// its size has scrolled too far.
func (l *findingList) Resize(size fyne.Size) {
	if size == l.Size() {
		return
	}
	l.List.Resize(size)
	l.inSight()
}

func (l *findingList) inSight() {
	l.ScrollToTop()
	if l.p.at > 1 {
		l.ScrollTo(l.p.at)
	}
}

// TypedRune is for the letters of the place.
func (l *findingList) TypedRune(r rune) { l.p.typedRune(r) }

// TypedKey goes through the findings.
func (l *findingList) TypedKey(e *fyne.KeyEvent) {
	p := l.p
	page := p.scroll.Size().Height * 0.8
	switch e.Name {
	case fyne.KeyUp:
		p.move(-1)
	case fyne.KeyDown:
		p.move(1)
	case fyne.KeyPageUp:
		p.scroll.ScrollToOffset(fyne.NewPos(0, max(0, p.scroll.Offset.Y-page)))
	case fyne.KeyPageDown:
		p.scroll.ScrollToOffset(fyne.NewPos(0, p.scroll.Offset.Y+page))
	case fyne.KeyReturn, fyne.KeyEnter:
		p.outcomes()
	case fyne.KeyEscape:
		if p.filter.Text != "" {
			p.filter.SetText("")
		}
	case fyne.KeyF1:
		p.w.Help()
	}
}

// findingRow is one row of the list: a finding in two lines, or the head of a group.
type findingRow struct {
	widget.BaseWidget
	mark, state *ui.Drawing
	lead, words *ui.Words
	content     fyne.CanvasObject
}

func newFindingRow() *findingRow {
	r := &findingRow{mark: ui.NewDrawing(ui.MarkSpelling, ui.ColorAccent),
		state: ui.NewDrawing(ui.StateOpen, ui.ColorInk),
		lead:  ui.NewWords(ui.SizeBody, ui.Run{Text: "lead", Face: ui.SansBold}).Short(),
		words: ui.NewWords(ui.SizeCaption, ui.Run{Text: "words"}).Short()}
	r.content = ui.Inset(2, 0.8, ui.MiddleCells(2, []float32{0, 1, 0}, r.mark, ui.Column(0.2, r.lead, r.words),
		r.state))
	r.ExtendBaseWidget(r)
	return r
}

// CreateRenderer is for Fyne.
func (r *findingRow) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(r.content) }

func (r *findingRow) set(row findings.Row) {
	if row.Head != "" {
		r.mark.Hide()
		r.state.Hide()
		r.lead.Set(ui.Run{Text: upper(row.Head), Face: ui.SansItalic})
		n := "1 finding"
		if row.Size != 1 {
			n = fmt.Sprintf("%d findings", row.Size)
		}
		r.words.Set(ui.Run{Text: n, Color: ui.ColorFaded})
		r.content.Refresh()
		return
	}
	word, mark := findings.Lead(row.Item)
	r.mark.Show()
	r.state.Show()
	r.mark.Set(ui.Icon(mark), ui.ColorAccent)
	r.state.Set(stateIcon(row.Item.Status), ui.ColorInk)
	r.lead.Set(ui.Run{Text: upper(word), Face: ui.SansBold},
		ui.Run{Text: "  " + row.Item.Status.Words(), Color: ui.ColorFaded})
	r.words.Set(ui.Run{Text: about(row.Item), Face: ui.Serif})
	r.content.Refresh()
}

func stateIcon(s review.Status) ui.Icon {
	switch s {
	case review.StatusWaiting:
		return ui.StateDecided
	case review.StatusSettled, review.StatusCleared, review.StatusNoted:
		return ui.StateCleared
	case review.StatusReopened, review.StatusReferred:
		return ui.StateWarning
	}
	return ui.StateOpen
}

// about is what a finding is about, in a line.
func about(i *review.Item) string {
	var parts []string
	for _, s := range []string{i.Contest, i.Choice, i.Unit, i.Site, i.Style} {
		if s != "" && len(parts) < 2 {
			parts = append(parts, s)
		}
	}
	if n := len(i.Precincts); n == 1 {
		parts = append(parts, i.Precincts[0])
	} else if n > 1 {
		parts = append(parts, fmt.Sprintf("%d precincts", n))
	}
	if len(parts) == 0 {
		return i.Message
	}
	return strings.Join(parts, " · ")
}
