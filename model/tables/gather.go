package tables

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"counterproof/model/sheets"
)

// made is a row of a sheet in the making, and where it came from.
type made struct {
	cells []string
	origin
	held []int32 // indexes into gathered.held
}

type origin struct {
	plan     *plan
	row      int32
	repeated int32 // the column that was repeated, -1 if none
}

func (o origin) place() sheets.Place { return o.plan.at(int(o.row), int(o.repeated)) }

// pile are the rows of one sheet. Rows that say of one thing what it is are one row.
type pile struct {
	sheet string
	// columns are where the sheet has its columns.
	columns map[string]int
	rows    []made
	index   map[string]int
	// filled are the cells that a later row filled: by row and column.
	filled map[[2]int]origin
	slab   []string
}

func newPile(sheet string) *pile {
	p := &pile{sheet: sheet, columns: map[string]int{}, index: map[string]int{}, filled: map[[2]int]origin{}}
	for i, name := range columnsOf(sheet) {
		p.columns[name] = i
	}
	return p
}

func (p *pile) cell(cells []string, name string) string { return cells[p.columns[name]] }

// key is what tells the thing that a row is about from others; there is none where every row
// counts.
func (p *pile) key(cells []string) (string, bool) {
	switch p.sheet {
	case "contests":
		return canonical(p.cell(cells, "contest")), true
	case "parties":
		return canonical(cmp.Or(p.cell(cells, "party"), "\x00"+p.cell(cells, "name"))), true
	case "election":
		return "", true
	case districtRows:
		return "", false // they are many; equal ones of a table are one already (plan.seen)
	case "choices":
		position := p.cell(cells, "position")
		return canonical(p.cell(cells, "contest")) + "\x00" + position, position != ""
	}
	return canonical(strings.Join(cells, "\x00")), true
}

func canonical(s string) string { return norm.NFC.String(s) }

// add adds a row, or what it says to the row of the same thing. cells are copied.
func (p *pile) add(cells []string, from origin) (int, error) {
	key, one := p.key(cells)
	if one {
		if i, ok := p.index[key]; ok {
			return i, p.merge(i, cells, from)
		}
		p.index[key] = len(p.rows)
	}
	if len(p.slab) < len(cells) {
		p.slab = make([]string, 512*len(cells))
	}
	own := p.slab[:len(cells):len(cells)]
	p.slab = p.slab[len(cells):]
	copy(own, cells)
	if len(p.rows) == cap(p.rows) {
		p.rows = slices.Grow(p.rows, max(len(p.rows), 1024)) // append would grow it, and copy, more often
	}
	p.rows = append(p.rows, made{cells: own, origin: from})
	return len(p.rows) - 1, nil
}

// merge adds what a row says to row i. A cell that says nothing contradicts none.
func (p *pile) merge(i int, cells []string, from origin) error {
	own := p.rows[i].cells
	for c, v := range cells {
		switch {
		case v == "" || v == own[c]:
		case own[c] == "":
			own[c] = v
			p.filled[[2]int{i, c}] = from
		default:
			first, ok := p.filled[[2]int{i, c}]
			if !ok {
				first = p.rows[i].origin
			}
			at := from.plan.cellOf(c, int(from.row), int(from.repeated))
			other := first.plan.cellOf(c, int(first.row), int(first.repeated))
			return fault(at, "correct one of them in the tables, or map what tells the two apart",
				"the %s of %q is %q here and %q in %s", columnsOf(p.sheet)[c], cut(cells[0]), cut(v), cut(own[c]),
				placeWords(other))
		}
	}
	return nil
}

// placeWords names a place in the middle of an error.
func placeWords(at sheets.Place) string {
	if at.Line > 0 {
		return at.File + ", line " + strconv.Itoa(at.Line)
	}
	return at.File
}

// numbered gives rows without a position the next one within what their key names, in their
// order.
func numbered(count int, key func(i int) string, position func(i int) *string) {
	all := true
	for i := 0; i < count && all; i++ {
		all = *position(i) != ""
	}
	if all {
		return
	}
	last := map[string]int{}
	for i := range count {
		if n, err := strconv.Atoi(*position(i)); err == nil {
			k := key(i)
			last[k] = max(last[k], n)
		}
	}
	for i := range count {
		if p := position(i); *p == "" {
			k := key(i)
			last[k]++
			*p = strconv.Itoa(last[k])
		}
	}
}

// gathered are the rows of all sheets, and what no column took.
type gathered struct {
	piles map[string]*pile
	// out are the rows as sheets. Those of ballots, which are many and never one, go there at once.
	out  sheets.Sheets
	held holder
	// notes are what a person should know of how the tables were read.
	notes []string
	rows  int
	// dates is Mapping.Dates.
	dates string
}

func newGathered(hold bool) *gathered {
	g := &gathered{piles: map[string]*pile{}, held: holder{hold: hold, counts: map[string]int{}}}
	for _, sheet := range sheetNames() {
		g.piles[sheet] = newPile(sheet)
	}
	return g
}

// maxMade bounds the rows that are made, of all sheets together.
const maxMade = 8 << 20

// take makes the rows of a plan of a row of its table. It returns the index of the last one, -1
// if that was there already or says nothing, and their number.
func (g *gathered) take(p *plan, c *current, cells []string) (last, count int, err error) {
	c.repeated, c.value = &p.repeated[0], ""
	if len(p.where) > 0 && p.Repeat == "" && !p.holds(c) {
		return 0, 0, nil
	}
	for i := range p.repeated {
		c.repeated, c.value = &p.repeated[i], ""
		values := []string{""}
		if c.repeated.column >= 0 {
			v := c.cell(c.repeated.column)
			if v == "" {
				continue
			}
			if values[0] = v; p.Split != "" {
				values = strings.Split(v, p.Split)
			}
		}
		for _, v := range values {
			if c.value = strings.TrimSpace(v); c.value == "" && c.repeated.column >= 0 {
				continue
			}
			if len(p.where) > 0 && p.Repeat != "" && !p.holds(c) {
				continue
			}
			if p.repeats(c) {
				last, count = -1, count+1
				continue
			}
			n, err := p.count(c)
			if err != nil {
				return 0, 0, err
			}
			for ; n > 0; n-- {
				at, err := g.make(p, c, cells)
				if err != nil {
					return 0, 0, err
				}
				last, count = at, count+1
			}
		}
	}
	return last, count, nil
}

// repeats reports whether the row says what one before said, where such rows are one.
func (p *plan) repeats(c *current) bool {
	if p.seen == nil || p.rowMatters {
		return false
	}
	used := append(p.seen.cells[:0], c.star, c.value)
	for _, at := range p.uses {
		used = append(used, c.cell(at))
	}
	p.seen.cells = used
	return p.seen.add(used)
}

// count is how often a row is made.
func (p *plan) count(c *current) (int, error) {
	if p.times == nil {
		return 1, nil
	}
	v := p.times.of(p, c)
	n, err := strconv.Atoi(cmp.Or(v, "0"))
	if err != nil || n < 0 || n > 1000 {
		return 0, fault(p.grid.place(c.row, p.times.first), "correct \"times\" in the mapping, or the table",
			"%q does not say how many", cut(v))
	}
	return n, nil
}

// make makes one row, and returns its index; -1 for one that was there already.
func (g *gathered) make(p *plan, c *current, cells []string) (at int, err error) {
	cells = cells[:p.size]
	clear(cells)
	asked, said := false, false
	for i := range p.fields {
		f := &p.fields[i]
		v := f.of(p, c)
		if f.written {
			if v, err = g.value(p, f, c, v); err != nil {
				return 0, err
			}
		}
		if f.first >= 0 && f.name != "contest" && f.name != "position" {
			asked, said = true, said || v != ""
		}
		if v = f.coded(v); f.tag != "" && v != "" {
			v = sheets.FurtherWith(cells[f.column], f.tag, v)
		}
		cells[f.column] = v
	}
	if p.sheet == "choices" && asked && !said {
		return -1, nil // a contest without candidates, in a list of contests with their candidates
	}
	if g.rows++; g.rows > maxMade {
		return 0, fault(p.grid.place(c.row, 0), "check that these are the right files", "the tables make more than %d rows",
			maxMade)
	}
	if p.sheet == "ballots" {
		g.out.Add("ballots.csv", 1, func(int) ([]string, sheets.Place) { return cells, p.at(c.row, c.repeated.column) })
		return -1, nil
	}
	return g.piles[p.sheet].add(cells, origin{p, int32(c.row), int32(c.repeated.column)})
}

// value is a number of votes or a day as the sheets write it.
func (g *gathered) value(p *plan, f *field, c *current, v string) (string, error) {
	switch {
	case f.name == "vote_for":
		v = votes(v)
	case f.name == "date":
		iso, ok := day(v, g.dates)
		if !ok && g.dates != "" {
			return "", fault(p.grid.place(c.row, f.first), "correct \"dates\" in the mapping, or the table",
				"%q is no day with %s", cut(v), g.dates)
		} else if !ok {
			return "", fault(p.grid.place(c.row, f.first), fmt.Sprintf("give \"dates\" in the mapping the order that the "+
				"tables have, %q or %q", MonthFirst, DayFirst), "%q may be one day or another", cut(v))
		}
		v = iso
	}
	return v, nil
}

// sheets are the rows as sheets.
func (g *gathered) sheets() *sheets.Sheets {
	b := g.out.Ballots
	numbered(len(b), func(i int) string { return canonical(b[i].Precinct + "\x00" + b[i].Style + "\x00" + b[i].Party) },
		func(i int) *string { return &b[i].Position })
	c := g.piles["choices"]
	slices.SortStableFunc(c.rows, func(a, b made) int { return cmp.Compare(a.plan.lasts(), b.plan.lasts()) })
	numbered(len(c.rows), func(i int) string { return canonical(c.cell(c.rows[i].cells, "contest")) },
		func(i int) *string { return &c.rows[i].cells[c.columns["position"]] })
	for _, name := range sheetNames() {
		p := g.piles[name] // of districts, an export has none
		g.out.Add(name+".csv", len(p.rows), func(i int) ([]string, sheets.Place) {
			return p.rows[i].cells,
				p.rows[i].place()
		})
	}
	return &g.out
}

// pointed is an error about a column of a sheet with the cell of the table that it came from.
func (g *gathered) pointed(err error) error {
	var said *sheets.Error
	if !errors.As(err, &said) || said.Column == "" {
		return err
	}
	switch said.Column { // remedies that name sheets are of no use to whoever has tables
	case "contest":
		said.Remedy = "correct the cell, or the mapping: it has to call contests alike in all tables"
	case "precinct":
		said.Remedy = "correct the cell, or what the mapping takes for the precinct"
	}
	for _, p := range g.piles {
		column := columnIndex(columnsOf(p.sheet), said.Column)
		for i := range p.rows {
			if o := p.rows[i].origin; column >= 0 && o.place() == said.Place {
				said.Place = o.plan.cellOf(column, int(o.row), int(o.repeated))
				return err
			}
		}
	}
	return err
}

// lasts is 1 for rows that come after the others of their contest: those that are counted, which
// are write-in lines.
func (p *plan) lasts() int {
	if p.times != nil {
		return 1
	}
	return 0
}

// lacking are the sheets without which there is no ballot.
func (g *gathered) lacking() (out []string) {
	for _, s := range sheets.Describe() {
		name := strings.TrimSuffix(s.File, ".csv")
		if !s.Optional && len(g.piles[name].rows) == 0 && (name != "ballots" || len(g.out.Ballots) == 0) {
			out = append(out, name)
		}
	}
	return slices.Clip(out)
}
