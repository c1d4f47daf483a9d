package casefile

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Table is a kind of keyed thing.
type Table uint8

// The tables of the second entry. A face is one ballot as the proof prints it. It is keyed once;
// its contests are Placements, and Assignments give it to precincts.
const (
	Facts Table = iota
	Parties
	Precincts
	Contests
	Choices
	Faces
	Placements
	Assignments
	Units
	Headers
	tables // the number of tables
)

// The columns of the tables, as FORMAT.md documents them. A column has the same meaning as the
// column of that name in the sheets, and so do "-" and the empty cell: an empty cell is not keyed.
// The columns contest (of Choices and Placements), face, and unit (of Headers) hold the row number
// of the contest, face or unit. The column contest of Contests is its short code.
var schema = [tables]struct {
	name    string
	columns []string
}{
	Facts:     {"facts", []string{"name", "date", "jurisdiction", "name[]"}},
	Parties:   {"party", []string{"party", "name", "order", "name[]"}},
	Precincts: {"precinct", []string{"precinct", "site", "use"}},
	Contests: {"contest", []string{"contest", "title", "subtitle", "kind", "vote_for", "primary_party", "text",
		"source", "variation", "title[]", "subtitle[]", "text[]"}},
	Choices: {"choice", []string{"contest", "position", "name", "party_lines", "write_in", "person",
		"name[]"}},
	Faces:       {"face", []string{"style", "party", "precinct"}},
	Placements:  {"place", []string{"face", "position", "contest", "heading", "choice_order", "heading[]"}},
	Assignments: {"give", []string{"face", "precinct"}},
	Units:       {"unit", []string{"unit", "site", "use"}},
	Headers:     {"header", []string{"unit", "precinct"}},
}

// String returns the table's name in the record ("contest").
func (t Table) String() string {
	if t < tables {
		return schema[t].name
	}
	return "table " + strconv.Itoa(int(t))
}

// Columns returns the names of the table's columns.
func (t Table) Columns() []string {
	if t < tables {
		return append([]string(nil), schema[t].columns...)
	}
	return nil
}

// Field is one keyed field: column Column of row Row of a table. Row numbers count from 1, are
// never reused and stay with their thing.
type Field struct {
	// Source is 0 for fields keyed in this case, n for the nth joined case (State.Joined[n-1]).
	Source int
	Table  Table
	Row    int
	Column string
}

// String returns the field's path in the record: "contest/17/title", or
// "2:contest/17/title" in the second joined case.
func (f Field) String() string {
	s := f.Table.String() + "/" + strconv.Itoa(f.Row) + "/" + f.Column
	if f.Source > 0 {
		return strconv.Itoa(f.Source) + ":" + s
	}
	return s
}

// ParseField reads what Field.String writes.
func ParseField(path string) (Field, error) {
	end := strings.LastIndexByte(path, '/')
	if end > 0 && end < len(path)-1 {
		if row, ok := parseRow(path[:end]); ok {
			f := row.field()
			f.Column = path[end+1:]
			if _, _, is := furtherField(f); is {
				return f, nil
			}
		}
	}
	a, ok := parseCell(path)
	if !ok {
		return Field{},
			refuse(ErrRule, "%q names no field of the second entry; a field is table/row/column, as contest/17/title", path)
	}
	return a.field(), nil
}

// Row is one row of a table: a contest, a choice, a face.
type Row struct {
	Source int
	Table  Table
	Row    int
}

// String returns the row's path: "contest/17", or "2:contest/17".
func (r Row) String() string {
	s := r.Table.String() + "/" + strconv.Itoa(r.Row)
	if r.Source > 0 {
		return strconv.Itoa(r.Source) + ":" + s
	}
	return s
}

// MarshalText writes the path.
func (r Row) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads the path.
func (r *Row) UnmarshalText(b []byte) error {
	a, ok := parseRow(string(b))
	if !ok {
		return fmt.Errorf("%q names no row of the second entry; a row is table/number, as contest/17", b)
	}
	*r = Row{int(a.source), a.table, int(a.row)}
	return nil
}

// Change sets one field. An empty Value makes the field "not keyed"; a row without any value no
// longer exists.
type Change struct {
	Field
	Value string
}

// Set makes a Change in the table of this case.
func Set(t Table, row int, column, value string) Change {
	return Change{Field{Table: t, Row: row, Column: column}, value}
}

// cell is a Field in the compact form that the fold uses.
type cell struct {
	row    int32
	source uint16
	table  Table
	column uint8
}

func (a cell) field() Field {
	return Field{int(a.source), a.table, int(a.row), schema[a.table].columns[a.column]}
}

const (
	maxRow    = 1 << 26
	maxSource = 1 << 10
	// maxValue limits a keyed value, in bytes. Long measures have some 10,000 letters.
	maxValue = 1 << 20
)

// parseCell reads the path of a field.
func parseCell(path string) (cell, bool) {
	end := strings.LastIndexByte(path, '/')
	if end < 0 {
		return cell{}, false
	}
	a, ok := parseRow(path[:end])
	if ok {
		a.column, ok = columnNamed(a.table, path[end+1:])
	}
	return a, ok
}

// parseRow reads the path of a row; the column of the result is the first. Every keyed entry is
// parsed here, so it looks at each byte once.
func parseRow(path string) (a cell, ok bool) {
	if path != "" && path[0] >= '0' && path[0] <= '9' {
		n, rest, ok := number(path, maxSource)
		if !ok || n == 0 || rest == "" || rest[0] != ':' {
			return a, false
		}
		a.source, path = uint16(n), rest[1:]
	}
	slash := strings.IndexByte(path, '/')
	if slash < 0 {
		return a, false
	}
	if a.table, ok = tableNamed(path[:slash]); !ok {
		return a, false
	}
	n, rest, ok := number(path[slash+1:], maxRow)
	a.row = int32(n)
	return a, ok && n > 0 && rest == ""
}

func columnNamed(t Table, name string) (uint8, bool) {
	for i, c := range schema[t].columns {
		if c == name {
			return uint8(i), true
		}
	}
	return 0, false
}

func tableNamed(name string) (Table, bool) {
	for t := range schema {
		if schema[t].name == name {
			return Table(t), true
		}
	}
	return 0, false
}

// number reads digits without leading zeros, so that each field has only one path.
func number(s string, limit int) (n int, rest string, ok bool) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' && n <= limit {
		n = n*10 + int(s[i]-'0')
		i++
	}
	return n, s[i:], i > 0 && n <= limit && (s[0] != '0' || i == 1)
}

// cells checks changes and converts them to the form that the fold uses.
func cells(changes []Change) ([]cell, error) {
	out := make([]cell, 0, len(changes))
	for _, ch := range changes {
		a, ok := parseCell(ch.String())
		if !ok {
			return nil, refuse(ErrRule, "%s is no field of the second entry", ch.Field)
		}
		if len(ch.Value) > maxValue {
			return nil, refuse(ErrRule, "%s: a value of %d bytes is too long; at most %d are kept", ch.Field, len(ch.Value),
				maxValue)
		}
		if !utf8.ValidString(ch.Value) {
			return nil, refuse(ErrRule, "%s: the value is not valid UTF-8; type it again", ch.Field)
		}
		out = append(out, a)
	}
	return out, nil
}

func itoa(n int) string { return strconv.Itoa(n) }
