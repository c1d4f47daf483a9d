package main

import (
	"bytes"
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
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff")))).ReadAll()
		require.NoError(t, err)
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
	workbook, mapping := workbookOfSheets(t, altered(t, folder, "contests.csv", "candidate,2", "candidate,1"),
		t.TempDir())
	run := cproofIn(t, folder, "compare", "--primary", workbook, "--mapping", mapping, "--second", "demo/second",
		"--format",
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

	book, err := excelize.OpenFile(workbook)
	require.NoError(t, err)
	require.NoError(t, book.SetSheetVisible("contests", false))
	require.NoError(t, book.Save())
	const hidden = `sheet "contests" is hidden`
	for _, format := range []string{"json", "csv", "text"} {
		run = cproofIn(t, folder, "compare", "--primary", workbook, "--mapping", mapping, "--second", "demo/second",
			"--format", format)
		require.Equal(t, exitFindings, run.status, run.err)
		assert.Equal(t, format == "text", strings.Contains(run.out, hidden), format)
		assert.Equal(t, format != "text", strings.Contains(run.err, hidden), format)
	}
	run = cproofIn(t, folder, "inspect", workbook, "--mapping", mapping, "--format", "json")
	assert.NotContains(t, run.out, hidden)
	assert.Contains(t, run.err, hidden)

	for _, bad := range [][]string{
		{workbook}, {workbook, "--mapping", workbook}, {mapping, "--mapping", mapping}, {workbook, "--mapping",
			"missing.json"},
		{workbook, workbook, "--mapping", mapping}, {"demo", "--mapping", mapping},
	} {
		run := cproofIn(t, folder, append([]string{"inspect"}, bad...)...)
		assert.Equal(t, exitUnusable, run.status, bad)
		assert.Equal(t, 1, strings.Count(run.err, "\n"), run.err)
		t.Log(strings.TrimSpace(run.err))
	}
}

// From lists that nobody has seen before to a first comparison: a mapping is proposed, the ballots
// are shown, and the lists are the export.
func TestAMappingIsProposed(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) {
		path := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	}
	write("candidates.csv", "Office,Seats,Candidate,Party,Filed\nCounty Judge,2,Anneke Voss,HEA/MER,May\nCounty Judge,2,"+
		"Bram Okafor,,May\n")
	write("ballots.csv", "Ballot Style,Precincts,Contest 1\nA,1-01; 1-02,County Judge\n")
	run := cproofIn(t, folder, "compare", "--primary", "candidates.csv", "--second", "second")
	assert.Contains(t, run.err, "cproof tables propose")

	run = cproofIn(t, folder, "tables", "propose", "candidates.csv", "ballots.csv", "--out", "mapping.json", "--preview")
	require.Equal(t, exitAgreed, run.status, run.err)
	for _, words := range []string{"Filed", "held and not compared", "MISSING", "TO BE LOOKED AT", "BALLOT A",
		"in 1-01, 1-02",
		"County Judge, vote for 2", "Anneke Voss (HEA, MER)"} {
		assert.Contains(t, run.out, words)
	}
	bare := cproofIn(t, folder, "tables", "propose", "candidates.csv", "ballots.csv")
	kept, err := os.ReadFile(filepath.Join(folder, "mapping.json"))
	require.NoError(t, err)
	assert.Contains(t, bare.out, string(kept))

	write("second/precincts.csv", "precinct,site\n1-01,\n1-02,\n")
	write("second/contests.csv", "contest,title,kind,vote_for\nj,County Judge,candidate,1\n")
	write("second/choices.csv",
		"contest,position,name,party_lines,write_in\nj,1,Anneke Voss,HEA|MER,\nj,2,Bram Okafor,-,\n")
	write("second/ballots.csv", "precinct,style,party,position,contest\n1-01,A,,1,j\n1-02,A,,1,j\n")
	run = cproofIn(t, folder, "compare", "--primary", "candidates.csv", "--primary", "ballots.csv", "--mapping",
		"mapping.json", "--second", "second", "--format", "json")
	require.Equal(t, exitFindings, run.status, run.err)
	var result resultObject
	require.NoError(t, json.Unmarshal([]byte(run.out), &result))
	require.Len(t, result.Findings, 1)
	assert.EqualValues(t, "vote-for", result.Findings[0].Check)

	write("candidates.csv", "Office,Votes,Candidate,Party,Filed\nCounty Judge,2,Anneke Voss,HEA/MER,May\n")
	run = cproofIn(t, folder, "inspect", "candidates.csv", "ballots.csv", "--mapping", "mapping.json")
	assert.Equal(t, exitUnusable, run.status)
	assert.Contains(t, run.err, `lacks "Seats", and has "Votes" instead`)
}

// The demo's workbook is laid out as an office may lay out its lists. Through its mapping it gives the
// findings of the demo's export.
func TestTheDemosListsGiveTheFindingsOfItsExport(t *testing.T) {
	folder := demoFolder(t)
	findings := func(primary ...string) (out []map[string]any) {
		run := cproofIn(t, folder, append([]string{"compare", "--second", "demo/second", "--format", "json"}, primary...)...)
		require.Equal(t, exitFindings, run.status, run.err)
		var result struct{ Findings []map[string]any }
		require.NoError(t, json.Unmarshal([]byte(run.out), &result))
		for _, f := range result.Findings {
			delete(f, "places")
			delete(f, "look")
		}
		return result.Findings
	}
	want := findings("--primary", "demo/export.xml")
	require.NotEmpty(t, want)
	assert.Equal(t, want, findings("--primary", "demo/lists/lists.xlsx", "--mapping", "demo/lists/mapping.json"))
}
