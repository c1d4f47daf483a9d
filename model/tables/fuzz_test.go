package tables_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model/tables"
)

// FuzzTables reads any bytes as a table through any mapping: there is an election, or one line.
func FuzzTables(f *testing.F) {
	book := excelize.NewFile()
	require.NoError(f, book.SetSheetRow("Sheet1", "A1", &[]any{"Precinct", "Contest", "Seats", "Name"}))
	require.NoError(f, book.SetSheetRow("Sheet1", "A2", &[]any{"1-01", "Mayor", 1, "Ilse Brandywine"}))
	require.NoError(f, book.MergeCell("Sheet1", "A2", "A3"))
	var b bytes.Buffer
	require.NoError(f, book.Write(&b))
	const mapping = `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {
		"precincts": [{"columns": {"precinct": "{Precinct}"}}],
		"contests": [{"columns": {"contest": "{Contest}", "title": "{Contest}[, {Seats}]", "vote_for": "{Seats}"}}],
		"choices": [{"repeat": "Name*", "split": "/", "times": "{Seats}", "where": {"{@value}": ["*a*", ""]},
			"columns": {"contest": "{Contest}", "name": "{@value} {@header}{@row}{@file}", "party_lines": "{Seats}"},
			"separators": {"party_lines": ","}, "replace": {"party_lines": {"1": "-"}}}],
		"ballots": [{"distinct": true, "columns": {"precinct": "{Precinct}", "contest": "{Contest}"}}]}}]}`
	f.Add(b.Bytes(), []byte(mapping))
	f.Add([]byte("Precinct,Contest,Seats,Name\n1-01,Mayor,1,Ada/Ben\n"), []byte(mapping))
	f.Add([]byte("x\n\nPrecinct;Contest;Seats;Name 2\n\n\"1\n\";Mayor;;Ada\n"), []byte(strings.Replace(mapping, `"file": "*"`,
		`"file": "l*", "header": 3, "skip": 1, "fill": ["Seats"]`, 1)))
	f.Fuzz(func(t *testing.T, data, mapping []byte) {
		m, err := tables.ParseMapping("mapping.json", mapping)
		if err == nil {
			_, _, err = tables.Read([]tables.File{{Name: "lists", Data: data}}, m, tables.Options{Hold: true})
		}
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
		}
	})
}
