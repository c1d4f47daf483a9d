package tables

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/model"
	"counterproof/model/sheets"
)

// Format is the name of the format of a mapping. A key may be added to it, never renamed.
const Format = "counterproof-mapping/1"

// MaxMapping is how long a mapping may be, in bytes.
const MaxMapping = 1 << 20

// Mapping says how rows of tables become rows of sheets.
type Mapping struct {
	Format string `json:"format"`
	// Language is the tag of the first language of the tables' texts; "en" where it is empty.
	Language string `json:"language,omitzero"`
	// Dates is the order of dates with slashes: MonthFirst or DayFirst. Where it is empty, such dates
	// are refused.
	Dates  string  `json:"dates,omitzero"`
	Tables []Table `json:"tables"`
	// SHA256 is the digest of the file that the mapping was read from, hexadecimal.
	SHA256 string `json:"-"`
}

// Table says which tables are meant, how they are laid out, and what their rows become.
type Table struct {
	// File and Sheet are globs of the names of files and, in workbooks, of their sheets. An
	// empty Sheet means every sheet.
	File  string `json:"file"`
	Sheet string `json:"sheet,omitzero"`
	// Header is the number of the row that names the columns; 0: the first row that holds all
	// names that the mapping uses. Skip is how many rows below it hold no data.
	Header int `json:"header,omitzero"`
	Skip   int `json:"skip,omitzero"`
	// NoHeader says that no row names the columns. They are called A, B, C, and every row holds data.
	NoHeader bool `json:"no_header,omitzero"`
	// Headers are all the columns that the mapping was made for, but for repeated ones: a table
	// with others is refused. Empty: only the columns that the mapping uses have to be there.
	Headers []string `json:"headers,omitzero"`
	// Fill are columns in which an empty cell means the value above it, unless one before it in Fill
	// has a value in its row.
	Fill []string `json:"fill,omitzero"`
	// Rows are what each row becomes, by the name of the sheet ("contests").
	Rows map[string][]Source `json:"rows"`
}

// Source makes a row of a sheet of a row of the table, or several.
type Source struct {
	// Columns are templates by the name of the sheet's column.
	Columns map[string]string `json:"columns"`
	// Repeat is a glob of columns: there is a row for each of them whose cell is not empty.
	Repeat string `json:"repeat,omitzero"`
	// Split takes the repeated cell apart: there is a row for each part.
	Split string `json:"split,omitzero"`
	// Times is a template that says how many such rows there are.
	Times string `json:"times,omitzero"`
	// Where are globs by template: other rows are left out.
	Where map[string][]string `json:"where,omitzero"`
	// Separators are what stands between several values of a cell, by column of the sheet.
	Separators map[string]string `json:"separators,omitzero"`
	// Replace says which codes stand for which, by column of the sheet; for columns of codes only.
	Replace map[string]map[string]string `json:"replace,omitzero"`
	// Read are the rules by which wordings of a certified document are read, by column of the sheet.
	Read map[string]model.Reading `json:"read,omitzero"`
	// Distinct says that equal rows are one row. Rows of contests, parties, precincts, styles,
	// units and the election are it always.
	Distinct bool `json:"distinct,omitzero"`

	// templates are those of Columns by column, of Where by "where " and the text, and "times".
	templates map[string]template
}

// codes are the columns whose values may be replaced.
var codes = []string{"party", "kind", "use", "write_in", "party_lines", "primary_party"}

// joined are the columns that hold several values, and what joins them in the sheets.
var joined = map[string]string{"party_lines": "|", "primary_party": "|", "party": "|", "heading": "|",
	"choice_order": "|", "name": " / "}

// needs are the columns without one of which a row of the sheet says nothing.
var needs = map[string][]string{"parties": {"party", "name"}, "precincts": {"precinct"}, "contests": {"contest"},
	"choices": {"contest"}, "ballots": {"contest"}, "styles": {"style"}, "units": {"unit"}, "election": {"name", "date",
		"jurisdiction"}, districtRows: {"district"}}

// ParseMapping reads a mapping. An error is one line; name is what it calls the mapping.
func ParseMapping(name string, data []byte) (*Mapping, error) {
	m := &Mapping{}
	name = printable(name)
	if len(data) > MaxMapping {
		return nil, fmt.Errorf("%s: the mapping is larger than %d MB; check that this is the right file", name,
			MaxMapping>>20)
	}
	if err := json.Unmarshal(data, m, json.RejectUnknownMembers(true)); err != nil {
		return nil, badMapping(name, err)
	}
	sum := sha256.Sum256(data)
	m.SHA256 = hex.EncodeToString(sum[:])
	if err := m.check(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return m, nil
}

// badMapping words what the JSON reader found.
func badMapping(name string, err error) error {
	var meaning *json.SemanticError
	var syntax *jsontext.SyntacticError
	switch {
	case errors.Is(err, json.ErrUnknownName) && errors.As(err, &meaning):
		return fmt.Errorf("%s: a mapping has no %q; model/tables/README.md lists its keys", name,
			meaning.JSONPointer.LastToken())
	case errors.As(err, &meaning):
		return fmt.Errorf("%s: %s is of another kind in a mapping; model/tables/README.md shows one", name,
			strconv.Quote(string(meaning.JSONPointer)))
	case errors.As(err, &syntax):
		return fmt.Errorf("%s: this is no JSON, or a key is there twice, at %q (byte %d); "+
			"model/tables/README.md shows a mapping",
			name, string(syntax.JSONPointer), syntax.ByteOffset)
	}
	return fmt.Errorf("%s: this is no mapping; model/tables/README.md shows one", name)
}

// check looks whether the mapping can be meant so.
func (m *Mapping) check() error {
	if m.Format != Format {
		return fmt.Errorf("the format is %q; this program reads %q", m.Format, Format)
	}
	if m.Language == "" {
		m.Language = "en"
	}
	tag, ok := model.LanguageTag(m.Language)
	if !ok {
		return fmt.Errorf("%q is no tag of a language; write one such as en or zh-Hant", m.Language)
	}
	m.Language = tag
	if m.Dates != "" && m.Dates != MonthFirst && m.Dates != DayFirst {
		return fmt.Errorf("%q is no order of dates; write %q or %q", m.Dates, MonthFirst, DayFirst)
	}
	if len(m.Tables) == 0 || len(m.Tables) > 1000 {
		return errors.New("a mapping has between 1 and 1,000 tables")
	}
	for i := range m.Tables {
		if err := m.Tables[i].check(); err != nil {
			return fmt.Errorf("tables[%d], %q: %w", i, m.Tables[i].File, err)
		}
	}
	return nil
}

func (t *Table) check() error {
	switch {
	case t.File == "":
		return errors.New("name the file, such as \"candidates*.csv\"")
	case t.Header < 0 || t.Header > topRows || t.Skip < 0:
		return fmt.Errorf("the header is a row from 1 to %d, and no fewer than 0 rows are skipped", topRows)
	case t.NoHeader && t.Header > 0:
		return errors.New("\"header\" names the row that names the columns, and \"no_header\" says that there is none")
	case len(t.Rows) == 0:
		return errors.New("say in \"rows\" what its rows become; for a table that is not read, leave it out")
	}
	for sheet, sources := range t.Rows {
		known := columnsOf(sheet)
		if known == nil {
			return fmt.Errorf("there is no sheet %q; the sheets are %s", sheet, strings.Join(sheetNames(), ", "))
		}
		for k := range sources {
			if err := sources[k].check(sheet, known); err != nil {
				return fmt.Errorf("%s[%d]: %w", sheet, k, err)
			}
		}
	}
	return nil
}

func (s *Source) check(sheet string, known []string) error {
	for column := range s.Columns {
		if columnIndex(known, column) < 0 {
			return fmt.Errorf("%q is no column of %s; its columns are %s", column, sheet, strings.Join(known, ", "))
		}
	}
	if !slices.ContainsFunc(needs[sheet], func(c string) bool { return s.Columns[c] != "" }) {
		return fmt.Errorf("say where %s comes from", strings.Join(needs[sheet], " or "))
	}
	for column := range s.Replace {
		if !slices.Contains(codes, column) {
			return fmt.Errorf("%q is no column of codes: what names, titles and numbers say is never replaced, only %s",
				column,
				strings.Join(codes, ", "))
		}
		if s.Columns[column] == "" {
			return fmt.Errorf("values of %q are replaced, and nothing says where it comes from", column)
		}
	}
	for column, by := range s.Separators {
		if base, _, _ := strings.Cut(column, "["); joined[base] == "" || base == "name" && sheet != "choices" || by == "" {
			return fmt.Errorf("%q holds one value, or the separator is empty", column)
		}
	}
	if err := s.checkReading(); err != nil {
		return err
	}
	s.templates = map[string]template{}
	texts := maps.Clone(s.Columns)
	for text := range s.Where {
		texts["where "+text] = text
	}
	if s.Times != "" {
		texts["times"] = s.Times
	}
	for key, text := range texts {
		t, err := parseTemplate(text)
		if err != nil {
			return err
		}
		s.templates[key] = t
	}
	if s.Split != "" && s.Repeat == "" || strings.Count(s.Repeat, "*") > 1 {
		return errors.New("\"repeat\" names the column that \"split\" takes apart, or several by one *")
	}
	return nil
}

// sheetNames are the names of the sheets in a mapping.
func sheetNames() (out []string) {
	for _, s := range sheets.Describe() {
		out = append(out, strings.TrimSuffix(s.File, ".csv"))
	}
	return append(out, districtRows)
}

// columnsOf are the names of a sheet's columns; nil if there is no such sheet.
func columnsOf(sheet string) (out []string) {
	if sheet == districtRows {
		return districtColumns
	}
	for _, s := range sheets.Describe() {
		if s.File == sheet+".csv" {
			for _, c := range s.Columns {
				out = append(out, c.Name)
			}
		}
	}
	return out
}

// columnIndex finds a column, or that of further languages ("title[es]").
func columnIndex(columns []string, name string) int {
	if further, _, ok := sheets.FurtherColumn(name); ok {
		name = further
	} else if strings.HasSuffix(name, "[]") {
		return -1
	}
	return slices.Index(columns, name)
}
