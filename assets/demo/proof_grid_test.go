package demo_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/sheets"
)

// grid lays out parties in rows and offices in columns. The last row is for write-ins.
type grid struct {
	*paper
	parties []sheets.PartyRow
	offices []office
	wide    float64 // of a column
	spans   []int   // how many columns each office has
	cells   [][][]sheets.ChoiceRow
}

// newGrid puts each choice into the row of its first party line, in the order in which the ballot
// has them.
func newGrid(t *testing.T, p *paper, s *sheets.Sheets, offices []office) *grid {
	t.Helper()
	g := &grid{paper: p, parties: s.Parties, offices: offices}
	columns := 0
	for _, o := range offices {
		rows := make([][]sheets.ChoiceRow, len(g.parties)+1)
		for _, c := range o.choices {
			row := len(g.parties)
			if c.WriteIn == "" && len(lines(c)) > 0 {
				row = slices.IndexFunc(g.parties, func(x sheets.PartyRow) bool { return x.Party == lines(c)[0] })
				require.GreaterOrEqual(t, row, 0, "the party of %s", c.Name)
			}
			rows[row] = append(rows[row], c)
		}
		span := 1
		if o.Kind == "candidate" {
			for _, row := range rows {
				span = max(span, len(row))
			}
		}
		g.cells, g.spans = append(g.cells, rows), append(g.spans, span)
		columns += span
	}
	g.wide = (p.wide - 2*margin - rowHead) / float64(columns)
	return g
}

// draw draws the grid from y down, and returns where it ends.
func (g *grid) draw(y float64) float64 {
	top := y
	y += bandHigh
	heads := 0.0
	for i, o := range g.offices {
		heads = max(heads, g.header(0, 0, o, g.width(i), false))
	}
	x := margin + rowHead
	for i, o := range g.offices {
		g.header(x, y, o, g.width(i), true)
		x += g.width(i)
	}
	y += heads
	body := y
	bottoms := []float64{}
	for row := range len(g.parties) + 1 {
		high := g.rowHigh(row)
		g.rowAt(row, y, high)
		y += high
		bottoms = append(bottoms, y)
	}
	g.questions(body)
	for i, end := range bottoms {
		thick := hair
		if i == len(bottoms)-1 {
			thick = bold
		}
		g.across(end, thick)
	}
	g.line(margin, body, g.paper.wide-margin, body, bold)
	g.rules(top, body, y)
	return y
}

func (g *grid) width(i int) float64 { return float64(g.spans[i]) * g.wide }

// header draws the head of an office, or only measures it.
func (g *grid) header(x, y float64, o office, wide float64, draw bool) float64 {
	high := padding
	for _, part := range []struct {
		style
		words string
	}{{nameType, o.Title}, {wordingType, o.Subtitle}, {smallType, "Vote for " + o.VoteFor}} {
		if draw {
			g.set(x+padding, y+high, part.style, part.words, wide-2*padding)
		}
		high += g.tall(part.style, part.words, wide-2*padding)
	}
	return high + padding
}

// cellHigh is how high a choice is.
func (g *grid) cellHigh(c sheets.ChoiceRow) float64 {
	return 2*padding + codeType.height() + 0.4 + g.tall(nameType, c.Name, g.wide-2*padding)
}

func (g *grid) rowHigh(row int) float64 {
	high := leastRow
	if row < len(g.parties) {
		high = max(high, 2*padding+codeType.height()+g.tall(smallType, g.parties[row].Name, rowHead-2*padding))
	}
	for i, o := range g.offices {
		if o.Kind != "candidate" {
			continue
		}
		for _, c := range g.cells[i][row] {
			high = max(high, g.cellHigh(c))
		}
	}
	return high
}

// rowAt draws a party's row.
func (g *grid) rowAt(row int, y, high float64) {
	if row < len(g.parties) {
		at := g.set(margin+padding, y+padding, labelType, g.parties[row].Party, rowHead)
		g.set(margin+padding, at, smallType, g.parties[row].Name, rowHead-2*padding)
	}
	x := margin + rowHead
	for i, o := range g.offices {
		for n := 0; n < g.spans[i] && o.Kind == "candidate"; n++ {
			at := x + float64(n)*g.wide
			if n >= len(g.cells[i][row]) {
				g.shade(at, y, g.wide, high)
				continue
			}
			c := g.cells[i][row][n]
			g.target(at+padding, y+padding+0.5)
			if c.WriteIn != "" {
				g.set(at+padding+oval, y+padding, nameType, c.Name, g.wide)
				g.line(at+padding, y+high-padding-0.6, at+g.wide-padding, y+high-padding-0.6, hair)
				continue
			}
			top := g.set(at+padding+oval, y+padding, codeType, strings.Join(lines(c), ", "), g.wide)
			g.set(at+padding, top+0.4, nameType, c.Name, g.wide-2*padding)
		}
		x += g.width(i)
	}
}

// questions draws the offices that have answers instead of candidates, over all rows.
func (g *grid) questions(top float64) {
	x := margin + rowHead
	for i, o := range g.offices {
		if o.Kind != "candidate" {
			at := g.set(x+padding, top+padding, wordingType, o.Text, g.width(i)-2*padding) + 2
			for _, c := range o.choices {
				g.target(x+padding, at+0.9)
				at = g.set(x+padding+oval, at, nameType, c.Name, g.width(i)) + 1.5
			}
		}
		x += g.width(i)
	}
}

// across draws a rule below a row, but not through a question.
func (g *grid) across(y, thick float64) {
	x := margin
	from := x
	x += rowHead
	for i, o := range g.offices {
		if o.Kind != "candidate" && thick == hair {
			g.line(from, y, x, y, thick)
			from = x + g.width(i)
		}
		x += g.width(i)
	}
	g.line(from, y, x, y, thick)
}

// rules draws the headings above the offices, and the rules between the columns.
func (g *grid) rules(top, body, bottom float64) {
	x := margin + rowHead
	g.line(x, top, x, bottom, bold)
	for i, o := range g.offices {
		if i == 0 || o.heading != g.offices[i-1].heading {
			wide := 0.0
			for k := i; k < len(g.offices) && g.offices[k].heading == o.heading; k++ {
				wide += g.width(k)
			}
			g.band(x, top, wide, o.heading)
			if i > 0 {
				g.line(x, top, x, bottom, bold)
			}
		} else {
			g.line(x, top+bandHigh, x, bottom, 0.3)
		}
		for n := 1; n < g.spans[i]; n++ {
			g.line(x+float64(n)*g.wide, body, x+float64(n)*g.wide, bottom, hair)
		}
		x += g.width(i)
	}
	g.line(x, top, x, bottom, bold)
	g.line(margin, body, margin, bottom, bold)
}
