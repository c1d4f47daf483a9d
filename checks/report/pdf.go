package report

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"counterproof/model/progress"
)

// PDF writes the report as a PDF with US letter pages, embedded typefaces and an outline. Letters
// that the typefaces lack (they cover Latin, Greek and Cyrillic) become visible escapes.
func (r *Report) PDF(w io.Writer) error { return r.PDFContext(context.Background(), w) }

// PDFContext is PDF with a context that is told the share that is done (package progress).
func (r *Report) PDFContext(ctx context.Context, w io.Writer) error {
	return writePDF(ctx, w, r.Made, r.compose)
}

// AnnexPDF writes the annex as PDF does the report. The report must have been read with it.
func (r *Report) AnnexPDF(w io.Writer) error { return r.AnnexPDFContext(context.Background(), w) }

// AnnexPDFContext is AnnexPDF with a context that is told the share that is done (package progress).
func (r *Report) AnnexPDFContext(ctx context.Context, w io.Writer) error {
	return writePDF(ctx, w, r.Made, r.composeAnnex)
}

// writePDF lays a document out; made is its time, as RFC 3339.
func writePDF(ctx context.Context, w io.Writer, made string, compose func() (*document, error)) (err error) {
	if err := loadTypefaces(); err != nil {
		return err
	}
	d, err := compose()
	if err != nil {
		return err
	}
	// The library panics on input that it does not support; no panic may reach a user.
	defer func() {
		if x := recover(); x != nil {
			err = fmt.Errorf("the PDF cannot be written: %v; the HTML holds the same", x)
		}
	}()
	p := newPage(d, made)
	for i, b := range d.blocks {
		p.together(d.blocks[i:])
		p.block(b)
		progress.Of(ctx, int64(i), int64(len(d.blocks)))
	}
	p.feet()
	if err := p.f.Output(w); err != nil {
		return fmt.Errorf("the PDF cannot be written: %w", err)
	}
	return nil
}

// The page: US letter, in mm. The type scale is in points.
const (
	pageWidth, pageHeight           = 215.9, 279.4
	left, right, top, bottom        = 20.0, 20.0, 22.0, 22.0
	measure                         = pageWidth - left - right
	titleSize, sectionSize, subSize = 25.0, 16.0, 11.0
	bodySize, smallSize, footSize   = 9.5, 8.25, 6.75
	leading                         = 1.32
	labelWidth                      = 34.0
)

type page struct {
	f     *fpdf.Fpdf
	d     *document
	y     float64
	title string
	part  string
	bare  map[int]bool // the pages that have no foot
}

func newPage(d *document, made string) *page {
	f := fpdf.New("P", "mm", "Letter", "")
	f.SetCatalogSort(true)
	at, err := time.Parse(time.RFC3339, made)
	if err != nil {
		at = time.Unix(0, 0)
	}
	f.SetCreationDate(at.UTC())
	f.SetModificationDate(at.UTC())
	f.SetProducer("Counterproof", true)
	f.SetTitle(settable(d.title), true)
	f.SetLang("en")
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(left, top, right)
	f.SetDisplayMode("fullpage", "single")
	for _, t := range []*typeface{sans, sansBold, serif, serifBold} {
		f.AddUTF8FontFromBytes(t.family, t.style, bytes.Clone(t.ttf))
	}
	p := &page{f: f, d: d, title: d.title, bare: map[int]bool{}}
	p.part = frontPage
	p.f.AddPage()
	p.y = top - 4
	f.Bookmark(frontPage, 0, 0)
	return p
}

func (p *page) newPage() {
	p.f.AddPage()
	p.y = top
	p.ink(faded)
	p.text(left, 13, smallSize, sans, shorten(settable(p.title), smallSize, measure-60))
	w := sans.width(settable(p.part), smallSize*point)
	p.text(pageWidth-right-w, 13, smallSize, sans, settable(p.part))
	p.rule(left, 15, measure, 0.15)
	p.ink(black)
}

// shorten cuts a text to a width and adds an ellipsis.
func shorten(s string, size, width float64) string {
	if sans.width(s, size*point) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && sans.width(string(r)+"…", size*point) > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

func (p *page) room() float64 { return pageHeight - bottom - p.y }

// need begins a new page if less than height mm is left, unless the page is empty.
func (p *page) need(height float64) {
	if p.room() < height && p.y > top {
		p.newPage()
	}
}

type colour [3]int

var (
	black  = colour{0x26, 0x21, 0x1c}
	faded  = colour{0x5a, 0x50, 0x44}
	accent = colour{0xa1, 0x30, 0x1a}
	hair   = colour{0xc9, 0xbb, 0x9f}
)

func (p *page) ink(c colour) { p.f.SetTextColor(c[0], c[1], c[2]) }

func (p *page) rule(x, y, w, thick float64) {
	c := hair
	if thick > 0.2 {
		c = black
	}
	p.f.SetFillColor(c[0], c[1], c[2])
	p.f.Rect(x, y, w, thick, "F")
}

// text draws a settable text with its baseline at y.
func (p *page) text(x, y, size float64, t *typeface, s string) {
	if s == "" {
		return
	}
	p.f.SetFont(t.family, t.style, size)
	p.f.Text(x, y, s)
}

func (p *page) line(x, y, size float64, l line) {
	for _, s := range l {
		if s.kind == marked {
			p.f.SetFillColor(accent[0], accent[1], accent[2])
			p.f.Rect(x+s.x, y+0.55, s.w, 0.45, "F")
		}
		p.text(x+s.x, y, size, s.face, s.text)
	}
}

func height(lines int, size float64) float64 { return float64(lines) * size * point * leading }

// ascent is the distance from the top of a line down to its baseline.
func ascent(size float64) float64 { return size * point * 1.02 }

// lines draws lines from p.y on, page by page.
func (p *page) lines(x, size float64, lines []line) {
	for _, l := range lines {
		p.need(height(1, size))
		p.line(x, p.y+ascent(size), size, l)
		p.y += height(1, size)
	}
}

// feet draws the head and the page number on every page.
func (p *page) feet() {
	total := p.f.PageCount()
	y := pageHeight - 12.0
	foot := settable(p.d.foot)
	for n := 1; n <= total; n++ {
		p.f.SetPage(n) // of the last page too: the library writes pages up to this one
		if p.bare[n] {
			continue
		}
		p.rule(left, y-3.6, measure, 0.15)
		p.ink(faded)
		p.f.SetFont("sans", "B", footSize+1) // forces the font to be set again on this page
		number := fmt.Sprintf("Page %d of %d", n, total)
		p.text(left, y, footSize, serif, foot)
		p.text(pageWidth-right-sans.width(number, smallSize*point), y, smallSize, sans, number)
	}
}
