package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// altered copies the second entry of the demo and replaces words of a sheet.
func altered(t *testing.T, folder, sheet, from, to string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "export")
	require.NoError(t, os.CopyFS(out, os.DirFS(filepath.Join(folder, "demo", "second"))))
	data, err := os.ReadFile(filepath.Join(out, sheet))
	require.NoError(t, err)
	require.Contains(t, string(data), from)
	require.NoError(t, os.WriteFile(filepath.Join(out, sheet), []byte(strings.Replace(string(data), from, to, 1)), 0o600))
	return out
}

// A folder of sheets can be the export: the same sheets agree, and what is altered is found.
func TestAFolderOfSheetsIsTheExport(t *testing.T) {
	folder := demoFolder(t)
	compare := func(primary string) (ran, []string) {
		run := cproofIn(t, folder, "compare", "--primary", primary, "--second", "demo/second", "--format", "json")
		var result resultObject
		require.NoError(t, json.Unmarshal([]byte(run.out), &result), run.err)
		require.Len(t, result.Inputs, 2)
		assert.Equal(t, rolePrimary, result.Inputs[0].Role)
		var codes []string
		for _, f := range result.Findings {
			codes = append(codes, string(f.Check))
		}
		return run, codes
	}
	run, codes := compare("demo/second")
	assert.Empty(t, codes)
	assert.Equal(t, exitAgreed, run.status)

	for name, slip := range map[string][3]string{
		"vote-for":      {"contests.csv", "candidate,2", "candidate,1"},
		"contest-title": {"contests.csv", "County Judge", "County Magistrate"},
		"choice-name":   {"choices.csv", "Desmond Achterberg", "Desmond Achterburg"},
		"election":      {"election.csv", "2027-11-02", "2027-11-03"},
	} {
		run, codes := compare(altered(t, folder, slip[0], slip[1], slip[2]))
		assert.Equal(t, exitFindings, run.status, name)
		assert.Contains(t, codes, name)
	}
}

func TestAFolderOfSheetsIsInspected(t *testing.T) {
	folder := demoFolder(t)
	run := cproofIn(t, folder, "inspect", "demo/second", "--format", "json")
	require.Less(t, run.status, exitUnusable, run.err)
	var found inspection
	require.NoError(t, json.Unmarshal([]byte(run.out), &found))
	assert.Equal(t, "CSV sheets", found.Report.Standard)
	assert.Equal(t, []string{"en", "es"}, found.Report.Languages)
	assert.Equal(t, 24, found.Holds.Precincts)
	assert.Len(t, found.Elections, 1)
	assert.NotContains(t, run.out, "null")

	run = cproofIn(t, folder, "inspect", "demo/second")
	assert.Contains(t, run.out, "CSV sheets")
	assert.NotContains(t, run.out, " version ")

	for _, bad := range [][]string{{"demo/second", "demo/export.xml"}, {"demo/second", "--election", "Another"}} {
		run := cproofIn(t, folder, append([]string{"inspect"}, bad...)...)
		assert.Equal(t, exitUnusable, run.status, bad)
		assert.Equal(t, 1, strings.Count(run.err, "\n"), run.err)
	}
}
