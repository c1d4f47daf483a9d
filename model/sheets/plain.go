package sheets

import (
	"io"
	"strings"
)

// records are the rows of a CSV file: encoding/csv, or plainReader.
type records interface {
	// Read returns the fields of the next row that is not an empty line. They are
	// good until the next call.
	Read() ([]string, error)
	// FieldPos returns the line on which a field of that row begins, from 1.
	FieldPos(field int) (line, column int)
}

// plainReader reads what encoding/csv would from a file without a quotation mark,
// at a third of the cost: a line is a row, and fields are cut out of the text
// without a copy.
type plainReader struct {
	text   string
	comma  byte
	line   int
	fields []string
}

func (r *plainReader) Read() ([]string, error) {
	for r.text != "" {
		var line string
		line, r.text, _ = strings.Cut(r.text, "\n")
		r.line++
		line = strings.TrimSuffix(line, "\r")
		if line == "" {
			continue
		}
		r.fields = r.fields[:0]
		start := 0
		for i := range len(line) {
			if line[i] == r.comma {
				r.fields = append(r.fields, line[start:i])
				start = i + 1
			}
		}
		r.fields = append(r.fields, line[start:])
		return r.fields, nil
	}
	return nil, io.EOF
}

func (r *plainReader) FieldPos(int) (line, column int) { return r.line, 0 }
