package report

import "strconv"

func (p *page) block(b block) {
	switch b := b.(type) {
	case cover:
		p.cover(b)
	case section:
		p.part = b.text
		if p.y > top+1 {
			p.y += 6
		}
		p.f.Bookmark(settable(b.text), 0, p.y)
		p.lines(left, sectionSize, lay(stress(b.text), sectionSize, measure))
		p.y += 0.8
		p.rule(left, p.y, measure, 0.5)
		p.y += 4
	case heading:
		p.y += 3
		if b.outlined {
			p.f.Bookmark(settable(b.text), 1, p.y)
		}
		p.lines(left, subSize, lay(stress(b.text), subSize, measure))
		p.y += 1
	case paragraph:
		p.paragraph(b)
	case bullets:
		for i, x := range b.items {
			mark := "–"
			if b.numbered {
				mark = strconv.Itoa(i+1) + "."
			}
			l := lay(x, bodySize, measure-6)
			p.need(height(min(len(l), 3), bodySize))
			p.text(left, p.y+ascent(bodySize), bodySize, sans, mark)
			p.lines(left+6, bodySize, l)
			p.y += 0.6
		}
		p.y += 1
	case facts:
		p.facts(factsLayout{left, labelWidth, []float64{bodySize, bodySize, smallSize, bodySize}[b.role]}, b.rows)
	case tally:
		p.tally(b)
	case panel:
		p.panel(b)
	case beside:
		p.beside(b)
	case table:
		p.table(b)
	case glance:
		p.glance(b)
	case entry:
		p.entry(b)
	case contestList:
		p.contests(b)
	case sheet:
		p.sheet(b)
	case form:
		p.form(b)
	case labels:
		p.labels(b)
	}
}

func (p *page) cover(b cover) {
	p.ink(accent)
	p.lines(left, subSize, lay(stress(b.kind), subSize, measure))
	p.ink(black)
	p.y += 1
	size := titleSize
	l := lay(words{{b.title, quoted}}, size, measure)
	if len(l) > 2 {
		size = sectionSize
		l = lay(words{{b.title, quoted}}, size, measure)
	}
	p.lines(left, size, l)
	p.y += 0.5
	p.lines(left, subSize, lay(say(b.over+" · "+b.under), subSize, measure))
	p.y += 3
	p.rule(left, p.y, measure, 0.5)
	p.y += 3
}

func (p *page) paragraph(b paragraph) {
	size := []float64{bodySize, 12.5, smallSize, bodySize}[b.role]
	l := lay(b.text, size, measure)
	if b.role == warning {
		l = lay(b.text, size, measure-8)
		h := height(len(l), size) + 4
		p.need(h)
		p.f.SetDrawColor(accent[0], accent[1], accent[2])
		p.f.SetLineWidth(0.5)
		p.f.Rect(left, p.y, measure, h, "D")
		p.y += 2
		p.lines(left+4, size, l)
		p.y += 4
		return
	}
	p.need(height(min(len(l), 3), size))
	p.lines(left, size, l)
	p.y += 1.6
}

// indent is the indentation of listed lines, in mm.
func (f *fact) indent() float64 {
	if f.listed {
		return 4
	}
	return 0
}

// factsLayout is where facts are drawn: from x on, with labels of a width, in a size in points.
type factsLayout struct{ x, label, size float64 }

// width is that of the text beside the labels.
func (l factsLayout) width() float64 { return pageWidth - right - l.x - l.label }

// sizeOf is the size of a fact's text.
func (l factsLayout) sizeOf(f *fact) float64 {
	if f.fine {
		return smallSize
	}
	return l.size
}

func (l factsLayout) height(rows []fact) float64 {
	h := 0.0
	for _, f := range rows {
		n := len(lay(say(f.label), smallSize, l.label-3))
		m := 0
		for _, x := range f.lines {
			m += len(lay(x, l.sizeOf(&f), l.width()-f.indent()))
		}
		h += max(height(n, smallSize), height(m, l.sizeOf(&f))) + 0.7
	}
	return h + 1
}

func (p *page) facts(l factsLayout, rows []fact) {
	x := l.x + l.label
	for _, f := range rows {
		size := l.sizeOf(&f)
		label := lay(say(f.label), smallSize, l.label-3)
		need := len(label)
		if len(f.lines) > 1 || len(f.lines) == 1 && len(lay(f.lines[0], size, l.width()-f.indent())) > 1 {
			need = max(need, 2)
		}
		p.need(height(need, size))
		start := p.y
		p.ink(faded)
		for i, words := range label {
			p.line(l.x, start+height(i, smallSize)+ascent(size), smallSize, words)
		}
		p.ink(black)
		from := p.f.PageNo()
		for _, w := range f.lines {
			lines := lay(w, size, l.width()-f.indent())
			if f.listed {
				p.need(height(min(len(lines), 2), size))
				p.text(x, p.y+ascent(size), size, sans, "–")
			}
			p.lines(x+f.indent(), size, lines)
		}
		if p.f.PageNo() == from {
			p.y = max(p.y, start+height(len(label), smallSize))
		}
		p.y += 0.7
	}
	p.y += 1
}

func (p *page) tally(b tally) {
	p.need(14)
	const small = smallSize - 0.75
	widths, total := make([]float64, len(b.numbers)), 0.0
	for i, n := range b.numbers {
		widths[i] = max(sansBold.width(settable(n.value), 17*point), sans.width(settable(n.label), small*point))
		total += widths[i]
	}
	gap := min(12, (measure-total)/float64(max(len(b.numbers)-1, 1)))
	x := left
	for i, n := range b.numbers {
		p.text(x, p.y+6, 17, sansBold, settable(n.value))
		p.ink(faded)
		p.text(x, p.y+10, small, sans, settable(n.label))
		p.ink(black)
		x += widths[i] + gap
	}
	p.y += 12
}

// beside draws two lists in two columns, side by side.
func (p *page) beside(b beside) {
	const gutter, indent = 9.0, 4.0
	width := (measure - gutter) / 2
	var set [2][][]line
	deep := 0.0
	for i, list := range b.lists {
		h := 0.0
		for _, x := range list {
			l := lay(x, smallSize, width-indent)
			set[i] = append(set[i], l)
			h += height(len(l), smallSize) + 0.4
		}
		deep = max(deep, h)
	}
	head := height(1, subSize) + 1
	p.need(head + deep + 3)
	p.y += 3
	for i := range set {
		x, y := left+float64(i)*(width+gutter), p.y
		p.text(x, y+ascent(subSize), subSize, sansBold, b.titles[i])
		y += head
		for _, l := range set[i] {
			p.text(x, y+ascent(smallSize), smallSize, sans, "–")
			for k := range l {
				p.line(x+indent, y+height(k, smallSize)+ascent(smallSize), smallSize, l[k])
			}
			y += height(len(l), smallSize) + 0.4
		}
	}
	p.y += head + deep
}

func (p *page) panel(b panel) {
	// Leave room for ink, but less if the cautions would otherwise not fit on the page.
	ink := 6.0
	if p.room() < 45+float64(len(b.rows))*18.5 {
		ink = 3
	}
	for _, x := range b.rows {
		p.need(20)
		p.y += ink
		p.text(left, p.y+ascent(bodySize), bodySize, sansBold, shorten(settable(x.name), bodySize, 62))
		p.rule(left+66, p.y+5, 70, 0.25)
		p.rule(left+142, p.y+5, measure-142, 0.25)
		p.ink(faded)
		p.text(left, p.y+4.4+ascent(smallSize), smallSize, sans, shorten(settable(x.seat), smallSize, 62))
		p.text(left+66, p.y+5.4+ascent(footSize), footSize, sans, "Signature")
		p.text(left+142, p.y+5.4+ascent(footSize), footSize, sans, "Date")
		p.ink(black)
		p.y += 8.6
		p.lines(left, smallSize, lay(x.digital, smallSize, measure))
	}
	p.y += 2
}

// columnWidths divides the width among the columns of a table: each gets the width of its widest
// cell, if all fit; otherwise narrow columns keep their width and the wide ones share the rest.
func columnWidths(t table, gap float64) []float64 {
	n := len(t.heads)
	widths := make([]float64, n)
	total := 0.0
	for i := range n {
		widths[i] = sansBold.width(settable(t.heads[i]), smallSize*point)
		for _, row := range t.rows {
			if widths[i] < measure {
				widths[i] = max(widths[i], min(measure, lineWidth(lay(row[i], smallSize, 10*measure)[0])))
			}
		}
		widths[i] += gap
		total += widths[i]
	}
	if total <= measure {
		for i := range widths {
			widths[i] += (measure - total) / float64(n)
		}
		return widths
	}
	left, wide := measure, 0.0
	kept := make([]bool, n)
	for again := true; again; {
		again, wide = false, 0
		rest := 0
		for i := range widths {
			if !kept[i] {
				rest++
			}
		}
		for i := range widths {
			if kept[i] {
				continue
			}
			if widths[i] <= left/float64(rest) {
				kept[i], again = true, true
				left -= widths[i]
				rest--
			} else {
				wide += widths[i]
			}
		}
	}
	for i := range widths {
		if !kept[i] {
			widths[i] *= left / wide
		}
	}
	return widths
}

func (p *page) table(t table) {
	const gap = 4.0
	widths := columnWidths(t, gap)
	head := func() {
		p.ink(faded)
		x := left
		for i, h := range t.heads {
			p.text(x, p.y+ascent(smallSize), smallSize, sansBold, shorten(settable(h), smallSize, widths[i]-1))
			x += widths[i]
		}
		p.ink(black)
		p.y += height(1, smallSize) + 0.6
		p.rule(left, p.y, measure, 0.25)
		p.y += 0.9
	}
	p.need(24)
	if t.caption != "" {
		p.lines(left, smallSize, lay(stress(t.caption), smallSize, measure))
		p.y += 0.6
	}
	head()
	for n, row := range t.rows {
		if n == len(t.rows)-2 && p.room() < 2*height(2, smallSize) && n > 0 {
			p.newPage() // so that the last row is not alone on it
			head()
		}
		var cells [][]line
		most := 1
		for i, c := range row {
			cells = append(cells, lay(c, smallSize, widths[i]-gap))
			most = max(most, len(cells[i]))
		}
		for from := 0; from < most; {
			if p.room() < height(min(most-from, 6), smallSize)+1 {
				p.newPage()
				head()
			}
			fit := max(1, min(most-from, int((p.room()-1)/height(1, smallSize))))
			x := left
			for i, c := range cells {
				for k := from; k < min(from+fit, len(c)); k++ {
					p.line(x, p.y+height(k-from, smallSize)+ascent(smallSize), smallSize, c[k])
				}
				x += widths[i]
			}
			p.y += height(fit, smallSize)
			from += fit
		}
		p.y += 0.5
		p.rule(left, p.y, measure, 0.12)
		p.y += 0.6
	}
	p.y += 3
}

// laidEntry is an entry laid out.
type laidEntry struct {
	x, wide, height float64 // of the text, of the word
	word            string
	title, message  []line
	below           bool // the word is below the title
	facts           factsLayout
}

func layEntry(e *entry) laidEntry {
	const indent = 9.0
	l := laidEntry{x: left, word: settable(e.word)}
	if e.number != "" {
		l.x += indent
	}
	l.wide = sans.width(l.word, smallSize*point)
	room := pageWidth - right - l.x
	if l.below = l.wide > room/2; l.below {
		l.title = lay(stress(e.title), bodySize+0.75, room)
		l.height = height(1, smallSize)
	} else {
		l.title = lay(stress(e.title), bodySize+0.75, room-l.wide-8)
	}
	l.facts = factsLayout{l.x, 21, bodySize}
	l.height += 3.8 + height(len(l.title), bodySize+0.75) + l.facts.height(e.rows)
	if len(e.message) > 0 {
		l.message = lay(e.message, bodySize, room)
		l.height += height(len(l.message), bodySize)
	}
	return l
}

func (p *page) entry(e entry) {
	l := layEntry(&e)
	if l.height < pageHeight-top-bottom {
		p.need(l.height)
	} else {
		p.need(40)
	}
	p.rule(left, p.y, measure, 0.15)
	p.y += 2
	if e.cell != 0 {
		p.f.Bookmark(settable(e.number+"  "+e.title), 1, p.y)
	}
	if e.number != "" {
		p.text(left, p.y+ascent(bodySize+0.75), bodySize+0.75, sansBold, settable(e.number))
	}
	start := p.y
	p.lines(l.x, bodySize+0.75, l.title)
	at := start
	if l.below {
		at = p.y
		p.y += height(1, smallSize)
	}
	p.ink(faded)
	p.text(pageWidth-right-l.wide, at+ascent(bodySize), smallSize, sans, l.word)
	p.ink(black)
	if e.cell != 0 && l.word != "" {
		p.shape(e.cell, pageWidth-right-l.wide-2.6, at+ascent(bodySize)-1.05, 1.15)
	}
	p.lines(l.x, bodySize, l.message)
	p.y += 0.6
	p.facts(l.facts, e.rows)
	p.y += 1
}
