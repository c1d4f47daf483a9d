package report

import (
	"slices"
	"strings"
	"unicode/utf8"

	"counterproof/checks/wording"
)

// A document is a report in the form common to both paper formats: blocks in order. Contents and
// order are decided once, here; HTML and PDF only lay them out.
type document struct {
	title, foot string // foot is printed at the bottom of each page
	alone       bool   // nothing follows the front page on the same sheet
	blocks      []block
}

type block any

// The blocks.
type (
	// cover opens the front page of a kind of document.
	cover struct{ kind, over, title, under string }
	// section begins a part, below the one before if there is room.
	section struct{ text string }
	// heading is a heading above what follows; outlined ones are in the PDF's outline.
	heading struct {
		text     string
		outlined bool
	}
	paragraph struct {
		text words
		role role
	}
	bullets struct {
		items    []words
		numbered bool
	}
	// facts have the role body or small.
	facts struct {
		rows []fact
		role role
	}
	// fact is a label with its text beside it; listed lines are items of a list, fine ones smaller.
	fact struct {
		label        string
		lines        []words
		listed, fine bool
	}
	table struct {
		caption string
		heads   []string
		rows    [][]words
	}
	// beside are two short lists, side by side.
	beside struct {
		titles [2]string
		lists  [2][]words
	}
	// panel has a row with room for ink for each person who must sign.
	panel    struct{ rows []panelRow }
	panelRow struct {
		name, seat string
		digital    words
	}
	// tally is the row of numbers on the front page.
	tally  struct{ numbers []number }
	number struct{ value, label string }
	// glance is the county at a glance, or some columns of it: the contests from number first on,
	// and the rows that have one of them. Only the first piece has rows without any.
	glance struct {
		first    int
		contests []string
		rows     []OverviewRow
	}
	// entry is one finding, kept together where it fits on a page.
	entry struct {
		number      string
		title, word string
		cell        byte
		message     words
		rows        []fact
	}
	// contestList has contests, which are printed in two columns.
	contestList   struct{ contests []ballotContest }
	ballotContest struct {
		headings            []string
		number, title, info string
		notes               []string
		text                string
		choices             [][2]string // name, party lines
		// marks are what is marked at each choice of a test ballot: empty for nothing, "1", a rank, a
		// number of votes. It is nil where no targets are drawn.
		marks []string
	}
	// sheet begins a page for one ballot of a test deck, or for one voting unit. A recto begins on an odd
	// page, so that what follows on the next is on its back.
	sheet struct {
		title, of, under string
		recto            bool
	}
	// form has rows with room to write in, or with what must be read there.
	form struct {
		// heads stand above the boxes: one that is ticked, two for initials. Without heads, no boxes are drawn.
		heads []string
		rows  []formRow
	}
	formRow struct {
		label, under string
		// value stands in large type; without one there are lines to write on, at least one.
		value words
		lines int
	}
	// labels are cards' labels, ten on a page.
	labels    struct{ of []cardLabel }
	cardLabel struct{ card, unit, site, election, export string }
)

type role int

const (
	body role = iota
	lead
	small
	warning
)

// words are runs of text.
type words []run

type run struct {
	text string
	kind kind
}

type kind int

const (
	plain  kind = iota
	strong      // the important part of a line
	quoted      // words of a ballot or an export
	marked      // letters that differ, within quoted text
	digits      // digests, keys, signatures
)

func say(text string) words    { return words{{text, plain}} }
func stress(text string) words { return words{{text, strong}} }
func quote(text string) words  { return words{{text, quoted}} }
func code(text string) words   { return words{{text, digits}} }

func (w words) String() string {
	var b strings.Builder
	for _, r := range w {
		b.WriteString(r.text)
	}
	return b.String()
}

// longText is the length above which similar texts are shown only around their differences; the
// JSON has all of the text.
const longText, roundabout = 600, 120

// sides returns what both sides say. In wordings, the letters that differ are marked. A side
// without a value says so.
func sides(wordings bool, primary, second, nothing string) (p, s words) {
	if !wordings || primary == "" || second == "" {
		said := func(text string) words {
			if text == "" {
				return say(nothing)
			}
			return quote(wording.Cut(text, text))
		}
		return said(primary), said(second)
	}
	long := max(len(primary), len(second)) > longText
	steps := wording.Readable(primary, second)
	for i, step := range steps {
		text := step.Text
		switch step.Op {
		case wording.Keep:
			if long {
				text = shortened(text, i > 0, i < len(steps)-1)
			}
			p, s = append(p, run{text, quoted}), append(s, run{text, quoted})
		case wording.Drop:
			p = append(p, run{text, marked})
		case wording.Add:
			s = append(s, run{text, marked})
		}
	}
	return cutAt(p, primary), cutAt(s, second)
}

// cutAt is wording.Cut for words that are part of a longer text.
func cutAt(w words, whole string) words {
	left := wording.MostShown
	for i, r := range w {
		if len(r.text) <= left {
			left -= len(r.text)
			continue
		}
		for left > 0 && !utf8.RuneStart(r.text[left]) {
			left--
		}
		return append(slices.Clone(w[:i]), run{r.text[:left], r.kind}, run{wording.CutMark(whole), plain})
	}
	return w
}

func shortened(text string, before, after bool) string {
	r := []rune(text)
	head, tail := 0, 0
	if before {
		head = roundabout
	}
	if after {
		tail = roundabout
	}
	if len(r) <= head+tail+10 {
		return text
	}
	return string(r[:head]) + " (…) " + string(r[len(r)-tail:])
}

// glanceColumns is how many contests are shown side by side.
const glanceColumns = 32

// glances divides the county at a glance into pieces that fit on a page.
func glances(contests []string, rows []OverviewRow) []glance {
	var list []glance
	for first := 0; first < max(len(contests), 1); first += glanceColumns {
		end := min(first+glanceColumns, len(contests))
		g := glance{first: first + 1, contests: contests[first:end]}
		for _, r := range rows {
			r.Cells = r.Cells[first:end]
			if first == 0 || strings.Trim(r.Cells, string(CellNone)) != "" {
				g.rows = append(g.rows, r)
			}
		}
		list = append(list, g)
	}
	return list
}

// cellMarks gives the text and the words for each kind of cell in an overview.
var cellMarks = []struct {
	cell       byte
	mark, word string
}{
	{CellAgreed, "●", "agrees"}, {CellSettled, "◆", "differed; settled or cleared"}, {CellOpen, "▲", "differs, open"},
	{CellPart, "◐", "agrees, partly not keyed"}, {CellUnkeyed, "○", "not keyed"},
}

func cellMark(cell byte) string {
	for _, m := range cellMarks {
		if m.cell == cell {
			return m.mark
		}
	}
	return "·"
}
