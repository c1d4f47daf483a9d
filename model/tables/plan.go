package tables

import (
	"slices"
	"strconv"
	"strings"

	"counterproof/model/sheets"
)

// plan is a source for one table: where its columns are there.
type plan struct {
	*Source
	grid  *grid
	sheet string
	// fields are the columns of the sheet that are filled.
	fields []field
	where  []condition
	times  *field
	// repeated are the columns that are repeated; one of column -1 if none is.
	repeated []repeated
	// size is how many columns the sheet has.
	size int
	// fixed are the values of names that begin with @ and do not change in the table.
	fixed map[string]string
	// uses are the columns of the table that the plan reads, ascending.
	uses []int
	// seen are the cells of which a row was made already, where equal rows are one.
	seen  *seen
	named int // the column that says what the row is called
	// rowMatters is true if the number of the row is part of what is said.
	rowMatters bool
}

type field struct {
	column int    // of the sheet
	name   string // "title[es]"
	tag    string // the language of a column in a further one
	t      template
	at     map[string]int // where each column is; repeated ones are in repeated.at
	single int            // the column, where the template is that alone; else -1
	first  int            // the first column of the template, -1 if none
	by     string         // separator in the table
	join   string         // separator in the sheet
	codes  map[string]string
	// written is true if the field holds a number of votes or a day, which lists write in several ways.
	written bool
}

type condition struct {
	field
	globs []string
}

type repeated struct {
	column int
	star   string
	at     map[string]int // columns with a * in their name
}

// plan finds the columns of a source in a table.
func (s *Source) plan(g *grid, sheet string, h *header, fixed map[string]string) (*plan, error) {
	p := &plan{Source: s, grid: g, sheet: sheet, fixed: fixed}
	known := columnsOf(sheet)
	p.size = len(known)
	names := make([]string, 0, len(s.Columns))
	for name := range s.Columns {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		f, err := p.field(h, s.templates[name])
		if err != nil {
			return nil, err
		}
		f.column, f.name = columnIndex(known, name), name
		f.written = name == "vote_for" || name == "date"
		_, f.tag, _ = sheets.FurtherColumn(name)
		base, _, _ := strings.Cut(name, "[")
		f.by, f.join, f.codes = s.Separators[name], joined[base], s.Replace[name]
		p.fields = append(p.fields, f)
	}
	for text, globs := range s.Where {
		f, err := p.field(h, s.templates["where "+text])
		if err != nil {
			return nil, err
		}
		p.where = append(p.where, condition{f, globs})
	}
	if s.Times != "" {
		f, err := p.field(h, s.templates["times"])
		if err != nil {
			return nil, err
		}
		p.times = &f
	}
	if err := p.repeat(h); err != nil {
		return nil, err
	}
	p.named = p.namedColumn()
	slices.Sort(p.uses)
	p.uses = slices.Compact(p.uses)
	if s.Distinct || sheet == "contests" || sheet == "parties" || sheet == "precincts" || sheet == "election" ||
		sheet == "styles" || sheet == "units" || sheet == districtRows {
		p.seen = &seen{}
	}
	return p, nil
}

// field finds the columns of a template.
func (p *plan) field(h *header, t template) (field, error) {
	f := field{t: t, single: -1, first: -1, at: map[string]int{}}
	for _, name := range t.names() {
		p.rowMatters = p.rowMatters || name == atRow
		if name[0] == '@' {
			if _, ok := p.fixed[name]; !ok && !aboveHeader(name, h.row) && name != atRow &&
				(p.Repeat == "" || name != atHeader && name != atValue) {
				return f, fault(p.grid.place(h.row, 0), "the names are @file, @sheet, @row, cells above the header such as "+
					"@B1, and with \"repeat\" @header and @value", "{%s} is nothing in this table", name)
			}
			continue
		}
		if p.Repeat != "" && strings.Contains(name, "*") {
			continue
		}
		at, err := h.find(p.grid, name)
		if err != nil {
			return f, err
		}
		f.at[name] = at
		p.uses = append(p.uses, at)
		if f.first < 0 {
			f.first = at
		}
	}
	if len(t) == 1 && len(f.at) == 1 && t[0].group == nil {
		f.single = f.first
	}
	return f, nil
}

// aboveHeader reports whether a name is a cell above the header, such as @B1.
func aboveHeader(name string, header int) bool {
	letters := strings.TrimRight(name[1:], "0123456789")
	row, err := strconv.Atoi(name[1+len(letters):])
	return err == nil && row > 0 && row < header && letters != "" && strings.Trim(letters,
		"ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// repeat finds the columns that are repeated, and those beside each.
func (p *plan) repeat(h *header) error {
	p.repeated = []repeated{{column: -1}}
	if p.Repeat == "" {
		return nil
	}
	p.repeated = nil
	glob := headerName(p.Repeat)
	var beside []string
	for _, t := range p.templates {
		for _, name := range t.names() {
			if strings.Contains(name, "*") {
				beside = append(beside, name)
			}
		}
	}
	named := slices.Clone(p.uses)
	for i, name := range h.names {
		star, ok := matches(glob, name)
		if !ok || name == "" || slices.Contains(named, i) && strings.Contains(glob, "*") {
			continue
		}
		if _, err := h.find(p.grid, name); err != nil {
			return err
		}
		r := repeated{column: i, star: star, at: map[string]int{}}
		for _, other := range beside {
			at, err := h.find(p.grid, strings.Replace(other, "*", star, 1))
			if err != nil {
				return err
			}
			r.at[other] = at
			p.uses = append(p.uses, at)
		}
		p.uses = append(p.uses, i)
		p.repeated = append(p.repeated, r)
	}
	if len(p.repeated) == 0 {
		return fault(p.grid.place(h.row, 0), "correct \"repeat\" in the mapping, or the table", "no column is called %q",
			glob)
	}
	return nil
}

// names reports whether some template names the column.
func (p *plan) names(column string) bool {
	for _, t := range p.templates {
		if slices.Contains(t.names(), column) {
			return true
		}
	}
	return false
}

// current is the row that is being read.
type current struct {
	cells []string
	row   int
	*repeated
	value string
}

func (c *current) cell(column int) string {
	if column < 0 || column >= len(c.cells) {
		return ""
	}
	return c.cells[column]
}

// of returns what a field says in a row, before codes are replaced.
func (f *field) of(p *plan, c *current) string {
	if f.single >= 0 {
		return c.cell(f.single)
	}
	out, _ := f.t.fill(nil, func(name string) string {
		switch name {
		case atRow:
			return strconv.Itoa(c.row)
		case atHeader:
			return c.star
		case atValue:
			return c.value
		}
		if at, ok := f.at[name]; ok {
			return c.cell(at)
		}
		if at, ok := c.at[name]; ok {
			return c.cell(at)
		}
		return p.fixed[name]
	})
	return strings.TrimSpace(string(out))
}

// coded returns what a field says in the words of the sheets.
func (f *field) coded(v string) string {
	if f.by == "" || v == "" {
		if code, ok := f.codes[v]; ok {
			return code
		}
		return v
	}
	parts := strings.Split(v, f.by)
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
		if code, ok := f.codes[parts[i]]; ok {
			parts[i] = code
		}
	}
	return strings.Join(parts, f.join)
}

// holds reports whether the row is one that the source takes.
func (p *plan) holds(c *current) bool {
	for i := range p.where {
		w := &p.where[i]
		v := w.of(p, c)
		wanted, fits := false, false
		for _, glob := range w.globs {
			unwanted := strings.HasPrefix(glob, "!")
			switch {
			case !unwanted:
				wanted, fits = true, fits || fitsGlob(glob, v)
			case fitsGlob(glob[1:], v):
				return false
			}
		}
		if wanted && !fits {
			return false
		}
	}
	return true
}

// fitsGlob is matches, but an empty value fits no glob but the empty one.
func fitsGlob(glob, v string) bool {
	_, ok := matches(glob, v)
	return ok && (v != "" || glob == "")
}

// at is the cell that a row of a sheet is said to stand in: the repeated one, else that of its
// name or title.
func (p *plan) at(row, repeatedColumn int) sheets.Place {
	if repeatedColumn >= 0 {
		return p.grid.place(row, repeatedColumn)
	}
	return p.grid.place(row, p.named)
}

// namedColumn is the first column of what a row is called.
func (p *plan) namedColumn() int {
	for _, name := range []string{"title", "name", "contest", "unit", "precinct", "style", "party"} {
		for i := range p.fields {
			if f := &p.fields[i]; f.name == name && f.first >= 0 {
				return f.first
			}
		}
	}
	return 0
}

// cellOf is the cell in which a column of the sheet is said.
func (p *plan) cellOf(column, row, repeatedColumn int) sheets.Place {
	for i := range p.fields {
		if f := &p.fields[i]; f.column == column {
			if f.first < 0 {
				return p.grid.place(row, repeatedColumn)
			}
			return p.grid.place(row, f.first)
		}
	}
	return p.grid.place(row, 0)
}
