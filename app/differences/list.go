package differences

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// findingList is the list; only its visible rows are drawn.
type findingList struct {
	widget.List
	p *Place
}

func newFindingList(p *Place) *findingList {
	l := &findingList{p: p}
	l.Length = func() int { return len(p.rows) }
	l.CreateItem = func() fyne.CanvasObject { return ui.NewListRow() }
	l.UpdateItem = func(i widget.ListItemID, o fyne.CanvasObject) {
		if i < len(p.rows) {
			draw(o.(*ui.ListRow), p.rows[i])
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

// draw shows a row of the list: a finding in two lines, or the head of a group.
func draw(r *ui.ListRow, row findings.Row) {
	if row.Head != "" {
		r.Set("", "", "", ui.Run{Text: finding.Count(row.Size, "finding"), Color: ui.ColorFaded},
			ui.Run{Text: finding.Capital(row.Head), Face: ui.SansItalic})
		return
	}
	word, mark := findings.Lead(row.Item)
	r.Set(ui.Icon(mark), ui.ColorAccent, ui.Icon(findings.StateIcon(row.Item.Status)),
		ui.Run{Text: about(row.Item), Face: ui.Serif},
		ui.Run{Text: finding.Capital(word), Face: ui.SansBold},
		ui.Run{Text: "  " + row.Item.Status.Words(), Color: ui.ColorFaded})
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
