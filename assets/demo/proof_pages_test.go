package demo_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/require"

	"counterproof/assets/fonts"
	"counterproof/model/sheets"
)

// The sizes of type, in points, and the measures of the page, in mm.
const (
	titleSize, nameSize, textSize, smallSize = 18.0, 9.0, 8.0, 7.0

	margin   = 9.0
	point    = 25.4 / 72
	leading  = 1.25
	padding  = 1.4
	rowHead  = 22.0
	oval     = 4.4 // the width of a target with the gap after it
	hair     = 0.15
	bold     = 0.5
	leastRow = 14.0
	bandHigh = 6.0
	ink      = 0x26
)

// style is a typeface at a size.
type style struct {
	family, style string
	size          float64
}

var (
	titleType   = style{"serif", "B", titleSize}
	nameType    = style{"serif", "B", nameSize}
	wordingType = style{"serif", "", textSize}
	labelType   = style{"sans", "B", textSize}
	smallType   = style{"sans", "", smallSize}
	codeType    = style{"sans", "B", smallSize}
)

func (s style) height() float64 { return s.size * point * leading }

// paper draws on one page.
type paper struct {
	*fpdf.Fpdf
	wide, high float64
}

// newPaper is a page of the given size in mm. Its bytes are the same on every run.
func newPaper(title string, wide, high float64) *paper {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: wide, Ht: high}})
	f.SetCatalogSort(true)
	at := time.Date(2027, 10, 8, 9, 0, 0, 0, time.UTC)
	f.SetCreationDate(at)
	f.SetModificationDate(at)
	f.SetProducer("Counterproof", true)
	f.SetTitle(title, true)
	f.SetLang("en")
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(margin, margin, margin)
	f.SetDisplayMode("fullpage", "single")
	for _, face := range []struct {
		family, style string
		ttf           []byte
	}{{"sans", "", fonts.Sans}, {"sans", "B", fonts.SansBold}, {"serif", "", fonts.Serif},
		{"serif", "B", fonts.SerifBold}} {
		f.AddUTF8FontFromBytes(face.family, face.style, bytes.Clone(face.ttf))
	}
	f.AddPage()
	f.SetDrawColor(ink, ink, ink)
	f.SetTextColor(ink, ink, ink)
	return &paper{f, wide, high}
}

func (p *paper) bytes(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, p.Output(&b))
	return b.Bytes()
}

// wrap breaks words into lines at the blanks.
func (p *paper) wrap(s style, words string, wide float64) (out []string) {
	p.SetFont(s.family, s.style, s.size)
	line := ""
	for _, w := range strings.Fields(words) {
		if longer := strings.TrimSpace(line + " " + w); line == "" || p.GetStringWidth(longer) <= wide {
			line = longer
			continue
		}
		out, line = append(out, line), w
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// set writes words from y down, and returns where they end.
func (p *paper) set(x, y float64, s style, words string, wide float64) float64 {
	for _, line := range p.wrap(s, words, wide) {
		p.SetFont(s.family, s.style, s.size)
		p.Text(x, y+s.size*point, line)
		y += s.height()
	}
	return y
}

// tall returns how high words are when they are wrapped.
func (p *paper) tall(s style, words string, wide float64) float64 {
	return float64(len(p.wrap(s, words, wide))) * s.height()
}

func (p *paper) right(x, y float64, s style, words string) {
	p.SetFont(s.family, s.style, s.size)
	p.Text(x-p.GetStringWidth(words), y, words)
}

func (p *paper) line(x1, y1, x2, y2, thick float64) {
	p.SetLineWidth(thick)
	p.Line(x1, y1, x2, y2)
}

func (p *paper) target(x, y float64) {
	p.SetLineWidth(0.25)
	p.RoundedRect(x, y, 3.2, 2, 1, "1234", "D")
}

// shade fills a part of the grid where nothing is printed.
func (p *paper) shade(x, y, wide, high float64) {
	p.SetFillColor(0xec, 0xe9, 0xe3)
	p.Rect(x, y, wide, high, "F")
}

// day is the day of the election, and the day of the proof.
const (
	electionDay = "Tuesday, November 2, 2027"
	proofDay    = "Ballot proof of October 8, 2027"
	invented    = "Invented, to try Counterproof with. Nobody votes on it."
	instruction = "To vote, fill in the oval beside your choice. To vote for somebody whose name is not printed, " +
		"fill in the oval beside “Write-in” and write the name."
)

// head draws what stands above a ballot or the card headers, and returns where it ends.
func (p *paper) head(s *sheets.Sheets, title, kicker, below string) float64 {
	facts := s.Facts[0]
	x := p.wide - margin
	p.SetFont(titleType.family, titleType.style, titleType.size)
	p.Text(margin, margin+7, facts.Name)
	p.right(x, margin+7, titleType, title)
	p.SetFont(labelType.family, labelType.style, labelType.size)
	p.Text(margin, margin+12, facts.Jurisdiction)
	gap := p.GetStringWidth(facts.Jurisdiction) + 3
	p.SetFont(smallType.family, smallType.style, labelType.size)
	p.Text(margin+gap, margin+12, electionDay)
	p.right(x, margin+12, style{"sans", "", textSize}, below)
	p.right(x, margin-1.6, smallType, kicker)
	p.SetFont(smallType.family, smallType.style, smallType.size)
	p.Text(margin, margin-1.6, proofDay+" · "+invented)
	p.line(margin, margin+15, x, margin+15, bold)
	return margin + 13.5
}

// faceProof draws the proof of a ballot face: parties in rows, offices in columns, and the
// propositions below, as full-face ballots of that kind are laid out (common practice, no source).
func faceProof(t *testing.T, s *sheets.Sheets, f face) []byte {
	t.Helper()
	p := newPaper("Ballot proof "+f.style, 431.8, 279.4) // tabloid, lying
	precincts := "Precincts " + strings.Join(f.precincts, ", ")
	if len(f.precincts) == 1 {
		precincts = "Precinct " + f.precincts[0]
	}
	y := p.head(s, f.style, "Ballot style", precincts)
	y = p.set(margin, y+2, smallType, instruction, p.wide) + 2
	var columns, below []office
	for _, o := range f.offices {
		if o.Kind == "measure" {
			below = append(below, o)
		} else {
			columns = append(columns, o)
		}
	}
	g := newGrid(t, p, s, columns)
	y = g.draw(y)
	y = p.propositions(y+3, below)
	require.Less(t, y, p.high-margin, "the face %s has room on its page", f.style)
	return p.bytes(t)
}

// propositions draws the questions, each in both languages side by side.
func (p *paper) propositions(y float64, list []office) float64 {
	if len(list) == 0 {
		return y
	}
	wide := p.wide - 2*margin
	p.band(margin, y, wide, list[0].heading)
	y += bandHigh
	answers := 34.0
	column := (wide - answers) / 2
	for _, o := range list {
		top := y
		languages := [][3]string{{o.Title, o.Subtitle, o.Text},
			{spanish(o.FurtherTitle), spanish(o.FurtherSubtitle), spanish(o.FurtherText)}}
		end := y
		for n, l := range languages {
			x := margin + float64(n)*column + padding
			at := p.set(x, y+padding, nameType, l[0], column-2*padding)
			at = p.set(x, at, wordingType, l[1], column-2*padding)
			end = max(end, p.set(x, at+1, wordingType, l[2], column-4*padding))
		}
		x := margin + 2*column + padding
		at := p.set(x, y+padding, smallType, "Vote for "+o.VoteFor, answers) + 1
		for _, c := range o.choices {
			p.target(x, at+0.9)
			name := p.set(x+oval, at, nameType, c.Name, answers)
			at = p.set(x+oval, name, wordingType, spanish(c.FurtherName), answers) + 1
		}
		y = max(end, at) + padding
		p.line(margin, y, margin+wide, y, hair)
		p.line(margin+column, top, margin+column, y, hair)
		p.line(margin+2*column, top, margin+2*column, y, hair)
	}
	return y
}

// band draws a heading over a part of the page.
func (p *paper) band(x, y, wide float64, words string) {
	p.line(x, y, x+wide, y, bold)
	p.SetFont(labelType.family, labelType.style, labelType.size)
	p.Text(x+padding, y+4.2, words)
	p.line(x, y+bandHigh, x+wide, y+bandHigh, hair)
}

// headersProof draws the headers of all memory cards, on one page.
func headersProof(t *testing.T, s *sheets.Sheets) []byte {
	t.Helper()
	p := newPaper("Card headers", 215.9, 279.4)
	y := p.head(s, "Card headers", "Voting units", "All memory cards")
	type card struct {
		unit, site string
		precincts  []string
	}
	var cards []card
	for _, r := range s.Units {
		if len(cards) == 0 || cards[len(cards)-1].unit != r.Unit {
			cards = append(cards, card{unit: r.Unit, site: r.Site})
		}
		last := &cards[len(cards)-1]
		last.precincts = append(last.precincts, r.Precinct)
	}
	wide := (p.wide - 2*margin) / 2
	const high = 34.0
	for n, c := range cards {
		x, top := margin+float64(n%2)*wide, y+4+float64(n/2)*high
		p.SetLineWidth(hair)
		p.Rect(x+1, top+1, wide-2, high-2, "D")
		at := p.set(x+4, top+4, smallType, "Voting unit", wide)
		at = p.set(x+4, at, titleType, c.unit, wide)
		at = p.set(x+4, at+0.6, nameType, c.site, wide-8)
		p.set(x+4, at+1.2, wordingType, fmt.Sprintf("Precincts %s", strings.Join(c.precincts, ", ")), wide-8)
	}
	return p.bytes(t)
}
