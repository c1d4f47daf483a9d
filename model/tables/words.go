package tables

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// TableWords says of one table of a mapping what it means, for people who sign it.
type TableWords struct {
	// Table names the files and sheets.
	Table string
	// Lines say how it is laid out, where each column of ours comes from, and which values are
	// replaced. They leave nothing out that the mapping says of the table.
	Lines []string
}

// Words says what a mapping reads, table by table.
func (m *Mapping) Words() (out []TableWords) {
	for i := range m.Tables {
		t := &m.Tables[i]
		words := TableWords{Table: t.File}
		if t.Sheet != "" {
			words.Table += ", sheet " + t.Sheet
		}
		words.Lines = t.layoutWords()
		for _, sheet := range sheetNames() {
			for k := range t.Rows[sheet] {
				words.Lines = append(words.Lines, t.Rows[sheet][k].words(sheet)...)
			}
		}
		out = append(out, words)
	}
	return out
}

func (t *Table) layoutWords() (lines []string) {
	if t.NoHeader {
		lines = append(lines, "no row names the columns: they are A, B, C and so on, and every row holds data")
	}
	if t.Header > 0 {
		lines = append(lines, fmt.Sprintf("row %d names the columns", t.Header))
	}
	if t.Skip > 0 {
		lines = append(lines, fmt.Sprintf("rows below the names that are skipped: %d", t.Skip))
	}
	if len(t.Headers) > 0 {
		lines = append(lines, "made for the columns "+inQuotes(t.Headers))
	}
	if len(t.Fill) > 0 {
		lines = append(lines, "an empty cell means the value above it in "+inQuotes(t.Fill))
	}
	return lines
}

// words says what a row becomes in a sheet: a line for the rows, one for each column of ours.
func (s *Source) words(sheet string) []string {
	rows := sheet + ": a row for each row of the table"
	if s.Repeat != "" {
		rows = fmt.Sprintf("%s: a row for each column “%s” that is not empty", sheet, s.Repeat)
	}
	if s.Split != "" {
		rows += fmt.Sprintf(", and for each part of it between “%s”", s.Split)
	}
	if s.Times != "" {
		rows += fmt.Sprintf(", as often as “%s” says", s.Times)
	}
	for _, text := range slices.Sorted(maps.Keys(s.Where)) {
		rows += fmt.Sprintf(", only where “%s” is %s", text, inQuotes(s.Where[text]))
	}
	if s.Distinct {
		rows += ", equal rows once"
	}
	lines := []string{rows}
	for _, column := range slices.Sorted(maps.Keys(s.Columns)) {
		line := fmt.Sprintf("%s, %s is “%s”", sheet, column, s.Columns[column])
		if by := s.Separators[column]; by != "" {
			line += fmt.Sprintf(", several with “%s” between them", by)
		}
		replace := s.Replace[column]
		for _, from := range slices.Sorted(maps.Keys(replace)) {
			line += fmt.Sprintf("; “%s” is read as “%s”", from, replace[from])
		}
		for _, rule := range ReadingWords(s.Read[column]) {
			line += "; " + rule
		}
		lines = append(lines, line)
	}
	return lines
}

func inQuotes(list []string) string { return "“" + strings.Join(list, "”, “") + "”" }
