package report

// together begins a new page if the first block, with what must stay below it, does not fit: no
// heading stands alone at the foot of a page. A section begins a page unless a good part of the
// page is left; the front page stands alone.
func (p *page) together(blocks []block) {
	h := 0.0
	switch b := blocks[0].(type) {
	case section:
		if p.d.alone && p.f.PageNo() == 1 || p.room() < pageHeight/4 {
			p.part = b.text
			p.newPage()
			return
		}
		h = 20
	case heading:
		h = headingHeight
	case paragraph:
		if b.role != small || !leads(next(blocks)) {
			return
		}
	case bullets:
		if _, ok := next(blocks).(facts); !ok {
			return
		}
		h = least(b)
	default:
		return
	}
	for i, b := range blocks[1:] {
		switch b := b.(type) {
		case heading:
			h += headingHeight
			continue
		case paragraph: // it may lead to a table or a picture
			h += height(len(lay(b.text, bodySize, measure)), bodySize) + 2
			if leads(next(blocks[i+1:])) {
				continue
			}
		default:
			h += least(b)
		}
		break
	}
	if h < pageHeight-top-bottom {
		p.need(h)
	}
}

// next returns the second block, nil if there is none.
func next(blocks []block) block {
	if len(blocks) < 2 {
		return nil
	}
	return blocks[1]
}

// leads reports whether a paragraph above a block belongs to it.
func leads(b block) bool {
	switch b.(type) {
	case nil, section, heading, paragraph, entry:
		return false
	}
	return true
}

const frontPage = "Front page"

const headingHeight = 10.0

// least is the height of what must not be parted from a heading above it.
func least(b block) float64 {
	switch b := b.(type) {
	case bullets:
		if len(b.items) > 0 {
			return height(len(lay(b.items[0], bodySize, measure-6)), bodySize)
		}
	case facts:
		rows := b.rows
		if b.role != small {
			rows = rows[:min(len(rows), 1)]
		}
		return factsLayout{left, labelWidth, bodySize}.height(rows)
	case table:
		return 24
	case glance:
		_, label, row := glanceSize(b)
		return label + 9 + float64(min(len(b.rows), 12))*row
	case contestList:
		return 40
	case entry:
		return layEntry(&b).height
	}
	return 12
}
