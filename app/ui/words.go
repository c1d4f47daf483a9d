package ui

import (
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"counterproof/assets/fonts"
)

// Face is one of the typefaces.
type Face uint8

// The typefaces: sans is the program's voice, serif is what a ballot says.
const (
	Sans Face = iota
	SansBold
	SansItalic
	Serif
	SerifBold
	SerifItalic
)

func (f Face) resource(text string) fyne.Resource {
	lacks := f >= Serif && strings.ContainsAny(text, fonts.SerifLacks)
	switch {
	case f == SansBold, lacks && f == SerifBold:
		return sansBold
	case f == SansItalic, lacks && f == SerifItalic:
		return sansItalic
	case f == Sans, lacks:
		return sans
	case f == SerifBold:
		return serifBold
	case f == SerifItalic:
		return serifItalic
	}
	return serif
}

// Mark is how a piece of text is marked, by its shape as much as by its colour.
type Mark uint8

// The marks.
const (
	Unmarked Mark = iota
	// Differs: the letters lie on a tint and are underlined twice.
	Differs
	// Struck: a line goes through the letters.
	Struck
	// Gap: a caret where the other side has letters and this one has none. The run's
	// text is not drawn.
	Gap
)

// Run is a piece of text in one typeface.
type Run struct {
	Text  string
	Face  Face
	Color fyne.ThemeColorName // empty for ColorInk
	Mark  Mark
}

// Words is text on a page: several typefaces on one baseline, wrapped at spaces or
// cut short with an ellipsis, in the theme's sizes and colours. All text of the
// program that is not typed by people is set with it.
type Words struct {
	widget.BaseWidget
	runs  []Run
	size  fyne.ThemeSizeName
	wrap  bool
	short bool
	align fyne.TextAlign
}

// NewWords sets runs in one line, as wide as they are.
func NewWords(size fyne.ThemeSizeName, runs ...Run) *Words {
	w := &Words{runs: runs, size: size}
	w.ExtendBaseWidget(w)
	return w
}

// Wrapped wraps the text at the width that it is given.
func (w *Words) Wrapped() *Words { w.wrap = true; return w }

// Short cuts the line with an ellipsis where there is no room for it.
func (w *Words) Short() *Words { w.short = true; return w }

// Right sets the text at the right edge, Centred in the middle.
func (w *Words) Right() *Words { w.align = fyne.TextAlignTrailing; return w }

// Centred sets the text in the middle.
func (w *Words) Centred() *Words { w.align = fyne.TextAlignCenter; return w }

// Set changes the text.
func (w *Words) Set(runs ...Run) {
	w.runs = runs
	w.Refresh()
}

// SetText changes the text and keeps the typeface and colour of the first run.
func (w *Words) SetText(text string) {
	run := Run{Text: text}
	if len(w.runs) > 0 {
		run = w.runs[0]
		run.Text = text
	}
	w.Set(run)
}

// SetColor changes the colour of every run.
func (w *Words) SetColor(c fyne.ThemeColorName) {
	for i := range w.runs {
		w.runs[i].Color = c
	}
	w.Refresh()
}

// Text returns the text without its marks.
func (w *Words) Text() string {
	var b strings.Builder
	for _, r := range w.runs {
		if r.Mark != Gap {
			b.WriteString(r.Text)
		}
	}
	return b.String()
}

// Title, Heading, Body, Bold, Caption and Faded set text in the program's voice;
// Ballot and BallotBold set what a ballot says.

// Title is the largest text: one for a screen.
func Title(s string) *Words { return NewWords(SizeTitle, Run{Text: s, Face: SerifBold}).Wrapped() }

// Heading stands above a part of a page.
func Heading(s string) *Words { return NewWords(SizeHeading, Run{Text: s, Face: SerifBold}).Wrapped() }

// Body is running text.
func Body(s string) *Words { return NewWords(SizeBody, Run{Text: s}).Wrapped() }

// Bold is running text of more weight.
func Bold(s string) *Words { return NewWords(SizeBody, Run{Text: s, Face: SansBold}).Wrapped() }

// Faded is running text of less weight.
func Faded(s string) *Words { return NewWords(SizeBody, Run{Text: s, Color: ColorFaded}).Wrapped() }

// Caption is small text of less weight.
func Caption(s string) *Words {
	return NewWords(SizeCaption, Run{Text: s, Color: ColorFaded}).Wrapped()
}

// Kicker is a small label in capitals above what it names.
func Kicker(s string) *Words {
	return NewWords(SizeCaption, Run{Text: strings.ToUpper(s), Face: SansBold, Color: ColorFaded})
}

// Ballot is what a ballot says.
func Ballot(s string) *Words { return NewWords(SizeBody, Run{Text: s, Face: Serif}).Wrapped() }

// MinSize is the size of the line; of wrapped text, the height that it takes at its
// present width.
func (w *Words) MinSize() fyne.Size {
	w.ExtendBaseWidget(w)
	return w.BaseWidget.MinSize()
}

// Resize sets the text anew where the width has changed.
func (w *Words) Resize(s fyne.Size) {
	changed := s.Width != w.Size().Width
	w.BaseWidget.Resize(s)
	if changed && (w.wrap || w.short) {
		w.Refresh()
	}
}

// CreateRenderer is for Fyne.
func (w *Words) CreateRenderer() fyne.WidgetRenderer {
	r := &wordsRenderer{w: w, width: -1}
	r.set()
	return r
}

type wordsRenderer struct {
	w       *Words
	width   float32 // for which it is set
	objects []fyne.CanvasObject
	min     fyne.Size
}

func (r *wordsRenderer) Destroy()                     {}
func (r *wordsRenderer) MinSize() fyne.Size           { return r.min }
func (r *wordsRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *wordsRenderer) Layout(s fyne.Size) {
	if r.width != s.Width {
		r.set()
	}
}
func (r *wordsRenderer) Refresh() {
	r.set()
	canvas.Refresh(r.w)
}

// piece is a part of a run that is set in one go.
type piece struct {
	run   Run
	text  string
	width float32
	space bool // a line may end after it
}

func measure(text string, size float32, f Face) (fyne.Size, float32) {
	return fyne.CurrentApp().Driver().RenderedTextSize(text, size, fyne.TextStyle{}, f.resource(text))
}

// pieces cuts the runs where lines may be broken.
func (r *wordsRenderer) pieces(size float32) (out []piece) {
	for _, run := range r.w.runs {
		if run.Mark == Gap {
			out = append(out, piece{run: run, width: size * 0.45})
			continue
		}
		text := strings.ReplaceAll(run.Text, "\t", " ")
		if !r.w.wrap {
			text = strings.ReplaceAll(text, "\n", " ")
			s, _ := measure(text, size, run.Face)
			out = append(out, piece{run: run, text: text, width: s.Width})
			continue
		}
		for text != "" {
			n := strings.IndexAny(text, " \n") + 1
			if n == 0 {
				n = len(text)
			}
			word := text[:n]
			text = text[n:]
			s, _ := measure(word, size, run.Face)
			last := word[len(word)-1]
			out = append(out, piece{run: run, text: word, width: s.Width, space: last == ' ' || last == '\n'})
		}
	}
	return out
}

// lines breaks pieces into lines no wider than width.
func (r *wordsRenderer) lines(ps []piece, size, width float32) (out [][]piece) {
	var line []piece
	var used float32
	for i := 0; i < len(ps); {
		j, wide := i, float32(0) // ps[i:j] is a word
		for j < len(ps) {
			wide += ps[j].width
			j++
			if ps[j-1].space {
				break
			}
		}
		need := wide
		if t := ps[j-1]; t.space { // a space at the end of a line takes no room
			s, _ := measure(strings.TrimRight(t.text, " \n"), size, t.run.Face)
			need += s.Width - t.width
		}
		if used > 0 && used+need > width+0.5 {
			out, line, used = append(out, line), nil, 0
		}
		if need > width && j == i+1 && utf8.RuneCountInString(ps[i].text) > 1 { // a word longer than the line
			if head, tail := cut(ps[i], size, width); tail.text != "" {
				out = append(out, append(line, head))
				line, used = nil, 0
				ps[i] = tail
				continue
			}
		}
		line = append(line, ps[i:j]...)
		used += wide
		if strings.HasSuffix(ps[j-1].text, "\n") {
			out, line, used = append(out, line), nil, 0
		}
		i = j
	}
	if len(line) > 0 || len(out) == 0 {
		out = append(out, line)
	}
	return out
}

// joined joins the pieces of a line that are set alike, and leaves out the blanks at
// its end.
func joined(line []piece, size float32) (out []piece) {
	for i, p := range line {
		p.text = strings.TrimSuffix(p.text, "\n")
		if i == len(line)-1 && len(line) > 1 && p.run.Mark == Unmarked {
			p.text = strings.TrimRight(p.text, " ")
		}
		if n := len(out); n > 0 && out[n-1].run == p.run && p.run.Mark != Gap {
			out[n-1].text += p.text
			continue
		}
		out = append(out, p)
	}
	for i := range out {
		if out[i].run.Mark == Gap {
			continue
		}
		s, _ := measure(out[i].text, size, out[i].run.Face)
		out[i].width = s.Width
	}
	return out
}

// cut parts a piece at the last letter that fits, but after the first at least.
func cut(p piece, size, width float32) (head, tail piece) {
	runes := []rune(p.text)
	lo, hi := 1, len(runes)
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if s, _ := measure(string(runes[:mid]), size, p.run.Face); s.Width <= width {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	part := func(text string, space bool) piece {
		s, _ := measure(text, size, p.run.Face)
		return piece{run: p.run, text: text, width: s.Width, space: space}
	}
	return part(string(runes[:lo]), false), part(string(runes[lo:]), p.space)
}

// shorten cuts a line to the width, with an ellipsis.
func shorten(ps []piece, size, width float32) []piece {
	var total float32
	for _, p := range ps {
		total += p.width
	}
	if total <= width+0.5 || width <= 0 || len(ps) == 0 {
		return ps
	}
	dots, _ := measure("…", size, ps[0].run.Face)
	var used float32
	for i, p := range ps {
		if used+p.width+dots.Width <= width {
			used += p.width
			continue
		}
		if p.text == "" {
			return ps[:i]
		}
		runes := []rune(p.text)
		for n := len(runes) - 1; n >= 0; n-- {
			text := strings.TrimRight(string(runes[:n]), " ") + "…"
			if s, _ := measure(text, size, p.run.Face); used+s.Width <= width || n == 0 {
				p.text, p.width = text, s.Width
				return append(ps[:i:i], p)
			}
		}
	}
	return ps
}

// set sets the text for the widget's present width.
func (r *wordsRenderer) set() {
	w := r.w
	r.width = w.Size().Width
	size := theme.SizeForWidget(w.size, w)
	th := w.Theme()
	ps := r.pieces(size)
	var widest float32
	lines := [][]piece{ps}
	switch {
	case w.wrap:
		for _, p := range ps {
			widest = max(widest, p.width)
		}
		widest = min(widest, size*6)
		at := r.width
		if at <= 0 {
			at = size * 26
		}
		lines = r.lines(ps, size, max(at, widest))
	case w.short:
		widest = size * 3
		if r.width > 0 {
			lines[0] = shorten(ps, size, r.width)
		}
		var all float32
		for _, p := range ps {
			all += p.width
		}
		widest = min(widest, all)
	default:
		for _, p := range ps {
			widest += p.width
		}
	}
	lineHeight, top := float32(0), float32(0)
	for f := Sans; f <= SerifItalic; f++ { // one leading, whichever faces are used
		s, b := measure("Xg", size, f)
		lineHeight, top = max(lineHeight, s.Height), max(top, b)
	}
	leading := lineHeight
	if w.wrap {
		leading += theme.SizeForWidget(theme.SizeNameLineSpacing, w) * 0.2
	}
	r.objects = r.objects[:0:0]
	var behind, front []fyne.CanvasObject
	y := float32(0)
	for _, line := range lines {
		x := float32(0)
		if w.align != fyne.TextAlignLeading && r.width > 0 {
			var used float32
			for _, p := range line {
				used += p.width
			}
			x = r.width - used
			if w.align == fyne.TextAlignCenter {
				x /= 2
			}
			x = max(x, 0)
		}
		for _, p := range joined(line, size) {
			name := p.run.Color
			if name == "" {
				name = ColorInk
			}
			ink := th.Color(name, 0)
			accent := th.Color(ColorAccent, 0)
			rect := func(x, y, wide, high float32, name fyne.ThemeColorName) {
				o := canvas.NewRectangle(th.Color(name, 0))
				o.Move(fyne.NewPos(x, y))
				o.Resize(fyne.NewSize(wide, high))
				behind = append(behind, o)
			}
			stroke := max(1.5, size/11)
			switch p.run.Mark {
			case Gap:
				for _, leg := range [][4]float32{{x + p.width*0.15, y + top + size*0.18, x + p.width/2, y + top - size*0.35},
					{x + p.width/2, y + top - size*0.35, x + p.width*0.85, y + top + size*0.18}} {
					l := canvas.NewLine(accent)
					l.StrokeWidth = stroke
					l.Position1, l.Position2 = fyne.NewPos(leg[0], leg[1]), fyne.NewPos(leg[2], leg[3])
					front = append(front, l)
				}
				x += p.width
				continue
			case Differs:
				rect(x, y+1, p.width, lineHeight-1, ColorTint)
				rect(x, y+lineHeight-stroke, p.width, stroke, ColorAccent)
				rect(x, y+lineHeight-3*stroke, p.width, stroke, ColorAccent)
			case Struck:
				l := canvas.NewLine(accent)
				l.StrokeWidth = stroke
				l.Position1, l.Position2 = fyne.NewPos(x, y+top-size*0.28), fyne.NewPos(x+p.width, y+top-size*0.28)
				front = append(front, l)
			}
			if p.text == "" {
				continue
			}
			text := p.text
			s, b := measure(text, size, p.run.Face)
			t := &canvas.Text{Text: text, Color: ink, TextSize: size, FontSource: p.run.Face.resource(text)}
			t.Move(fyne.NewPos(x, y+top-b))
			t.Resize(s)
			front = append(front, t)
			x += p.width
		}
		y += leading
	}
	r.objects = append(behind, front...)
	r.min = fyne.NewSize(widest, y-(leading-lineHeight))
}

// Shortened is a text of at most so many letters.
func Shortened(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
