package tables

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"
	"github.com/xuri/excelize/v2"
)

// maxRows is how many rows a sheet of a workbook has at most (ECMA-376 sets none; common
// practice).
const maxRows = 1 << 20

// scanned is what the row reader does not tell of a sheet.
type scanned struct {
	last     int // the number of the last row
	hidden   int // rows
	columns  int // hidden ones
	strings  int // how many the table of strings has at least
	formulas int
	merges   int
	merged   []area
}

// notes says what was found, each a sentence.
func (s *scanned) notes(g *grid) (out []string) {
	say := func(n int, what, how string) {
		if n > 0 {
			out = append(out, fmt.Sprintf("%s holds %s: %s.", g.name(), english.Plural(n, what, ""), how))
		}
	}
	say(s.hidden, "hidden row", "what is hidden is read as well")
	say(s.columns, "hidden column", "what is hidden is read as well")
	say(s.formulas, "formula", "the value that was stored with it is read")
	say(s.merges, "merged area", "its value counts for each row that it covers")
	return out
}

// scan goes over the tags of a sheet's XML (ECMA-376-1, 18.3.1). It finds what the reader of rows
// does not tell, and refuses what that would pass over in silence.
func scan(g *grid, data []byte) (scanned, error) {
	var s scanned
	var open [][]byte // the names of the root and of sheetData, as written
	lastRow := -1
	formula, value, shared, ended := false, false, false, false
	row, column := 0, 0
	tags := tags{data: data}
	for {
		at := tags.at
		tag, err := tags.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return s, broken(g.place(max(row, 1), 0))
		}
		local := tag.local()
		if len(open) == 0 && !tag.closes {
			open = append(open, bytes.Clone(tag.name))
			continue
		}
		switch local {
		case "sheetData":
			if !tag.closes {
				open = append(open[:1], bytes.Clone(tag.name))
			}
			ended = tag.closes || tag.empty
		case "row":
			if tag.closes {
				continue
			}
			before := row
			if row = tag.number("r"); row == 0 {
				row = before + 1
			}
			if row <= before || row > maxRows {
				return s, fault(g.place(before+1, 0), "check that this is the right file, or save it again",
					"the rows are out of order, or more than %d", maxRows)
			}
			if tag.hides() {
				s.hidden++
			}
			column, lastRow = 0, at
		case "col":
			if tag.hides() {
				first, last := tag.number("min"), tag.number("max")
				s.columns += max(0, min(last, maxColumns)-first+1)
			}
		case "c":
			if tag.closes || tag.empty {
				if tag.closes && formula && !value {
					return s, fault(g.place(row, column-1), "open it in the spreadsheet program, let it calculate, and save it",
						"the formula has no stored value")
				}
				if tag.closes {
					continue
				}
			}
			formula, value, shared = false, false, tag.value("t") == "s"
			if column = cellColumn(tag.value("r"), column); column > maxColumns {
				return s, fault(g.place(row, 0), "check that this is the right file", "the table has more than %d columns",
					maxColumns)
			}
		case "f":
			if !tag.closes {
				formula = true
				s.formulas++
			}
		case "v", "is":
			value = true
			if shared && !tag.closes && !tag.empty {
				n, ok := tags.number()
				if !ok {
					return s, broken(g.place(row, column-1))
				}
				s.strings = max(s.strings, n+1)
			}
		case "mergeCell":
			if a, ok := readArea(tag.value("ref")); ok && !tag.closes {
				s.merges++
				if a.bottom > a.top && a.left <= maxColumns {
					s.merged = append(s.merged, a)
				}
			}
		}
	}
	if !ended || len(open) == 0 || lastRow >= 0 && !wellFormed(open, data[lastRow:]) {
		return s, broken(g.place(max(row, 1), 0))
	}
	s.last = row
	return s, nil
}

// number reads the number that stands after the last tag. An empty one is none, and says nothing.
func (t *tags) number() (int, bool) {
	text, _, _ := bytes.Cut(t.data[t.at:], []byte("<"))
	if text = bytes.TrimSpace(text); len(text) == 0 {
		return -1, true
	}
	n, err := strconv.Atoi(string(text))
	return n, err == nil && n >= 0
}

// countStrings counts the entries of the table of strings (ECMA-376-1, 18.4.8).
func countStrings(data []byte) (n int) {
	tags := tags{data: data}
	for {
		tag, err := tags.next()
		if err != nil {
			return n
		}
		if tag.local() == "si" && !tag.closes {
			n++
		}
	}
}

// wellFormed reads the end of a sheet, from its last row on, inside the elements that are open.
func wellFormed(open [][]byte, end []byte) bool {
	var head bytes.Buffer
	for _, name := range open {
		prefix, _, is := bytes.Cut(name, []byte(":"))
		fmt.Fprintf(&head, "<%s", name)
		if is {
			fmt.Fprintf(&head, ` xmlns:%s="x"`, prefix)
		}
		head.WriteByte('>')
	}
	d := xml.NewDecoder(io.MultiReader(&head, bytes.NewReader(end)))
	for {
		if _, err := d.Token(); err != nil {
			return errors.Is(err, io.EOF)
		}
	}
}

// cellColumn is the column of a cell, from 1: as its name says, else after the one before.
func cellColumn(name string, before int) int {
	column := 0
	for i := 0; i < len(name) && i < 4; i++ {
		c := name[i] &^ 0x20
		if c < 'A' || c > 'Z' {
			break
		}
		column = column*26 + int(c-'A') + 1
	}
	if column == 0 {
		return before + 1
	}
	return column
}

// readArea reads "B2:B7".
func readArea(ref string) (area, bool) {
	first, last, ok := strings.Cut(ref, ":")
	if !ok {
		return area{}, false
	}
	left, top, err := excelize.CellNameToCoordinates(first)
	right, bottom, err2 := excelize.CellNameToCoordinates(last)
	return area{top, left, bottom, right}, err == nil && err2 == nil
}

// tags goes over the tags of XML, passing over text, comments and what is not an element.
type tags struct {
	data []byte
	at   int
}

type tag struct {
	name          []byte
	rest          []byte // its attributes
	closes, empty bool
}

var errTag = errors.New("a tag does not end")

func (t *tags) next() (tag, error) {
	for {
		i := bytes.IndexByte(t.data[t.at:], '<')
		if i < 0 {
			return tag{}, io.EOF
		}
		t.at += i
		rest := t.data[t.at:]
		skipped := false
		for _, kind := range [][2]string{{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"<?", "?>"}} {
			if bytes.HasPrefix(rest, []byte(kind[0])) {
				end := bytes.Index(rest, []byte(kind[1]))
				if end < 0 {
					return tag{}, errTag
				}
				t.at += end + len(kind[1])
				skipped = true
				break
			}
		}
		if skipped {
			continue
		}
		end := tagEnd(rest)
		if end < 0 || bytes.HasPrefix(rest, []byte("<!")) {
			return tag{}, errTag
		}
		t.at += end + 1
		body := rest[1:end]
		out := tag{closes: bytes.HasPrefix(body, []byte("/")), empty: bytes.HasSuffix(body, []byte("/"))}
		body = bytes.Trim(body, "/")
		if space := bytes.IndexAny(body, " \t\r\n"); space >= 0 {
			out.name, out.rest = body[:space], body[space:]
		} else {
			out.name = body
		}
		return out, nil
	}
}

// tagEnd finds the end of a tag, outside quotation marks; -1 if there is none.
func tagEnd(data []byte) int {
	end := bytes.IndexByte(data, '>')
	if end < 0 || bytes.IndexByte(data[:end], '"') < 0 && bytes.IndexByte(data[:end], '\'') < 0 {
		return end
	}
	quote := byte(0)
	for i, c := range data {
		switch {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '>':
			return i
		}
	}
	return -1
}

func (t *tag) local() string {
	name := t.name
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		name = name[i+1:]
	}
	i := slices.Index(scannedNames, string(name))
	if i < 0 {
		return ""
	}
	return scannedNames[i]
}

// scannedNames saves a copy of each name.
var scannedNames = []string{"c", "v", "row", "f", "is", "col", "si", "mergeCell", "sheetData"}

// value returns an attribute, empty if it is missing.
func (t *tag) value(name string) string {
	rest := t.rest
	for {
		i := bytes.Index(rest, []byte(name+"="))
		if i < 0 || i+len(name)+2 > len(rest) {
			return ""
		}
		before, quote := byte(' '), rest[i+len(name)+1]
		if i > 0 {
			before = rest[i-1]
		}
		rest = rest[i+len(name)+1:]
		if strings.IndexByte(" \t\r\n", before) < 0 || quote != '"' && quote != '\'' {
			continue
		}
		end := bytes.IndexByte(rest[1:], quote)
		if end < 0 {
			return ""
		}
		return string(rest[1 : end+1])
	}
}

func (t *tag) hides() bool {
	hidden := t.value("hidden")
	return hidden == "1" || hidden == "true"
}

func (t *tag) number(name string) int {
	n, err := strconv.Atoi(t.value(name))
	if err != nil || n < 0 {
		return 0
	}
	return n
}
