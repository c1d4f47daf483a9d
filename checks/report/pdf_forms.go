package report

// sheet begins the page of one ballot or of one voting unit.
func (p *page) sheet(b sheet) {
	p.part = b.title
	p.newPage()
	if b.recto && p.f.PageNo()%2 == 0 {
		p.ink(faded)
		p.text(left, p.y+ascent(smallSize), smallSize, sans, "Left blank, so that what follows begins a sheet.")
		p.ink(black)
		p.newPage()
	}
	p.f.Bookmark(settable(p.part), 0, 0)
	p.text(left, p.y+ascent(titleSize), titleSize, sansBold, shorten(settable(b.title), titleSize, measure-30))
	p.ink(faded)
	w := sans.width(b.of, bodySize*point)
	p.text(pageWidth-right-w, p.y+ascent(titleSize), bodySize, sans, b.of)
	p.ink(black)
	p.y += height(1, titleSize)
	p.lines(left, subSize, lay(stress(b.under), subSize, measure))
	p.y += 1
	p.rule(left, p.y, measure, 0.5)
	p.y += 3
}

// The rows of a form, in mm and points.
const (
	formLabel, formLine, formGap = 50.0, 9.5, 4.0
	formSize                     = 15.0
	boxWidth, boxHeight          = 13.0, 7.0
	tickWidth                    = 7.0
)

// boxes is the width of the boxes at the end of a form's rows.
func (f *form) boxes() float64 {
	if len(f.heads) == 0 {
		return 0
	}
	return formGap + tickWidth + float64(len(f.heads)-1)*(formGap/2+boxWidth)
}

// box returns where a box of a form stands and how wide it is.
func (f *form) box(i int) (x, wide float64) {
	x = pageWidth - right - f.boxes() + formGap
	if i == 0 {
		return x, tickWidth
	}
	return x + tickWidth + formGap/2 + float64(i-1)*(formGap/2+boxWidth), boxWidth
}

func (p *page) form(f form) {
	head := func() {
		p.ink(faded)
		for i, h := range f.heads {
			x, wide := f.box(i)
			p.text(x+(wide-sans.width(h, footSize*point))/2, p.y+ascent(footSize), footSize, sans, h)
		}
		p.ink(black)
		if len(f.heads) > 0 {
			p.y += height(1, footSize) + 0.5
		}
	}
	head()
	room := measure - formLabel - f.boxes()
	for _, row := range f.rows {
		label, under := lay(stress(row.label), subSize, formLabel-formGap), []line(nil)
		if row.under != "" {
			under = lay(say(row.under), smallSize, formLabel-formGap)
		}
		high := float64(max(row.lines, 1)) * formLine
		var value []line
		if row.value != nil {
			value = lay(row.value, formSize, room)
			high = height(len(value), formSize)
		}
		high = max(high, height(len(label), subSize)+height(len(under), smallSize)) + 2
		if p.room() < high && p.y > top {
			p.newPage()
			head()
		}
		for i, l := range label {
			p.line(left, p.y+height(i, subSize)+ascent(subSize), subSize, l)
		}
		p.ink(faded)
		for i, l := range under {
			p.line(left, p.y+height(len(label), subSize)+height(i, smallSize)+ascent(smallSize), smallSize, l)
		}
		p.ink(black)
		if row.value == nil {
			for i := range max(row.lines, 1) {
				p.rule(left+formLabel, p.y+float64(i+1)*formLine-1.5, room, 0.25)
			}
		}
		p.f.SetDrawColor(black[0], black[1], black[2])
		p.f.SetLineWidth(0.25)
		for i := range f.heads {
			x, wide := f.box(i)
			p.f.Rect(x, p.y, wide, boxHeight, "D")
		}
		from := p.y
		p.lines(left+formLabel, formSize, value)
		p.y = max(p.y, from+high)
		p.rule(left, p.y-1.2, measure, 0.12)
	}
	p.y += 1
}

// The labels of cards, in mm: two side by side, five below each other, on a page of US letter.
const (
	labelWide, labelHigh = 101.6, 50.8
	labelLeft, labelTop  = (pageWidth - 2*labelWide) / 2, (pageHeight - 5*labelHigh) / 2
)

// labels draws labels on pages of their own, without head, with hair lines where they are cut.
func (p *page) labels(b labels) {
	for i, l := range b.of {
		if at := i % 10; at == 0 {
			p.f.AddPage()
			p.bare[p.f.PageNo()] = true
		}
		x, y := labelLeft+float64(i%2)*labelWide, labelTop+float64(i%10/2)*labelHigh
		p.f.SetDrawColor(hair[0], hair[1], hair[2])
		p.f.SetLineWidth(0.15)
		p.f.Rect(x, y, labelWide, labelHigh, "D")
		x, y = x+6, y+5
		room := labelWide - 12
		set := func(size float64, t *typeface, s string) {
			s = shorten(settable(s), size*1.08, room) // bold letters are wider
			p.text(x, y+ascent(size), size, t, s)
			y += height(1, size)
		}
		set(22, sansBold, l.card)
		set(formSize, sansBold, l.unit)
		set(subSize, sans, l.site)
		y += 1.5
		set(smallSize, sans, l.election)
		set(smallSize, sans, l.export)
		y = labelTop + float64(i%10/2+1)*labelHigh - 9
		set(smallSize, sans, "Seal")
		p.rule(x+9, y-0.8, room-9, 0.25)
	}
}
