package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/results"
)

// comparedDeck is a folder with the demo opened, a designed deck, its key, and results that are the key.
func comparedDeck(t *testing.T) string {
	t.Helper()
	folder := openedCase(t)
	for _, arguments := range [][]string{
		{"deck", "make", "--second", "second", "--out", "deck.csv"},
		{"deck", "count", "--second", "second", "deck.csv", "--out", "key.csv"},
	} {
		run := cproofIn(t, folder, arguments...)
		require.Equal(t, exitAgreed, run.status, run.err)
	}
	key, err := os.ReadFile(filepath.Join(folder, "key.csv"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "results.csv"), key, 0o644))
	return folder
}

// alter gives the rows of the results in which the county judge stands to f.
func alter(t *testing.T, folder string, f func(fields []string)) {
	t.Helper()
	path := filepath.Join(folder, "results.csv")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.Split(string(data), "\n")
	names := strings.Split(strings.TrimPrefix(lines[0], "\ufeff"), ",")
	for i, line := range lines[1:] {
		fields := strings.Split(line, ",")
		if len(fields) == len(names) {
			f(fields)
			lines[i+1] = strings.Join(fields, ",")
		}
	}
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(lines, "\n")), 0o644))
}

func TestResultsAreHeldAgainstTheKey(t *testing.T) {
	folder := comparedDeck(t)
	compare := []string{"deck", "compare", "--second", "second", "--key", "key.csv", "--deck", "deck.csv", "--results",
		"results.csv"}
	run := cproofIn(t, folder, compare...)
	require.Equal(t, exitAgreed, run.status, run.err)
	assert.Contains(t, run.out, "Nothing that was compared differs.")
	assert.NotContains(t, run.out, "NOT COMPARED")
	run = cproofIn(t, folder, append(compare, "--second", demo.CaseName)...)
	require.Equal(t, exitAgreed, run.status, run.err)

	// In the results the first two positions of judge stand in each other's place.
	alter(t, folder, func(fields []string) {
		for i, f := range fields {
			if f == "judge" && fields[i+1] == "1" {
				fields[i+1] = "2"
			} else if f == "judge" && fields[i+1] == "2" {
				fields[i+1] = "1"
			}
		}
	})
	run = cproofIn(t, folder, compare...)
	require.Equal(t, exitFindings, run.status, run.err)
	assert.Contains(t, run.out, "DIFFERENCE 1 OF 1")
	assert.Contains(t, run.out, "are exchanged.")
	run = cproofIn(t, folder, append(compare, "--format", "json")...)
	require.Equal(t, exitFindings, run.status, run.err)
	var got deckResultObject
	require.NoError(t, json.Unmarshal([]byte(run.out), &got))
	assert.Equal(t, "counterproof-deck-result/1", got.Format)
	assert.False(t, got.Agree)
	require.Len(t, got.Differences, 1)
	assert.Equal(t, "exchanged", got.Differences[0].Causes[0].Cause)
	assert.Equal(t, "judge", got.Differences[0].Counts[0].Contest)
	assert.Len(t, got.Inputs, 4)
	for _, in := range got.Inputs {
		assert.Len(t, in.SHA256, 64, in.Path)
	}
}

func TestATableOfAnyColumnsIsHeldAgainstTheKey(t *testing.T) {
	folder := comparedDeck(t)
	data, err := os.ReadFile(filepath.Join(folder, "key.csv"))
	require.NoError(t, err)
	key, err := results.ReadKey("key.csv", data)
	require.NoError(t, err)
	table := "Pct,Race,Candidate,Votes\n"
	for _, row := range key {
		if row.Contest == "judge" && row.Choice != "" {
			table += row.Precinct + ",County Judge," + row.Choice + "," + strconv.Itoa(row.Count) + "\n"
		}
	}
	compare := func(table string) ran {
		require.NoError(t, os.WriteFile(filepath.Join(folder, "machine.csv"), []byte(table), 0o644))
		return cproofIn(t, folder, "deck", "compare", "--second", "second", "--key", "key.csv", "--results", "machine.csv",
			"--columns", "precinct=Pct,contest=Race,choice=Candidate,count=Votes")
	}
	run := compare(table)
	require.Equal(t, exitAgreed, run.status, run.err+run.out)
	assert.Contains(t, run.out, "NOT COMPARED")
	run = compare(table + "1-01,County Judge,Overvotes,77\n")
	require.Equal(t, exitFindings, run.status, run.err)
	assert.Contains(t, run.out, "overvotes: the key has ")
	run = compare(table + "1-01,County Judge,Zebedee Quill,4\n")
	require.Equal(t, exitFindings, run.status, run.err)
	assert.Contains(t, run.out, "the choice “Zebedee Quill” of “County Judge”")
}

func TestWhatCannotBeHeldAgainstTheKeyIsOneLine(t *testing.T) {
	folder := comparedDeck(t)
	compare := func(more ...string) ran {
		return cproofIn(t, folder, append([]string{"deck", "compare", "--second", "second"}, more...)...)
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "empty.csv"), nil, 0o644))
	oneLineError(t, compare("--key", "no-such.csv", "--results", "results.csv"), "no-such.csv: there is no such file")
	oneLineError(t, compare("--key", "key.csv", "--results", "no-such.xml"), "no-such.xml: there is no such file")
	oneLineError(t, compare("--key", "key.csv", "--results", "empty.csv"), "empty.csv: the file is empty")
	oneLineError(t, compare("--key", "deck.csv", "--results", "results.csv"), "deck.csv, line 1")
	oneLineError(t, compare("--key", "key.csv", "--results", "results.csv", "--columns", "weight=x"), "--columns: ")
	oneLineError(t, compare("--key", "key.csv", "--results", "export.xml", "--results", "results.csv", "--deck",
		"key.csv"),
		"key.csv, line 1")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "other.csv"), []byte(
		"ballot,precinct,contest,position,mark\n1,1-01,judge,1,1\n"), 0o644))
	oneLineError(t, compare("--key", "key.csv", "--results", "results.csv", "--deck", "other.csv"), "key.csv: it has ",
		"give the deck that it was counted from")
}

// The proposals of NIST's GEN-01 are worded otherwise in its cast vote records: without the export they pair
// with nothing, and that says what to give.
func TestRecordsThatPairByIdentifiersAskForTheExport(t *testing.T) {
	published := repository + "/../shared/standards/test-elections/gen-01/"
	if _, err := os.Stat(published); err != nil {
		missing(t, "the published test elections are not beside the repository: "+err.Error())
	}
	second, key := repository+"/testdata/nist/gen-01", filepath.Join(t.TempDir(), "key.csv")
	run := cproof(t, "deck", "count", "--second", second, second+"/deck.csv", "--out", key)
	require.Equal(t, exitAgreed, run.status, run.err)
	compare := []string{"deck", "compare", "--second", second, "--key", key, "--deck", second + "/deck.csv", "--results",
		published + "cvr-gen-01.xml"}
	run = cproof(t, compare...)
	require.Equal(t, exitFindings, run.status, run.err)
	assert.NotContains(t, run.out, "BALLOT BY BALLOT", "no ballot is recorded otherwise")
	assert.Contains(t, run.out, "NOT COMPARED ballot by ballot: 3 contests")
	assert.Contains(t, run.out, "--primary EXPORT")
	run = cproof(t, append(compare, "--primary", published+"pe-err-gen-01.xml")...)
	require.Equal(t, exitAgreed, run.status, run.err)
	assert.NotContains(t, run.out, "--primary EXPORT")
	assert.NotContains(t, run.out, "ballot by ballot")
}
