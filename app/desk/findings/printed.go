package findings

import (
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/paper"
)

// Printed is the list of differences as it is printed: the rows that a filter leaves, each in the
// words of its finding.
func Printed(rows []Row, filter string) *paper.Page {
	p := &paper.Page{Title: "Differences", Empty: "There is none in this list."}
	n, left := 0, 0 // left of the group whose header came last
	for _, row := range rows {
		if row.Head != "" {
			p.Sections = append(p.Sections, paper.Section{Head: row.Head})
			left = row.Size
			continue
		}
		if left == 0 {
			p.Sections = append(p.Sections, paper.Section{})
			left = 1
		}
		n++
		left--
		s := &p.Sections[len(p.Sections)-1]
		s.Lines = append(s.Lines, paper.Line{Left: row.Item.Message, Right: string(row.Item.Grade) + ", " +
			row.Item.Status.Words()})
	}
	p.Note = english.Plural(n, "finding", "") + ". A working list, not the report that is signed."
	if filter != "" {
		p.Note += " Only those that fit the filter: " + filter
	}
	return p
}
