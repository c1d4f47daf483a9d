package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model/tables"
)

// workbookOfSheets writes the sheets of a folder into one workbook, and a mapping of them.
func workbookOfSheets(t *testing.T, folder, to string) (workbook, mapping string) {
	t.Helper()
	m := tables.Mapping{Format: tables.Format, Language: "en"}
	book := excelize.NewFile()
	names, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	require.NoError(t, err)
	for _, name := range names {
		file, err := os.Open(name)
		require.NoError(t, err)
		rows, err := csv.NewReader(file).ReadAll()
		require.NoError(t, err)
		require.NoError(t, file.Close())
		sheet := strings.TrimSuffix(filepath.Base(name), ".csv")
		_, err = book.NewSheet(sheet)
		require.NoError(t, err)
		for r, cells := range rows {
			require.NoError(t, book.SetSheetRow(sheet, fmt.Sprintf("A%d", r+1), &cells))
		}
		columns := map[string]string{}
		for _, column := range rows[0] {
			columns[column] = "{" + column + "}"
		}
		m.Tables = append(m.Tables, tables.Table{File: "*.xlsx", Sheet: sheet,
			Rows: map[string][]tables.Source{sheet: {{Columns: columns}}}})
	}
	require.NoError(t, book.DeleteSheet("Sheet1"))
	workbook, mapping = filepath.Join(to, "lists.xlsx"), filepath.Join(to, "mapping.json")
	require.NoError(t, book.SaveAs(workbook))
	data, err := json.Marshal(m)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(mapping, data, 0o600))
	return workbook, mapping
}

// A workbook and its mapping are the export: each is an input, and a finding points to a cell.
func TestAWorkbookIsTheExport(t *testing.T) {
	folder := demoFolder(t)
	workbook, mapping := workbookOfSheets(t, altered(t, folder, "contests.csv", "candidate,2", "candidate,1"), t.TempDir())
	run := cproofIn(t, folder, "compare", "--primary", workbook, "--mapping", mapping, "--second", "demo/second", "--format",
		"json")
	require.Equal(t, exitFindings, run.status, run.err)
	var result resultObject
	require.NoError(t, json.Unmarshal([]byte(run.out), &result))
	require.Len(t, result.Inputs, 3)
	for i, want := range []input{{Role: rolePrimary, Path: workbook}, {Role: roleMapping, Path: mapping}} {
		want.SHA256 = digestOfFile(t, want.Path)
		assert.Equal(t, want, result.Inputs[i])
	}
	require.Len(t, result.Findings, 1)
	assert.EqualValues(t, "vote-for", result.Findings[0].Check)
	assert.Contains(t, result.Findings[0].Places.Primary, `lists.xlsx, sheet "contests", B`)

	run = cproofIn(t, folder, "inspect", workbook, "--mapping", mapping)
	assert.Equal(t, exitAgreed, run.status, run.err+run.out)
	assert.Contains(t, run.out, "tables with a mapping, XLSX")
	assert.Contains(t, run.out, "mapping.json")

	for _, bad := range [][]string{
		{workbook}, {workbook, "--mapping", workbook}, {mapping, "--mapping", mapping}, {workbook, "--mapping", "missing.json"},
		{workbook, workbook, "--mapping", mapping}, {"demo", "--mapping", mapping},
	} {
		run := cproofIn(t, folder, append([]string{"inspect"}, bad...)...)
		assert.Equal(t, exitUnusable, run.status, bad)
		assert.Equal(t, 1, strings.Count(run.err, "\n"), run.err)
		t.Log(strings.TrimSpace(run.err))
	}
}
