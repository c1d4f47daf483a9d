package sheets

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
)

// Limits on what is read. They are far above any election: 10,000 precincts with
// 100 contests each make a million rows.
const (
	MaxFileSize = 256 << 20 // of a sheet, in bytes
	MaxRows     = 4 << 20   // of a sheet
	maxCell     = 1 << 20
)

// table reads one CSV file with a spreadsheet's habits: see openTable.
type table struct {
	lined
	columns []Column
	// place maps the fields of a record to columns; -1 for a field without a
	// name in the header. tags are the languages of the fields that are wordings in
	// further languages, empty for the others.
	place []int
	tags  []string
	// cells are the current row, by column.
	cells   []string
	interns []interner
	rows    int
	most    int // rows that are read
}

// openTable reads the header. It takes any encoding that toUTF8 knows, a comma,
// semicolon or tab between values, blank rows, columns in any order, and header
// names in any case and with blanks for underscores. data may be changed.
func openTable(file string, data []byte, columns []Column) (*table, error) {
	lines, err := openLines(file, data, func(head []byte) rune { return detectSeparator(head, columns) })
	if err != nil {
		return nil, err
	}
	t := &table{lined: lines, columns: columns, most: MaxRows}
	if err := t.readHeader(); err != nil {
		return nil, err
	}
	t.cells = make([]string, len(columns))
	t.interns = make([]interner, len(columns))
	return t, nil
}

// lined are the rows of a CSV file with a spreadsheet's habits, whatever they hold.
type lined struct {
	file   string
	reader records
	valid  bool // all of the file is UTF-8
	ahead  int  // lines before the header that the reader did not see
	lines  int  // no more rows than this can follow
}

// openLines finds encoding and separator; detect names the one of data that names none.
func openLines(file string, data []byte, detect func(data []byte) rune) (lined, error) {
	whole := Place{File: file}
	if len(data) > MaxFileSize {
		return lined{}, fault(whole, "", "a sheet of an election has far less: check that this is the right file",
			"the file is larger than %d MB", MaxFileSize>>20)
	}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("\xD0\xCF\x11\xE0")) {
		return lined{}, fault(whole, "", "open it in the spreadsheet program and save it as CSV UTF-8",
			"this is a spreadsheet workbook, not CSV")
	}
	data = toUTF8(data)
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return lined{}, fault(Place{file, bytes.Count(data[:i], []byte("\n")) + 1}, "", "save it as CSV UTF-8",
			"there is a NUL byte, so this is not CSV text")
	}
	t := lined{file: file, valid: utf8.Valid(data)}
	comma, rest, named := separatorLine(data)
	if named {
		data, t.ahead = rest, 1
	} else {
		comma = detect(data)
	}
	if bytes.IndexByte(data, '"') < 0 {
		t.reader = &plainReader{text: string(data), comma: byte(comma)}
	} else {
		t.reader = newReader(data, comma)
	}
	t.lines = bytes.Count(data, []byte("\n")) + 1
	return t, nil
}

func newReader(data []byte, comma rune) *csv.Reader {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = comma
	r.FieldsPerRecord = -1
	r.ReuseRecord = true
	// A blank between a separator and a quotation mark is a fault to the CSV
	// reader and a habit of people who type sheets by hand. (With tabs it would
	// swallow empty cells.)
	r.TrimLeadingSpace = comma != '\t' && bytes.Contains(data, []byte(string(comma)+` "`))
	return r
}

// separatorLine recognises the line `sep=;` that some spreadsheets put first.
func separatorLine(data []byte) (comma rune, rest []byte, named bool) {
	line, rest, _ := bytes.Cut(data, []byte("\n"))
	line = bytes.Trim(bytes.TrimSuffix(line, []byte("\r")), `"`)
	if len(line) == 5 && strings.EqualFold(string(line[:4]), "sep=") && bytes.IndexByte([]byte(",;\t"), line[4]) >= 0 {
		return rune(line[4]), rest, true
	}
	return 0, data, false
}

// detectSeparator returns the separator with which the header names most of the
// columns; a comma in doubt.
func detectSeparator(data []byte, columns []Column) rune {
	best, most := ',', 0
	head := data[:min(len(data), 64<<10)]
	for _, comma := range []rune{',', ';', '\t'} {
		r := newReader(head, comma)
		record, err := r.Read()
		for err == nil && blank(record) {
			record, err = r.Read()
		}
		known := 0
		for _, name := range record {
			name, _, _ = strings.Cut(name, "[")
			if columnIndex(columns, headerName(name)) >= 0 {
				known++
			}
		}
		if known > most {
			best, most = comma, known
		}
	}
	return best
}

// headerName folds what people vary in a header: case, and blanks or hyphens for
// underscores.
func headerName(cell string) string {
	words := strings.FieldsFunc(strings.ToLower(cell), func(r rune) bool {
		return r == '_' || r == '-' || strings.TrimSpace(string(r)) == ""
	})
	return strings.Join(words, "_")
}

func columnIndex(columns []Column, name string) int {
	for i, c := range columns {
		if c.Name == name {
			return i
		}
	}
	return -1
}

func blank(record []string) bool {
	for _, cell := range record {
		if strings.TrimSpace(cell) != "" {
			return false
		}
	}
	return true
}

func (t *table) readHeader() error {
	var names []string
	for _, c := range t.columns {
		if !strings.HasSuffix(c.Name, furtherMark) {
			names = append(names, c.Name)
		}
	}
	known := "the columns are " + list(names, "and")
	record, err := t.read()
	for err == nil && blank(record) {
		record, err = t.read()
	}
	if err == io.EOF {
		return fault(Place{File: t.file}, "", "the first row names the columns: "+strings.Join(names, ","),
			"the sheet is empty")
	}
	if err != nil {
		return err
	}
	at := Place{t.file, t.line(0)}
	seen := make(map[string]bool, len(t.columns))
	for i, cell := range record {
		name := strings.TrimSpace(cell)
		if !utf8.ValidString(cell) {
			return fault(at, "", "save the sheet as CSV UTF-8", "the name of column %d, %s, is not UTF-8", i+1, quote(name))
		}
		if name == "" {
			t.place, t.tags = append(t.place, -1), append(t.tags, "")
			continue
		}
		c, tag := columnIndex(t.columns, headerName(name)), ""
		if base, _, is := strings.Cut(name, "["); is {
			if c, tag, err = t.furtherColumn(at, name, headerName(base)); err != nil {
				return err
			}
		}
		if c < 0 {
			return fault(at, "", didYouMean(headerName(name), names, known), "%s is not a column of this sheet", quote(name))
		}
		called := t.columns[c].Name
		if tag != "" {
			called = strings.TrimSuffix(called, "]") + tag + "]"
		}
		if seen[called] {
			return fault(at, called, "keep one of them", "the column is there twice")
		}
		seen[called] = true
		t.place, t.tags = append(t.place, c), append(t.tags, tag)
	}
	for _, column := range t.columns {
		if !seen[column.Name] && !column.Optional {
			return fault(at, column.Name, "add it to the first row; "+known, "the sheet lacks this column")
		}
	}
	return nil
}

// mostFields is how many columns a sheet may have, further languages included.
const mostFields = 200

// furtherColumn returns the column of a field in a further language, and the language.
func (t *table) furtherColumn(at Place, name, base string) (column int, tag string, err error) {
	if column = columnIndex(t.columns, base+furtherMark); column < 0 {
		var bases []string
		for _, c := range t.columns {
			if base, is := strings.CutSuffix(c.Name, furtherMark); is {
				bases = append(bases, base)
			}
		}
		remedy := "take it out: nothing of this sheet is in further languages"
		if len(bases) > 0 {
			remedy = "what this sheet may hold in further languages is " + list(bases, "and")
		}
		return 0, "", fault(at, "", remedy, "%s is not a column of this sheet", quote(name))
	}
	if _, language, ok := FurtherColumn(name); ok && len(t.place) < mostFields {
		return column, language, nil
	}
	return 0, "", fault(at, "", "write the tag of the language, such as "+base+"[es] or "+base+"[zh-Hant]",
		"%s names no language, or there are over %d columns", quote(name), mostFields)
}

// next reads the next row that holds anything. The cells, trimmed and by column,
// are good until the next call; their strings stay good, and equal ones share
// memory. After the last row it returns io.EOF.
func (t *table) next() (cells []string, at Place, err error) {
	for {
		record, err := t.read()
		if err != nil {
			return nil, Place{}, err
		}
		clear(t.cells)
		empty := true
		for i, cell := range record {
			if cell == "" {
				continue
			}
			if cell = strings.TrimSpace(cell); cell == "" {
				continue
			}
			c := -1
			if i < len(t.place) {
				c = t.place[i]
			}
			if c < 0 {
				return nil, Place{}, fault(Place{t.file, t.line(i)}, "",
					"a value that holds the separator must stand in quotation marks, and every column needs a name in the first row",
					"the row holds a value, %s, in field %d, where the first row names no column", quote(cell), i+1)
			}
			if len(cell) > maxCell {
				return nil, Place{}, fault(Place{t.file, t.line(i)}, t.columns[c].Name,
					"look for a quotation mark that is never closed", "the value is longer than %d bytes", maxCell)
			}
			if !t.valid && !utf8.ValidString(cell) {
				return nil, Place{}, fault(Place{t.file, t.line(i)}, t.columns[c].Name, "save the sheet as CSV UTF-8",
					"the value %s is not UTF-8", quote(cell))
			}
			if tag := t.tags[i]; tag != "" {
				cell = FurtherWith(t.cells[c], tag, cell)
			}
			t.cells[c] = t.interns[c].get(cell)
			empty = false
		}
		if empty {
			continue
		}
		if t.rows++; t.rows > t.most {
			return nil, Place{}, fault(Place{t.file, t.line(0)}, "", "check that this is the right file",
				"the sheet has more than %d rows", t.most)
		}
		return t.cells, Place{t.file, t.line(0)}, nil
	}
}

func (t *lined) line(field int) int {
	line, _ := t.reader.FieldPos(field)
	return line + t.ahead
}

// read reads a record and words the faults of the CSV itself.
func (t *lined) read() ([]string, error) {
	record, err := t.reader.Read()
	if err == nil || err == io.EOF {
		return record, err
	}
	e := &Error{Place: Place{File: t.file}, Fault: "the row cannot be read", Remedy: "save the sheet again as CSV UTF-8",
		Cause: err}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		e.Line = parse.Line + t.ahead
		switch {
		case errors.Is(err, csv.ErrBareQuote):
			e.Fault = "there is a quotation mark inside a value that does not begin with one"
			e.Remedy = `put the whole value in quotation marks and double those inside: "James ""Jim"" Roe"`
		case errors.Is(err, csv.ErrQuote):
			e.Line = parse.StartLine + t.ahead
			e.Fault = "a value in quotation marks is not closed, or goes on after the closing mark"
			e.Remedy = `close it before the separator and double the marks inside: "James ""Jim"" Roe"`
		}
	}
	return nil, e
}
