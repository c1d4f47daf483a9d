package tables_test

import (
	"archive/zip"
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

// FuzzWorkbook puts any bytes into the parts of a workbook: it is read, or refused in one line.
func FuzzWorkbook(f *testing.F) {
	const sheet = `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cols><col min="1" max="2" ` +
		`hidden="1"/></cols><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>Precinct</t></is></c><c r="B1" t="s"><v>0</v></c>` +
		`</row><row r="2" hidden="1"><c r="A2" s="1"><f>B2</f><v>46693</v></c><c t="b"><v>1</v></c></row></sheetData>` +
		`<mergeCells count="1"><mergeCell ref="A2:A3"/></mergeCells></worksheet>`
	const strings = `<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><r><t>Con</t></r><r><t>test</t></r>` +
		`</si></sst>`
	const styles = `<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><numFmts count="1"><numFmt ` +
		`numFmtId="164" formatCode="000"/></numFmts><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="164"/></cellXfs></styleSheet>`
	base := excelize.NewFile()
	require.NoError(f, base.SetCellValue("Sheet1", "A1", "x"))
	var whole bytes.Buffer
	require.NoError(f, base.Write(&whole))
	parts, err := zip.NewReader(bytes.NewReader(whole.Bytes()), int64(whole.Len()))
	require.NoError(f, err)
	f.Add(sheet, strings, styles)
	m, err := tables.ParseMapping("m", []byte(`{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {"ballots":
		[{"columns": {"precinct": "{Precinct}", "contest": "{Contest}"}}]}}]}`))
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, sheet, strings, styles string) {
		var b bytes.Buffer
		w := zip.NewWriter(&b)
		replaced := map[string]string{"xl/worksheets/sheet1.xml": sheet, "xl/sharedStrings.xml": strings,
			"xl/styles.xml": styles}
		for _, part := range parts.File {
			if _, ok := replaced[part.Name]; !ok {
				require.NoError(t, w.Copy(part))
			}
		}
		for name, text := range replaced {
			part, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
			require.NoError(t, err)
			_, err = part.Write([]byte(text))
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		_, _, err := tables.Read([]tables.File{{Name: "lists.xlsx", Data: b.Bytes()}}, m, tables.Options{Hold: true})
		require.Error(t, err) // there are no contests
		t.Log(err)
		require.NotContains(t, err.Error(), "\n")
	})
}
