package report

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// shape draws the mark of a cell; r is its radius in mm. Marks differ in shape and fill, so that
// they can be distinguished in grayscale.
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
		p.dot(x, y, r*0.55)
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

// dot draws a full circle with the shortest PDF commands: a line of length zero with round ends. A
// large county has hundreds of thousands.
func (p *page) dot(x, y, r float64) {
	p.f.SetLineCapStyle("round")
	p.f.SetLineWidth(2 * r)
	p.f.Line(x, y, x, y)
	p.f.SetLineCapStyle("butt")
}

// dots draws the cells of a row where both entries agree.
func (p *page) dots(cells string, x, y, step, r float64) {
	p.f.SetDrawColor(black[0], black[1], black[2])
	p.f.SetLineCapStyle("round")
	p.f.SetLineWidth(2 * r)
	for i := range len(cells) {
		if at := x + float64(i)*step; cells[i] == CellAgreed {
			p.f.Line(at, y, at, y)
		}
	}
	p.f.SetLineCapStyle("butt")
}

// dense is the number of ballot styles above which rows are narrow, so that 60 fit on a page.
const dense = 24

// glanceSize returns the names of the columns, the height that they take, and that of a row.
func glanceSize(g glance) (names []string, label, row float64) {
	row, most := 4.2, 66.0
	if len(g.rows) > dense {
		row, most = 2.9, 52
	}
	names = []string{"Ballot as a whole"}
	for i, x := range g.contests {
		names = append(names, settable(fmt.Sprintf("%d  %s", g.first+i, x)))
	}
	for _, x := range names {
		label = max(label, sans.width(x, footSize*point)+2)
	}
	return names, min(label, most), row
}

// glance draws the county at a glance: 60 styles on a page, with vertical contest names.
func (p *page) glance(g glance) {
	const name, precincts = 34.0, 14.0 // widths of the columns for the style and its precincts
	names, label, row := glanceSize(g)
	columns := float64(len(names))
	col := min(6.0, (measure-name-precincts)/columns)
	size := min(smallSize, row/point*0.8)
	across := name + precincts + columns*col
	start := 0.0
	head := func() {
		p.legend()
		base := p.y + label
		for i, x := range names {
			at := left + name + precincts + (float64(i)+0.5)*col
			p.f.TransformBegin()
			p.f.TransformRotate(90, at, base-1)
			p.text(at, base-1+footSize*point*0.35, footSize, sans, shorten(x, footSize, label-1))
			p.f.TransformEnd()
		}
		p.ink(faded)
		p.text(left, base-1, footSize, sansBold, "Style")
		p.text(left+name, base-1, footSize, sansBold, "Precincts")
		p.ink(black)
		p.y = base
		p.rule(left, p.y, across, 0.25)
		p.y += 0.6
		start = p.y
	}
	// grid draws a guide line at every fifth row and every fifth column.
	grid := func() {
		p.f.SetFillColor(hair[0], hair[1], hair[2])
		for i := 5; i < len(names); i += 5 {
			p.f.Rect(left+name+precincts+float64(i+1)*col, start, 0.1, p.y-start, "F")
		}
	}
	p.need(least(g))
	head()
	for i, r := range g.rows {
		if p.room() < row {
			grid()
			p.newPage()
			head()
		}
		mid := p.y + row/2
		p.text(left, mid+size*point*0.34, size, sans, shorten(settable(r.Style), size, name-2))
		n := count(r.Precincts)
		p.text(left+name+10-sans.width(n, size*point), mid+size*point*0.34, size, sans, n)
		cells, first, radius := r.Ballot+r.Cells, left+name+precincts+col/2, min(row, col)*0.36
		p.dots(cells, first, mid, col, radius*0.55)
		for k := range len(cells) {
			if cells[k] != CellAgreed && cells[k] != CellNone {
				p.shape(cells[k], first+float64(k)*col, mid, radius)
			}
		}
		p.y += row
		if (i+1)%5 == 0 {
			p.rule(left, p.y, across, 0.12)
		}
	}
	grid()
	p.y += 2
	var cut []string
	for _, x := range names {
		if sans.width(x, footSize*point) > label-1 {
			cut = append(cut, x)
		}
	}
	if len(cut) > 0 {
		p.ink(faded)
		p.lines(left, footSize, lay(say("In full: "+strings.Join(cut, "; ")), footSize, measure))
		p.ink(black)
	}
	p.y += 2
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

// contests draws contests in two columns.
func (p *page) contests(b contestList) {
	c := &columns{page: p, start: p.y, y: p.y}
	laid, rest := make([][]ballotRow, len(b.contests)), 0.0
	for i := range b.contests {
		laid[i] = contestRows(&b.contests[i], (measure-gutter)/2)
		rest += contestHeight(laid[i])
	}
	half := 0.0 // on the last page: what is left when the right column begins
	for _, rows := range laid {
		c.fit(contestHeight(rows) - contestGap)
		if !c.right && c.y == c.start && rest < 2*(pageHeight-bottom-c.start) {
			half = rest / 2
		}
		if !c.right && rest-contestHeight(rows)/2 <= half {
			c.next()
		}
		c.contest(rows)
		rest -= contestHeight(rows)
	}
	// What follows is below both columns.
	p.y = c.y
	if c.right {
		p.y = max(c.y, c.deepest)
	}
}

// columns draws contests in two columns, page by page.
type columns struct {
	*page
	start, y, deepest float64
	right             bool
}

const gutter = 9.0

func (c *columns) next() {
	if !c.right {
		c.right, c.deepest, c.y = true, c.y, c.start
		return
	}
	c.newPage()
	c.start, c.y, c.right = top, top, false
}

// x is the left edge of the column.
func (c *columns) x() float64 {
	if c.right {
		return left + (measure+gutter)/2
	}
	return left
}

const contestGap = 3.0

// contestHeight is the height of a contest with the gap below it.
func contestHeight(rows []ballotRow) float64 {
	h := contestGap
	for k := range rows {
		h += rows[k].height()
	}
	return h
}

// fit begins a column for a contest of a height that does not fit on this one, unless it fits on
// none.
func (c *columns) fit(h float64) {
	if pageHeight-bottom-c.y < min(h, pageHeight-top-bottom-30) && c.y > c.start {
		c.next()
	}
}

// contest draws a contest, in the next column if this one ends.
func (c *columns) contest(rows []ballotRow) {
	const end = pageHeight - bottom
	for k := range rows {
		r := &rows[k]
		if end-c.y < r.height() && c.y > c.start {
			c.next()
		}
		c.row(r, c.x(), c.y, (measure-gutter)/2)
		c.y += r.height()
	}
	c.y += contestGap
}

func (p *page) row(r *ballotRow, x, y, width float64) {
	if r.rule {
		p.rule(x, y, width, 0.15)
	}
	y += r.above
	if r.end != nil {
		p.ink(faded)
		p.line(x+width-lineWidth(r.end), y+ascent(r.size), r.endSize, r.end)
		p.ink(black)
	}
	if r.target != "" {
		p.target(x, y+height(1, r.size)/2, r.target)
	}
	for _, l := range r.lines {
		p.line(x+r.indent, y+ascent(r.size), r.size, l)
		y += height(1, r.size)
	}
}

// ballotRow is an unbreakable part of a contest.
type ballotRow struct {
	lines         []line
	end           line // right-aligned, on the first line
	size, endSize float64
	indent, above float64
	rule          bool
	target        string // the target before the text: untouched, or what is marked there; empty for none
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
	const body, small = bodySize, smallSize
	for _, x := range c.headings {
		rows = append(rows, ballotRow{lines: lay(stress(x), small, width), size: small, above: 0.5})
	}
	if c.title != "" || c.info != "" {
		title := words{{c.number + "  " + cmp.Or(c.title, "(nothing)"), strong}}
		rows = append(rows, ballotRow{lines: lay(title, body, width), size: body, above: 0.8,
			rule: true})
	}
	if c.info != "" {
		rows = append(rows, ballotRow{lines: lay(say(c.info), small, width), size: small})
	}
	for _, x := range c.notes {
		rows = append(rows, ballotRow{lines: lay(say(x), small, width), size: small})
	}
	if c.text != "" {
		for i, l := range lay(words{{c.text, quoted}}, small, width) {
			r := ballotRow{lines: []line{l}, size: small}
			if i == 0 {
				r.above = 0.5
			}
			rows = append(rows, r)
		}
	}
	for i, x := range c.choices {
		r := ballotRow{size: body, endSize: small, indent: 2}
		if c.marks != nil {
			r.indent, r.target = targetWidth+2.5, cmp.Or(c.marks[i], untouched)
			r.above = 0.9
		}
		room := width - r.indent
		lines := lay(say(x[1]), small, width/2)
		if len(lines) == 1 && x[1] != "" {
			r.end = lines[0]
			room -= lineWidth(r.end) + 3
		}
		if i == 0 {
			r.above += 0.6
		}
		r.lines = lay(words{{cmp.Or(x[0], "(nothing)"), quoted}}, body, room)
		rows = append(rows, r)
		if len(lines) > 1 {
			rows = append(rows, ballotRow{lines: lay(say(x[1]), small, width-6), size: small, indent: 6})
		}
	}
	return rows
}
