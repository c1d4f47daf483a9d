package report

import (
	"fmt"
	"math"

	"codeberg.org/go-pdf/fpdf"
)

// shape draws the mark of a cell, r its radius in mm. Marks differ in shape and in how
// much of them is filled, so that they are told apart in grey.
func (p *page) shape(cell byte, x, y, r float64) {
	f := p.f
	set := func(c colour) {
		f.SetFillColor(c[0], c[1], c[2])
		f.SetDrawColor(c[0], c[1], c[2])
		f.SetLineWidth(0.22)
	}
	set(black)
	switch cell {
	case CellAgreed:
		f.Circle(x, y, r*0.55, "F")
	case CellSettled:
		f.Polygon([]fpdf.PointType{{X: x, Y: y - r}, {X: x + r, Y: y}, {X: x, Y: y + r}, {X: x - r, Y: y}}, "F")
	case CellOpen:
		set(accent)
		f.Polygon([]fpdf.PointType{{X: x, Y: y - r*1.1}, {X: x + r*1.1, Y: y + r*0.9}, {X: x - r*1.1, Y: y + r*0.9}}, "F")
	case CellPart:
		f.Circle(x, y, r*0.85, "D")
		var half []fpdf.PointType
		for i := 0; i <= 12; i++ {
			a := math.Pi/2 + math.Pi*float64(i)/12
			half = append(half, fpdf.PointType{X: x + r*0.85*math.Cos(a), Y: y + r*0.85*math.Sin(a)})
		}
		f.Polygon(half, "F")
	case CellUnkeyed:
		f.Circle(x, y, r*0.85, "D")
	}
}

// glance draws the county at a glance: 60 styles on a page, contests named upwards.
func (p *page) glance(g glance) {
	const name, label = 24.0, 52.0 // width of a style's name, height of the contests' names
	row := 4.2
	if len(g.rows) > 30 {
		row = 2.95
	}
	columns := float64(len(g.contests) + 1)
	col := min(6.0, (measure-name-12)/columns)
	size := min(smallSize, row/point*0.78)
	head := func() {
		base := p.y + label
		for i := range len(g.contests) + 1 {
			x := left + name + 12 + (float64(i)+0.5)*col
			s := "Ballot as a whole"
			if i > 0 {
				s = fmt.Sprintf("%d  %s", g.first+i-1, g.contests[i-1])
			}
			s = shorten(settable(s), footSize, label-1)
			p.f.TransformBegin()
			p.f.TransformRotate(90, x, base-1)
			p.text(x, base-1+footSize*point*0.35, footSize, sans, s)
			p.f.TransformEnd()
		}
		p.ink(faded)
		p.text(left, base-1, footSize, sansBold, "Style")
		p.text(left+name, base-1, footSize, sansBold, "Precincts")
		p.ink(black)
		p.y = base
		p.rule(left, p.y, name+12+columns*col, 0.25)
		p.y += 0.6
	}
	p.legend()
	p.need(label + 1 + min(float64(len(g.rows)), 12)*row)
	head()
	for i, r := range g.rows {
		if p.room() < row {
			p.newPage()
			p.legend()
			head()
		}
		mid := p.y + row/2
		p.text(left, mid+size*point*0.34, size, sans, shorten(settable(r.Style), size, name-2))
		n := count(r.Precincts)
		p.text(left+name+9-sans.width(n, size*point), mid+size*point*0.34, size, sans, n)
		p.shape(r.Ballot[0], left+name+12+col/2, mid, min(row, col)*0.34)
		for k := range len(r.Cells) {
			p.shape(r.Cells[k], left+name+12+(float64(k)+1.5)*col, mid, min(row, col)*0.34)
		}
		p.y += row
		if (i+1)%5 == 0 {
			p.rule(left, p.y, name+12+columns*col, 0.12)
		}
	}
	p.y += 3
}

func (p *page) legend() {
	p.need(8)
	x := left
	for _, m := range cellMarks {
		p.shape(m.cell, x+1.3, p.y+2, 1.2)
		p.text(x+4, p.y+3, smallSize, sans, m.word)
		x += 4 + sans.width(m.word, smallSize*point) + 6
	}
	p.text(x, p.y+3, smallSize, sans, "empty: not on the ballot")
	p.y += 7
}

// ballot sets a ballot style in two columns, from a page of its own on.
func (p *page) ballot(b ballot) {
	p.part = "Ballot style " + b.title
	p.newPage()
	p.f.Bookmark(settable(p.part), 1, p.y)
	p.lines(left, sectionSize, lay(stress(p.part), sectionSize, measure))
	p.lines(left, bodySize, lay(say(b.under), bodySize, measure))
	for _, n := range b.notes {
		p.lines(left, bodySize, lay(n, bodySize, measure))
	}
	p.y += 1.5
	p.rule(left, p.y, measure, 0.5)
	p.y += 3
	const gutter = 9.0
	width := (measure - gutter) / 2
	start, column := p.y, 0
	deepest := start
	next := func() {
		deepest = max(deepest, p.y)
		if column == 0 {
			column, p.y = 1, start
			return
		}
		p.newPage()
		start, deepest, column = p.y, p.y, 0
	}
	for i := range b.contests {
		rows := contestRows(&b.contests[i], width)
		h := 0.0
		for _, r := range rows {
			h += r.height()
		}
		if p.room() < min(h, pageHeight-top-bottom-30) && p.y > start {
			next()
		}
		for _, r := range rows {
			if p.room() < r.height() && p.y > start {
				next()
			}
			x := left + float64(column)*(width+gutter)
			if r.rule {
				p.rule(x, p.y, width, 0.15)
			}
			p.y += r.above
			if r.end != nil {
				p.ink(faded)
				p.line(x+width-lineWidth(r.end), p.y+ascent(r.size), smallSize, r.end)
				p.ink(black)
			}
			for _, l := range r.lines {
				p.line(x+r.indent, p.y+ascent(r.size), r.size, l)
				p.y += height(1, r.size)
			}
		}
		p.y += 3
	}
	p.y = max(deepest, p.y)
}

// ballotRow is a part of a contest that is not broken.
type ballotRow struct {
	lines         []line
	end           line // at the right, on the first line
	size          float64
	indent, above float64
	rule          bool
}

func (r *ballotRow) height() float64 { return r.above + height(len(r.lines), r.size) }

func lineWidth(l line) float64 {
	w := 0.0
	for _, s := range l {
		w += s.w
	}
	return w
}

func contestRows(c *ballotContest, width float64) []ballotRow {
	var rows []ballotRow
	for _, x := range c.headings {
		rows = append(rows, ballotRow{lines: lay(stress(x), smallSize, width), size: smallSize, above: 0.5})
	}
	if c.title != "" || c.info != "" {
		rows = append(rows, ballotRow{lines: lay(words{{orNothing(c.title), strong}}, bodySize, width), size: bodySize, above: 0.8, rule: true})
	}
	if c.info != "" {
		rows = append(rows, ballotRow{lines: lay(say(c.info), smallSize, width), size: smallSize})
	}
	if c.text != "" {
		for i, l := range lay(words{{c.text, quoted}}, smallSize, width) {
			r := ballotRow{lines: []line{l}, size: smallSize}
			if i == 0 {
				r.above = 0.5
			}
			rows = append(rows, r)
		}
	}
	for i, x := range c.choices {
		r := ballotRow{size: bodySize, indent: 2}
		room := width - 2
		lines := lay(say(x[1]), smallSize, width/2)
		if len(lines) == 1 && x[1] != "" {
			r.end = lines[0]
			room -= lineWidth(r.end) + 3
		}
		if i == 0 {
			r.above = 0.6
		}
		r.lines = lay(words{{orNothing(x[0]), quoted}}, bodySize, room)
		rows = append(rows, r)
		if len(lines) > 1 {
			rows = append(rows, ballotRow{lines: lay(say(x[1]), smallSize, width-6), size: smallSize, indent: 6})
		}
	}
	return rows
}
