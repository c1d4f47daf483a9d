package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// A deck's journey through a case: designed, recorded, results brought in that agree, results in which two
// choices are exchanged, a decision, and the record of all of it.
func TestATestDeckThroughACase(t *testing.T) {
	b := newBlindCase(t)
	rows := blindSheets("County Judge", "S-1", "Mill Hall")
	second := rows.Choices[1]
	second.Position, second.Name, second.PartyLines = "2", "Otto Brandt", "MEA"
	rows.Choices = append(rows.Choices, second)
	b.key(rows)
	b.seal(casefile.ScopeBallots, casefile.ScopeUnits)
	require.NoError(t, b.c.Close())
	folder := filepath.Dir(b.path)
	run := func(status int, words string) string {
		t.Helper()
		r := blindRun(t, folder, "hearth programmer\nmeridian second party\n", strings.Fields(strings.ReplaceAll(words,
			"CASE",
			b.path))...)
		require.Equal(t, status, r.status, r.out+r.err)
		return strings.Join(strings.Fields(r.out+r.err), " ")
	}
	const signed = " --signed-by HV,IT --passphrase-fd 0"
	require.Contains(t, run(exitAgreed, "deck show CASE"), "No test deck is recorded")
	run(exitAgreed, "deck make --second CASE --out deck.csv")
	require.Contains(t, run(exitAgreed, "deck record CASE deck.csv --name D"+signed), `the deck "D"`)
	require.Contains(t, run(exitAgreed, "deck show CASE"), "No results of 1 voting unit came in, so no machine was held "+
		"against it.")
	run(exitAgreed, "deck count --second CASE deck.csv --by-unit --out key.csv")
	require.Contains(t, run(exitUnusable, "deck results CASE key.csv --deck E --unit S-1"+signed), `there is "D"`)
	require.Contains(t, run(exitUnusable, "deck results CASE key.csv --deck D --unit S-2"+signed), `called "S-2"`)
	require.Contains(t, run(exitUnusable, "deck results CASE deck.csv --deck D --unit S-1"+signed), "deck.csv")
	require.Contains(t, run(exitAgreed, "deck results CASE key.csv --deck D --unit S-1"+signed), "no difference was found")
	run(exitAgreed, "deck show CASE")

	key, err := os.ReadFile(filepath.Join(folder, "key.csv"))
	require.NoError(t, err)
	exchanged := strings.NewReplacer(",judge,1,", ",judge,2,", ",judge,2,", ",judge,1,").Replace(string(key))
	require.NotEqual(t, string(key), exchanged)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "counted.csv"), []byte(exchanged), 0o600))
	require.Contains(t, run(exitAgreed, "deck results CASE counted.csv --deck D --unit S-1"+signed), "1 is open")
	shown := run(exitFindings, "deck show CASE")
	require.Contains(t, shown, "exchanged")
	id := regexp.MustCompile(`deck-[0-9a-f]{12}`).FindString(shown)
	require.NotEmpty(t, id, shown)
	require.Contains(t, run(exitUnusable, "deck decide CASE deck-0 --outcome refer --reason r"+signed), "deck-0")
	require.Contains(t, run(exitUnusable, "deck decide CASE "+id+" --outcome explained --reason r"+signed), "name it")
	run(exitAgreed, "deck decide CASE "+id+" --outcome run-again --reason misfed"+signed)
	run(exitFindings, "deck show CASE")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "less.csv"), regexp.MustCompile(`(?m)^.*,judge,2,.*\n`).
		ReplaceAll(key, nil), 0o600))
	run(exitAgreed, "deck results CASE less.csv --deck D --unit S-1"+signed)
	shown = run(exitFindings, "deck show CASE")
	require.Contains(t, shown, id+" (the deck is run again): ")
	require.Contains(t, shown, "Earlier results say so (“counted.csv”, entry")
	run(exitAgreed, "deck decide CASE "+id+" --outcome explained --reason r --document Order-12"+signed)
	require.Contains(t, run(exitAgreed, "deck show CASE"), "each explained by a document")
	logged := run(exitAgreed, "log CASE")
	for _, words := range []string{`the test deck "D" was made for all units`, `results of the test deck "D" for unit S-1`,
		`of the test deck "D" decided explained: ` + id} {
		require.Contains(t, logged, words)
	}
	require.Contains(t, run(exitAgreed, "verify CASE"), "holds together")
}
