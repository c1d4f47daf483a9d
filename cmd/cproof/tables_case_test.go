package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/assets/demo"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// demoWorkbook writes an export of the demo as a workbook with its mapping into the folder.
func demoWorkbook(t *testing.T, folder, export string) (workbook, mapping string) {
	t.Helper()
	e, _, err := cdf.ReadFiles([]string{filepath.Join(folder, export)}, cdf.Options{})
	require.NoError(t, err)
	for i := range e.Contests {
		if c := &e.Contests[i]; !c.Title.Known {
			c.Title = c.Name // tables cannot say that it is but a working name
		}
	}
	for i := range e.Precincts {
		if p := &e.Precincts[i]; p.Number != "" {
			p.Name = model.Plain(p.Number) // the lists have one name, and it is the one on cards
		}
	}
	lists := filepath.Join(t.TempDir(), "lists")
	require.NoError(t, sheets.FromElection(e, "en", "es").WriteDir(lists))
	to := filepath.Join(folder, strings.TrimSuffix(export, ".xml"))
	require.NoError(t, os.Mkdir(to, 0o700))
	_, _ = workbookOfSheets(t, lists, to)
	name := filepath.Base(to)
	return name + "/lists.xlsx", name + "/mapping.json"
}

// edited changes a workbook.
func edited(t *testing.T, workbook string, edit func(*excelize.File)) {
	t.Helper()
	book, err := excelize.OpenFile(workbook)
	require.NoError(t, err)
	edit(book)
	require.NoError(t, book.Save())
	require.NoError(t, book.Close())
}

func importWorkbook(t *testing.T, folder, workbook, mapping string, more ...string) ran {
	t.Helper()
	return with(t, pairLines, folder, append([]string{"export-in", demo.CaseName, "--by", "HV", workbook, "--mapping",
		mapping}, more...)...)
}

// The demo's export as a workbook with its mapping gives, in a case, the findings of export.xml: it
// comes in after the seal, through a mapping that both of the pair sign once.
func TestTheDemoAsAWorkbookInACase(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	folder := demoCase(t)
	workbook, mapping := demoWorkbook(t, folder, "export.xml")
	does(t, cproofIn(t, folder, "announce", demo.CaseName, "--by", "HV", workbook, "--mapping", mapping))
	blind := importWorkbook(t, folder, workbook, mapping, "--signed-by", "HV,IT")
	oneLineError(t, blind, "not sealed")
	assert.NotContains(t, does(t, cproofIn(t, folder, "log", demo.CaseName)).out, "mapping.json")
	sealBoth(t, folder)

	oneLineError(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", workbook), "signed none", "--mapping")
	oneLineError(t, importWorkbook(t, folder, workbook, mapping), "mapping.json decides what is compared", "--signed-by")
	alone := importWorkbook(t, folder, workbook, mapping, "--signed-by", "HV")
	assert.Equal(t, exitUnusable, alone.status)
	assert.Contains(t, alone.err, "this needs the signature of the second party")
	came := does(t, importWorkbook(t, folder, workbook, mapping, "--signed-by", "HV,IT"))
	for _, words := range []string{
		"To be signed by both of the pair: the mapping mapping.json", "*.xlsx, sheet contests",
		"contests, vote_for is “{vote_for}”", digestOfFile(t, filepath.Join(folder, mapping)),
		"lists.xlsx, the same as announced in entry 7", digestOfFile(t, filepath.Join(folder, workbook)),
	} {
		assert.Contains(t, came.out, words)
	}

	type found struct{ Check, Grade, Contest, Choice, Primary, Second, Message string }
	list := func(run ran) (out []found) {
		require.NoError(t, json.Unmarshal([]byte(findingsOf(t, run)), &out))
		return out
	}
	want := list(cproofIn(t, folder, "compare", "--primary", "export.xml", "--second", "second", "--format", "json"))
	require.NotEmpty(t, want)
	assert.ElementsMatch(t, want, list(cproofIn(t, folder, "findings", demo.CaseName, "--format", "json")))
	standing := standingOf(t, folder)
	require.Len(t, standing.Inputs, 3)
	assert.Equal(t, "primary", standing.Inputs[0].Role)
	assert.Equal(t, "mapping", standing.Inputs[1].Role)
	assert.Equal(t, digestOfFile(t, filepath.Join(folder, mapping)), standing.Inputs[1].SHA256)
	log := strings.Join(strings.Fields(does(t, cproofIn(t, folder, "log", demo.CaseName)).out), " ")
	assert.Contains(t, log, `tables come in through the mapping "mapping.json"`)
	assert.Contains(t, log, `brought in the tables lists.xlsx through the mapping "mapping.json"`)
	assert.Contains(t, does(t, cproofIn(t, folder, "verify", demo.CaseName)).out, "holds together")

	t.Run("a later export through the same mapping", func(t *testing.T) {
		corrected, _ := demoWorkbook(t, folder, "corrected.xml")
		edited(t, filepath.Join(folder, corrected), func(book *excelize.File) {
			require.NoError(t, book.SetCellStr("choices", "Z1", "person")) // nobody of it stands on two lines
		})
		oneLineError(t, importWorkbook(t, folder, corrected, mapping, "--signed-by", "HV,IT"), "signed already")
		came := does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", corrected))
		assert.Contains(t, came.out, "through the mapping mapping.json", "the one of the case")
		want := list(cproofIn(t, folder, "compare", "--primary", "corrected.xml", "--second", "second", "--format", "json"))
		var got []found
		for _, f := range list(cproofIn(t, folder, "findings", demo.CaseName, "--format", "json")) {
			if f.Check != "unasked-change" {
				got = append(got, f)
			}
		}
		assert.ElementsMatch(t, want, got)
	})
	t.Run("columns that changed", func(t *testing.T) {
		other := filepath.Join(folder, "other.xlsx")
		data, err := os.ReadFile(filepath.Join(folder, workbook))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(other, data, 0o600))
		edited(t, other, func(book *excelize.File) {
			cells, err := book.GetRows("contests")
			require.NoError(t, err)
			for i, name := range cells[0] {
				if name == "vote_for" {
					cell, _ := excelize.CoordinatesToCellName(i+1, 1)
					require.NoError(t, book.SetCellStr("contests", cell, "seats"))
				}
			}
		})
		oneLineError(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "other.xlsx", "--mapping", mapping),
			`lacks "vote_for"`, `has "seats" instead`)
		oneLineError(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "other.xlsx"), `lacks "vote_for"`)
	})
}

// What no template names is held and not compared: a change in it between two exports is a finding
// of its own, and nothing else is.
func TestAnUnmappedColumnThatChangesIsUnread(t *testing.T) {
	folder := demoCase(t)
	workbook, mapping := demoWorkbook(t, folder, "export.xml")
	filed := func(day string) func(*excelize.File) {
		return func(book *excelize.File) {
			rows, err := book.GetRows("choices")
			require.NoError(t, err)
			for i, words := range []string{"Filed", "1 July", day} {
				cell, _ := excelize.CoordinatesToCellName(len(rows[0])+1, i+1)
				require.NoError(t, book.SetCellStr("choices", cell, words))
			}
		}
	}
	edited(t, filepath.Join(folder, workbook), filed("2 July"))
	sealBoth(t, folder)
	does(t, importWorkbook(t, folder, workbook, mapping, "--signed-by", "HV,IT"))
	before := standingOf(t, folder)
	edited(t, filepath.Join(folder, workbook), filed("3 July"))
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", workbook, "--mapping", mapping))
	after := standingOf(t, folder)
	require.Len(t, after.Findings, len(before.Findings)+1)
	var unread []string
	for _, f := range after.Findings {
		if f.Check == "unread-change" {
			unread = append(unread, f.Message)
		}
	}
	require.Len(t, unread, 1)
	for _, words := range []string{"Filed", "2 July", "3 July"} {
		assert.Contains(t, unread[0], words)
	}
}

// A folder of sheets is an export too, and needs no mapping: it is kept sheet by sheet.
func TestAFolderOfSheetsInACase(t *testing.T) {
	folder := demoCase(t)
	lists := altered(t, filepath.Dir(folder), "contests.csv", "candidate,2", "candidate,1")
	require.NoError(t, os.WriteFile(filepath.Join(lists, "README.md"), nil, 0o600))
	does(t, cproofIn(t, folder, "announce", demo.CaseName, "--by", "HV", lists))
	sealBoth(t, folder)
	came := does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", lists)).out
	assert.Contains(t, strings.Join(strings.Fields(came), " "), "announced in entry 7")
	assert.NotContains(t, came, "README.md")
	standing := standingOf(t, folder)
	require.Len(t, standing.Findings, 1)
	assert.Equal(t, "vote-for", standing.Findings[0].Check)
	assert.Len(t, standing.Inputs, 8+1)
}
