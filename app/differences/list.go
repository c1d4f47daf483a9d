package differences

import (
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// newList is the list of findings.
func (p *Place) newList() *ui.RowList {
	l := ui.NewRowList(func() int { return len(p.rows) }, func(i int, r *ui.ListRow) { draw(r, p.rows[i]) },
		func() int { return p.at }, p.choose)
	l.OnRune, l.OnKey = p.typedRune, p.typedKey
	return l
}

// choose brings a finding into view; for the head of a group, the first one below it.
func (p *Place) choose(i int) {
	if p.rows[i].Head != "" {
		p.table.Select(i + 1)
		return
	}
	changed := p.chosen != p.rows[i].Item.ID
	p.at, p.chosen = i, p.rows[i].Item.ID
	if changed {
		p.whole = false
		p.show()
	}
}

// typedKey moves through the findings.
func (p *Place) typedKey(e *fyne.KeyEvent) {
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
		r.Set("", "", "", ui.Run{Text: english.Plural(row.Size, "finding", ""), Color: ui.ColorFaded},
			ui.Run{Text: finding.Capital(row.Head), Face: ui.SansItalic})
		return
	}
	word, mark := findings.Lead(row.Item)
	status := row.Item.Status.Words()
	if row.ToSign {
		status = "to be signed"
	}
	r.Set(ui.Icon(mark), ui.ColorAccent, ui.Icon(findings.StateIcon(row.Item.Status)),
		ui.Run{Text: about(row.Item), Face: ui.Serif},
		ui.Run{Text: finding.Capital(word), Face: ui.SansBold},
		ui.Run{Text: "  " + status, Color: ui.ColorFaded})
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
		parts = append(parts, english.Plural(n, "precinct", ""))
	}
	if len(parts) == 0 {
		return i.Message
	}
	return strings.Join(parts, " · ")
}
