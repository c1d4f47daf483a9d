package report

import "strings"

// segment is a piece of a line in one typeface; x is its distance from the start of the line, in
// mm.
type segment struct {
	text string
	face *typeface
	kind kind
	x, w float64
}

type line []segment

const point = 25.4 / 72 // mm

// lay breaks words into lines of at most width mm, in a size in points. It cuts a word that does
// not fit on a line.
func lay(w words, size, width float64) []line {
	mm := size * point
	var lines []line
	var now line
	x := 0.0
	flush := func() {
		lines = append(lines, now)
		now, x = nil, 0
	}
	put := func(s segment) {
		if n := len(now); n > 0 && now[n-1].kind == s.kind && now[n-1].face == s.face {
			now[n-1].text += s.text
			now[n-1].w += s.w
		} else {
			s.x = x
			now = append(now, s)
		}
		x += s.w
	}
	for _, word := range cut(w, mm) {
		wide := 0.0
		for _, s := range word.pieces {
			wide += s.w
		}
		if x > 0 && x+word.gap.w+wide > width {
			flush()
		} else if x > 0 && word.gap.text != "" {
			put(word.gap)
		}
		for _, s := range word.pieces {
			if x+s.w <= width || wide <= width {
				put(s)
				continue
			}
			for _, r := range s.text {
				one := segment{text: string(r), face: s.face, kind: s.kind}
				one.w = s.face.width(one.text, mm)
				if x > 0 && x+one.w > width {
					flush()
				}
				put(one)
			}
		}
	}
	if len(now) > 0 || len(lines) == 0 {
		flush()
	}
	return lines
}

// unit is text that must not be broken across lines: pieces without a blank between them, and the
// blank before.
type unit struct {
	gap    segment
	pieces []segment
}

func cut(w words, mm float64) []unit {
	var list []unit
	open := false // the last unit continues
	for _, r := range w {
		s := settable(r.text)
		f := face(r.kind, s)
		for s != "" {
			if s[0] == ' ' {
				rest := strings.TrimLeft(s, " ")
				gap := s[:len(s)-len(rest)]
				list = append(list, unit{gap: segment{text: gap, face: f, kind: r.kind, w: f.width(gap, mm)}})
				s, open = rest, true
				continue
			}
			end := strings.IndexByte(s, ' ')
			if end < 0 {
				end = len(s)
			}
			if !open {
				list = append(list, unit{})
				open = true
			}
			at := &list[len(list)-1]
			at.pieces = append(at.pieces, segment{text: s[:end], face: f, kind: r.kind, w: f.width(s[:end], mm)})
			s = s[end:]
		}
	}
	return list
}
