package main

import (
	"encoding/csv"
	"io"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/wording"
	"counterproof/model/sheets"
)

// csvColumns are the columns of the CSV, in order. New columns may only be added at the end;
// columns are never renamed.
var csvColumns = []string{
	"id", "check", "grade", "contest", "party", "choice", "precincts", "unit", "site", "style",
	"primary", "second", "message", "look_primary", "look_second", "cause",
}

// beginCSV begins a CSV (RFC 4180, with CRLF) and writes the names of its columns. A byte order mark
// tells spreadsheets that the text is UTF-8.
func beginCSV(w io.Writer, columns []string) (*csv.Writer, error) {
	if _, err := io.WriteString(w, sheets.ByteOrderMark); err != nil {
		return nil, err
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return out, out.Write(columns)
}

// writeCSV writes one row for each finding. Precincts are joined by "|". Text from the export or the
// sheets passes through cellText, which makes it harmless.
func writeCSV(w io.Writer, findings []finding.Finding) error {
	out, err := beginCSV(w, csvColumns)
	if err != nil {
		return err
	}
	for _, f := range findings {
		row := csvRow(&f)
		for i := range row {
			row[i] = cellText(row[i])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// csvRow returns the cells of a finding, without escaping.
func csvRow(f *finding.Finding) []string {
	return []string{
		f.ID, string(f.Check), string(f.Grade), f.Contest, f.Party, f.Choice, strings.Join(f.Precincts, "|"),
		f.Unit, f.Site, f.Style, f.Primary, f.Second, f.Message, f.Places.Primary, f.Places.Second, f.Cause,
	}
}

// cellText makes text safe in a spreadsheet. Invisible and control characters become visible
// escapes. A cell that a spreadsheet might take for a formula, because it begins with = + - @ or
// their full-width forms, gets an apostrophe in front; spreadsheets then show it as text. A program
// that reads the CSV removes one leading apostrophe if one of these characters, or another
// apostrophe, follows it. (The characters are those of the OWASP page "CSV Injection"; tab and
// carriage return, which it also names, are already escaped.)
func cellText(text string) string {
	shown := wording.Visible(text)
	rest := strings.TrimLeft(shown, " ")
	if rest == "" {
		return shown
	}
	switch []rune(rest)[0] {
	case '=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', '\'':
		return "'" + shown
	}
	return shown
}
