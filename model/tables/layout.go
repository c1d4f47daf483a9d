package tables

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"counterproof/model/sheets"
)

// topRows is how far down the row may stand that names the columns.
const topRows = 100

// maxColumns is how many columns a table may have.
const maxColumns = 2000

// grid is one table: a CSV file, or a sheet of a workbook.
type grid struct {
	file  string
	sheet string // empty in a CSV file
	// rows are how many there are at most.
	rows int
	// merged are the cells of merged areas, as long as they run over several rows.
	merged []area
}

// area is a merged area, or the part of it in one column: rows and columns from 1.
type area struct{ top, left, bottom, right int }

// place is a cell of the table; column counts from 0, -1 for the row as a whole.
func (g *grid) place(row, column int) sheets.Place {
	if g.sheet == "" {
		return sheets.Place{File: g.file, Line: row}
	}
	return sheets.Place{File: fmt.Sprintf("%s, sheet %q, %s%d", g.file, g.sheet, columnName(max(column, 0)), row)}
}

// line is a row of a table, and its number from 1: in a CSV file that of the line it begins on.
type line struct {
	row   int
	cells []string
}

// name is what the table is called.
func (g *grid) name() string {
	if g.sheet == "" {
		return printable(g.file)
	}
	return fmt.Sprintf("%s, sheet %q", printable(g.file), g.sheet)
}

// columnName writes the letters of a column, which counts from 0.
func columnName(column int) string {
	name := ""
	for column++; column > 0; column = (column - 1) / 26 {
		name = string(rune('A'+(column-1)%26)) + name
	}
	return name
}

func fault(at sheets.Place, remedy, format string, values ...any) error {
	return &sheets.Error{Place: at, Fault: fmt.Sprintf(format, values...), Remedy: remedy}
}

// header is the row of a table that names its columns.
type header struct {
	row   int
	names []string // as headerName writes them; empty where the cell is
}

// find returns the column of a name, counted from 0.
func (h *header) find(g *grid, name string) (int, error) {
	i := slices.Index(h.names, name)
	if i < 0 {
		return 0, fault(g.place(h.row, 0), h.change([]string{name}, nil), "there is no column %q", name)
	}
	if j := slices.Index(h.names[i+1:], name); j >= 0 {
		return 0, fault(g.place(h.row, i+1+j), "give the columns different names where the table is made",
			"the column %q is there twice, in %s and in %s", name, columnName(i), columnName(i+1+j))
	}
	return i, nil
}

// change says in what the header differs from the columns that were looked for. Those in known
// are no news.
func (h *header) change(wanted, known []string) string {
	var lacks, more []string
	for _, name := range wanted {
		if !slices.Contains(h.names, name) && !slices.Contains(lacks, name) {
			lacks = append(lacks, name)
		}
	}
	for _, name := range h.names {
		if name != "" && !slices.Contains(wanted, name) && !slices.Contains(known, name) {
			more = append(more, name)
		}
	}
	words := "the table lacks " + quoted(lacks)
	switch {
	case len(lacks) == 0:
		words = "the table also has " + quoted(more)
	case len(more) > 0:
		words += ", and has " + quoted(more) + " instead"
	}
	return words + "; correct the mapping, or make one for this table"
}

// quoted lists names for people; of many the first.
func quoted(names []string) string {
	const most = 12
	out := make([]string, 0, most)
	for _, n := range names[:min(len(names), most)] {
		out = append(out, fmt.Sprintf("%q", cut(n)))
	}
	if more := len(names) - most; more > 0 {
		out = append(out, fmt.Sprintf("%d more", more))
	}
	return strings.Join(out, ", ")
}

// printable is a name of a file on one line.
func printable(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return strconv.Quote(name)
	}
	return name
}

// cut shortens a value for an error.
func cut(value string) string {
	const most = 80
	n := 0
	for i := range value {
		if n++; n > most {
			return value[:i] + "…"
		}
	}
	return value
}

// findHeader finds the row that names the columns among the first rows.
func (t *Table) findHeader(g *grid, top []line) (header, error) {
	if t.NoHeader {
		return lettered(top), nil
	}
	if t.Header > 0 {
		i := slices.IndexFunc(top, func(l line) bool { return l.row == t.Header })
		if i < 0 {
			return header{}, fault(g.place(t.Header, 0), "correct \"header\" in the mapping, or the table",
				"there is no row here that names the columns")
		}
		return newHeader(top[i]), nil
	}
	wanted := t.wanted()
	var best header
	most := -1
	for _, l := range top {
		h := newHeader(l)
		held := 0
		for _, name := range wanted {
			if slices.Contains(h.names, name) {
				held++
			}
		}
		if held == len(wanted) && held > 0 {
			return h, nil
		}
		if held > most {
			best, most = h, held
		}
	}
	if most < 0 {
		return best, fault(g.place(1, 0), "check that this is the right file", "the table is empty")
	}
	if most == 0 && len(wanted) == 0 {
		return best, nil
	}
	return best, fault(g.place(best.row, 0), best.change(wanted, t.headers()),
		"this is not the table that the mapping was made for")
}

func newHeader(l line) header {
	h := header{row: l.row, names: make([]string, len(l.cells))}
	for i, cell := range l.cells {
		h.names[i] = headerName(cell)
	}
	return h
}

// headers are the columns that the mapping was made for.
func (t *Table) headers() (out []string) {
	for _, name := range t.Headers {
		out = append(out, headerName(name))
	}
	return out
}

// wanted are the names of the columns that the table must have.
func (t *Table) wanted() []string {
	out := slices.Clone(t.Fill)
	for _, name := range sheetNames() {
		for i := range t.Rows[name] {
			out = append(out, t.Rows[name][i].wanted()...)
		}
	}
	for i := range out {
		out[i] = headerName(out[i])
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (s *Source) wanted() (out []string) {
	if s.Repeat != "" && !strings.Contains(s.Repeat, "*") {
		out = append(out, s.Repeat)
	}
	for _, t := range s.templates {
		for _, name := range t.names() {
			if name[0] != '@' && !(s.Repeat != "" && strings.Contains(name, "*")) {
				out = append(out, name)
			}
		}
	}
	return out
}
