package results

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"counterproof/model/sheets"
)

// Error is one fault of a file: where it is, what is wrong, and what would be right, in one line.
type Error = sheets.Error

// Place is where a row stands. Line counts from 1; 0 means that the place is the file as a whole.
type Place = sheets.Place

func fault(at Place, column, remedy, format string, values ...any) *Error {
	return &Error{Place: at, Column: column, Fault: fmt.Sprintf(format, values...), Remedy: remedy}
}

// table ties the columns of a file to its rows. Reading and writing both come from it.
type table[R any] struct {
	columns []column[R]
	line    func(*R) *int
}

// column is a column of a file. read sets the row's field, and says what is wrong with a cell and
// what would be right; write is the cell of a row.
type column[R any] struct {
	name     string
	optional bool
	read     func(r *R, cell string) (wrong, remedy string)
	write    func(r *R) string
}

// words is a column whose cells stand as they are written.
func words[R any](name string, optional bool, field func(*R) *string) column[R] {
	return column[R]{name, optional, func(r *R, cell string) (string, string) { *field(r) = cell; return "", "" },
		func(r *R) string { return *field(r) }}
}

// number is a column of whole numbers from least on; an empty cell is 0 where that is allowed.
func number[R any](name string, least int, emptyIs0 bool, doc string, field func(*R) *int) column[R] {
	return column[R]{name, false, func(r *R, cell string) (string, string) {
		if cell == "" && emptyIs0 {
			return "", ""
		}
		n, ok := readNumber(cell)
		if !ok || n < least {
			return fmt.Sprintf("%.80q is not %s", cell, doc),
				fmt.Sprintf("write digits, from %d to %d", least, MaxNumber)
		}
		*field(r) = n
		return "", ""
	}, func(r *R) string {
		if *field(r) == 0 && emptyIs0 {
			return ""
		}
		return strconv.Itoa(*field(r))
	}}
}

// MaxRows is how many rows of a file are read, and so how many are written.
const MaxRows = sheets.MaxRows

// MaxNumber is the greatest number of a ballot, and the greatest count, that is read.
const MaxNumber = 999_999_999

// readNumber reads digits.
func readNumber(cell string) (int, bool) {
	if cell == "" || len(cell) > 9 || strings.Trim(cell, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(cell)
	return n, err == nil
}

// read reads the rows of a file with the habits of spreadsheets that sheets allow for. check looks at
// a row as a whole. An error is an *Error. data may be changed.
func (t *table[R]) read(file string, data []byte, check func(r *R, at Place) *Error) ([]R, error) {
	rows, err := sheets.OpenRows(file, data)
	if err != nil {
		return nil, err
	}
	places, err := t.header(file, rows)
	if err != nil {
		return nil, err
	}
	var out []R
	cells := make([]string, len(t.columns))
	for {
		fields, line, err := rows.Next()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		at := Place{File: file, Line: line}
		empty, e := place(cells, fields, places, at)
		if e != nil {
			return nil, e
		}
		if empty {
			continue
		}
		var row R
		*t.line(&row) = line
		for i, c := range t.columns {
			if wrong, remedy := c.read(&row, cells[i]); wrong != "" {
				return nil, fault(at, c.name, remedy, "%s", wrong)
			}
		}
		if e := check(&row, at); e != nil {
			return nil, e
		}
		out = append(out, row)
	}
}

// place puts the fields of a row where their columns are.
func place(cells, fields []string, places []int, at Place) (empty bool, e *Error) {
	clear(cells)
	empty = true
	for i, field := range fields {
		if field = strings.TrimSpace(field); field == "" {
			continue
		}
		if i >= len(places) || places[i] < 0 {
			return false, fault(at, "", "a value that holds the separator must stand in quotation marks, and every column "+
				"needs a name in the first row", "the row holds a value, %.80q, in field %d, where the first row names no column",
				field, i+1)
		}
		cells[places[i]], empty = field, false
	}
	return empty, nil
}

// header reads the first row that holds anything: the column of each field, -1 for one without a name.
func (t *table[R]) header(file string, rows *sheets.Rows) ([]int, error) {
	var names []string
	index := map[string]int{}
	for i, c := range t.columns {
		names = append(names, c.name)
		index[c.name] = i
	}
	known := strings.Join(names, ",")
	var fields []string
	line := 0
	for strings.TrimSpace(strings.Join(fields, "")) == "" {
		var err error
		if fields, line, err = rows.Next(); err == io.EOF {
			return nil, fault(Place{File: file}, "", "the first row names the columns: "+known, "the file is empty")
		} else if err != nil {
			return nil, err
		}
	}
	at := Place{File: file, Line: line}
	places := make([]int, len(fields))
	seen := make([]bool, len(t.columns))
	for i, field := range fields {
		places[i] = -1
		name := strings.ToLower(strings.TrimSpace(field))
		if name == "" {
			continue
		}
		c, ok := index[name]
		if !ok {
			return nil, fault(at, "", "the columns are "+known, "%.80q is not a column of this file", strings.TrimSpace(field))
		}
		if seen[c] {
			return nil, fault(at, name, "keep one of them", "the column is there twice")
		}
		places[i], seen[c] = c, true
	}
	for i, c := range t.columns {
		if !seen[i] && !c.optional {
			return nil, fault(at, c.name, "add it to the first row; the columns are "+known, "the file lacks this column")
		}
	}
	return places, nil
}

// write writes the rows as a spreadsheet on any system opens them. Columns that may be left out are,
// where no row says anything in them. More rows than are read are an error.
func (t *table[R]) write(w io.Writer, rows []R) error {
	if len(rows) > MaxRows {
		return fmt.Errorf("there are %d rows, and a file is read up to %d; write fewer precincts at a time", len(rows),
			MaxRows)
	}
	var columns []column[R]
	var record []string
	for _, c := range t.columns {
		says := !c.optional
		for i := 0; i < len(rows) && !says; i++ {
			says = c.write(&rows[i]) != ""
		}
		if says {
			columns, record = append(columns, c), append(record, c.name)
		}
	}
	if _, err := io.WriteString(w, sheets.ByteOrderMark); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	if err := out.Write(record); err != nil {
		return err
	}
	for i := range rows {
		for k, c := range columns {
			record[k] = lineFeeds.Replace(c.write(&rows[i]))
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

var lineFeeds = strings.NewReplacer("\r\n", "\n", "\r", "\n")
