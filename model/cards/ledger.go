package cards

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"counterproof/model/sheets"
)

// LedgerColumns are the columns of a ledger as a CSV file: label and unit, export (the digest of the
// export, or whatever names it), made (YYYY-MM-DD or YYYY-MM-DD HH:MM) and by.
var LedgerColumns = []string{"label", "unit", "export", "made", "by"}

// ReadLedger reads a ledger of cards: CSV as a spreadsheet writes it, with a header row, columns in any
// order, all of LedgerColumns and no other. data may be changed. Rows without any value are left out. What
// the values mean is not checked. The error names the file and the line.
func ReadLedger(name string, data []byte) ([]Card, error) {
	rows, err := sheets.OpenRows(name, data)
	if err != nil {
		return nil, err
	}
	header, _, err := rows.Next()
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: no header row; write %s", name, strings.Join(LedgerColumns, ","))
	}
	if err != nil {
		return nil, err
	}
	column := map[string]int{}
	for i, h := range header {
		h = strings.ToLower(strings.TrimSpace(h))
		if _, twice := column[h]; twice || !slices.Contains(LedgerColumns, h) {
			return nil, fmt.Errorf("%s, line 1: column %q; the columns are %s, each once", name, h,
				strings.Join(LedgerColumns, ","))
		}
		column[h] = i
	}
	if len(column) < len(LedgerColumns) {
		return nil, fmt.Errorf("%s, line 1: a column is missing; the columns are %s", name, strings.Join(LedgerColumns, ","))
	}
	var out []Card
	for {
		row, line, err := rows.Next()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		if len(row) != len(column) {
			return nil, fmt.Errorf("%s, line %d: %d values, and the header has %d", name, line, len(row), len(column))
		}
		at := func(h string) string { return strings.TrimSpace(row[column[h]]) }
		c := Card{at("label"), at("unit"), at("export"), at("made"), at("by")}
		if c != (Card{}) {
			out = append(out, c)
		}
	}
}
