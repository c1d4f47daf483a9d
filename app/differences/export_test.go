package differences

import (
	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/review"
)

// What the tests of the place in the window see of its inside.

func About(i *review.Item) string         { return about(i) }
func (p *Place) Filter() *ui.Field        { return p.filter }
func (p *Place) Item() *review.Item       { return p.item() }
func (p *Place) List() *findings.List     { return p.list }
func (p *Place) Rows() []findings.Row     { return p.rows }
func (p *Place) Select(row int)           { p.table.Select(row) }
func (p *Place) SetList(l *findings.List) { p.list = l }

func (p *Place) Choose(id string) {
	p.chosen = id
	p.refilter()
}

// Flowing is what is done to the text of a check.
var Flowing = flowing
