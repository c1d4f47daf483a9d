package differences

import (
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
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
	switch e.Name {
	case fyne.KeyUp:
		p.move(-1)
	case fyne.KeyDown:
		p.move(1)
	case fyne.KeyReturn, fyne.KeyEnter:
		p.outcomes()
	case fyne.KeyEscape:
		if p.filter.Text != "" {
			p.filter.SetText("")
		}
		ui.ToWindow(p.table, e) // which goes back, where the finding was followed from
	default:
		ui.ToWindow(p.table, e)
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
	r.Set(ui.Icon(mark), ui.ColorAccent, ui.Icon(findings.IconOf(row.Item, row.ToSign)),
		ui.Run{Text: about(row.Item), Face: ui.Serif},
		ui.Run{Text: finding.Capital(word), Face: ui.SansBold},
		ui.Run{Text: "  " + findings.State(row.Item, row.ToSign, true), Color: ui.ColorFaded})
}

// shortRanges is up to how many ranges of precincts are named in a line; more are counted.
const shortRanges = 2

// about is what a finding is about, in a line.
func about(i *review.Item) string {
	var parts []string
	for _, s := range []string{i.Contest, i.Choice, i.Unit, i.Site, i.Style} {
		if s != "" && len(parts) < 2 {
			parts = append(parts, s)
		}
	}
	if ranges := natural.Ranges(i.Precincts); len(ranges) > shortRanges {
		parts = append(parts, english.Plural(len(i.Precincts), "precinct", ""))
	} else if len(ranges) > 0 {
		parts = append(parts, strings.Join(ranges, ", "))
	}
	if len(parts) == 0 {
		return i.Message
	}
	return strings.Join(parts, " · ")
}
