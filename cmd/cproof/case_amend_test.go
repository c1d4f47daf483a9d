package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

// change replaces words in a file of a folder, once.
func change(t *testing.T, file, before, after string) {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, []byte(replaced(t, string(data), before, after)), 0o644))
}

// A court adds a contest after the seal. The clerk adds it to the sheets and brings the
// folder in again; whatever else was changed in them is refused.
func TestAnOrderAddsAContest(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"))
	does(t, with(t, pairLines, folder, "amend", demo.CaseName, "--document", "Order 31", "--date", "2027-10-20",
		"--reason", "a vacancy is filled at this election", "--signed-by", "HV,IT"))

	second := filepath.Join(folder, "second")
	header := columnsOf(t, filepath.Join(second, "contests.csv"))
	row := map[string]string{"contest": "coroner", "title": "County Coroner", "kind": "candidate", "vote_for": "1",
		"source": "Order 31"}
	cells := make([]string, len(header))
	for i, name := range header {
		cells[i] = row[name]
	}
	appendTo(t, filepath.Join(second, "contests.csv"), strings.Join(cells, ","))
	for n, name := range []string{"Sabine Orrell", "Piet Hanrahan"} {
		cells := []string{}
		for _, column := range columnsOf(t, filepath.Join(second, "choices.csv")) {
			cells = append(cells, map[string]string{"contest": "coroner", "position": string(rune('1' + n)), "name": name,
				"party_lines": "-"}[column])
		}
		appendTo(t, filepath.Join(second, "choices.csv"), strings.Join(cells, ","))
	}
	// Last on every ballot.
	last := map[string]string{}
	var order []string
	for _, ballot := range readCSV(t, filepath.Join(second, "ballots.csv")) {
		key := ballot["precinct"] + "|" + ballot["style"] + "|" + ballot["party"]
		if _, seen := last[key]; !seen {
			order = append(order, key)
		}
		last[key] = ballot["position"]
	}
	columns := columnsOf(t, filepath.Join(second, "ballots.csv"))
	for _, key := range order {
		parts := strings.Split(key, "|")
		values := map[string]string{"precinct": parts[0], "style": parts[1], "party": parts[2], "position": "9" + last[key],
			"contest": "coroner"}
		cells := make([]string, len(columns))
		for i, column := range columns {
			cells[i] = values[column]
		}
		appendTo(t, filepath.Join(second, "ballots.csv"), strings.Join(cells, ","))
	}

	// Something else was changed with it.
	change(t, filepath.Join(second, "contests.csv"), "County Clerk", "County Klerk")
	oneLineError(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "second"), "County Clerk", "County Klerk",
		"amendment")
	change(t, filepath.Join(second, "contests.csv"), "County Klerk", "County Clerk")

	run := does(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "second"))
	assert.Contains(t, run.out, "may be sealed")
	sealBallots(t, folder)
	missing := 0
	for _, f := range standingOf(t, folder).Findings {
		if f.Check == "contest-missing" && strings.Contains(f.Message, "County Coroner") {
			missing++
		}
	}
	assert.Equal(t, 1, missing, "the export does not have the contest yet, and that is one finding")
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)

	// The case and the sheets as they are now say the same.
	compare := func(second string) (list []findingJSON) {
		run := cproofIn(t, folder, "compare", "--primary", "corrected.xml", "--second", second, "--format", "json")
		require.NoError(t, json.Unmarshal([]byte(findingsOf(t, run)), &list))
		return list
	}
	assert.Equal(t, compare("second"), compare(demo.CaseName))
}

// columnsOf reads the names of a sheet's columns.
func columnsOf(t *testing.T, file string) []string {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	header, _, _ := strings.Cut(strings.TrimPrefix(string(data), "\ufeff"), "\n")
	return strings.Split(strings.TrimRight(header, "\r"), ",")
}

func appendTo(t *testing.T, file, line string) {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, []byte(strings.TrimRight(string(data), "\r\n")+"\n"+line+"\n"), 0o644))
}
