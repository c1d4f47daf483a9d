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
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// demoDeck marks three ballots of the demo: one vote for the first choice for executive, and that
// person's other line as well, a judge, nothing.
const demoDeck = "ballot,precinct,contest,position,mark\n" +
	"1,1-01,executive,4,1\n1,1-01,executive,1,1\n1,1-01,judge,1,1\n2,1-01,executive,1,1\n2,1-01,executive,2,1\n3,1-02,,,\n"

func writeDeck(t *testing.T, folder, rows string) string {
	t.Helper()
	path := filepath.Join(folder, "deck.csv")
	require.NoError(t, os.WriteFile(path, []byte(rows), 0o644))
	return path
}

// countsOf are the counts of a key that are not 0, by unit, precinct, contest and position.
func countsOf(t *testing.T, key string) map[string]int {
	t.Helper()
	rows, err := results.ReadKey("key.csv", []byte(key))
	require.NoError(t, err)
	out := map[string]int{}
	for _, r := range rows {
		if r.Count > 0 && (r.Contest == "executive" || r.Contest == "judge") {
			out[strings.TrimSpace(r.Unit+" "+r.Precinct+" "+r.Contest+" "+r.Position)] = r.Count
		}
	}
	return out
}

func TestADeckIsCounted(t *testing.T) {
	folder := openedCase(t)
	deck := writeDeck(t, folder, demoDeck)
	want := map[string]int{
		"1-01 executive ballots": 2, "1-01 executive 4": 1, "1-01 executive overvotes": 1,
		"1-01 executive overvoted-ballots": 1, "1-01 judge ballots": 2, "1-01 judge 1": 1, "1-01 judge undervotes": 3,
		"1-01 judge undervoted-ballots": 2, "1-02 executive ballots": 1, "1-02 executive undervotes": 1,
		"1-02 executive undervoted-ballots": 1, "1-02 judge ballots": 1, "1-02 judge undervotes": 2,
		"1-02 judge undervoted-ballots": 1,
	}
	for name, second := range map[string]string{"sheets": "second", "a sealed case": demo.CaseName} {
		t.Run(name, func(t *testing.T) {
			run := cproofIn(t, folder, "deck", "count", "--second", second, deck)
			require.Equal(t, exitAgreed, run.status, run.err)
			assert.Equal(t, want, countsOf(t, run.out))
			assert.Contains(t, run.err, "3 ballots of 2 precincts: ")
		})
	}

	out := filepath.Join(folder, "key.csv")
	run := cproofIn(t, folder, "deck", "count", "--second", demo.CaseName, deck, "--by-unit", "--out", out)
	require.Equal(t, exitAgreed, run.status, run.err)
	assert.Empty(t, run.out)
	data, err := os.ReadFile(out)
	require.NoError(t, err)
	got := countsOf(t, string(data))
	assert.Equal(t, 1, got["TW-1101 1-01 executive 4"])
	assert.Equal(t, 1, got["TW-1102 1-01 executive 4"], "each unit of the site is fed the ballots")
	assert.NotContains(t, got, "1-01 executive 4")

	run = cproofIn(t, folder, "deck", "count", "--second", "second", deck, "--format", "json")
	require.Equal(t, exitAgreed, run.status, run.err)
	var key keyObject
	require.NoError(t, json.Unmarshal([]byte(run.out), &key))
	assert.Equal(t, "counterproof-key/1", key.Format)
	assert.Equal(t, []role{roleSecond, roleDeck}, []role{key.Inputs[0].Role, key.Inputs[1].Role})
	assert.Equal(t, casefile.DigestOf([]byte(demoDeck)).String(), key.Inputs[1].SHA256)
	assert.Equal(t, 3, key.Ballots)
	assert.Contains(t, key.Counts, countObject{Precinct: "1-01", Style: "BS-01", Contest: "executive", Position: "4",
		Choice: "Marisol Tejada-Quinn / Desmond Achterberg (CLW)", Count: 1})
	assert.NotNil(t, key.Left)
}

// What was not keyed is named, and its contest is in no count.
func TestAContestThatIsNotCountedIsNamed(t *testing.T) {
	_, second := copyDemo(t)
	path := filepath.Join(second, "contests.csv")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	spoilt := strings.Replace(string(data), "clerk,County Clerk,,candidate,1", "clerk,County Clerk,,candidate,", 1)
	require.NotEqual(t, string(data), spoilt)
	require.NoError(t, os.WriteFile(path, []byte(spoilt), 0o644))
	run := cproof(t, "deck", "count", "--second", second, writeDeck(t, t.TempDir(), demoDeck))
	require.Equal(t, exitAgreed, run.status, run.err)
	assert.Contains(t, strings.Join(strings.Fields(run.err), " "),
		"NOT COUNTED: County Clerk (clerk): how many to vote for was not keyed.")
	assert.NotContains(t, run.out, ",clerk,")
	assert.Contains(t, run.out, ",executive,")
}

func TestADeckThatCannotBeCounted(t *testing.T) {
	folder := demoCase(t)
	deck := writeDeck(t, folder, demoDeck)
	oneLineError(t, cproofIn(t, folder, "deck", "count", "--second", demo.CaseName, deck), demo.CaseName+": ", "seal")
	_, second := copyDemo(t)
	for rows, says := range map[string]string{
		"ballot\n":  "deck.csv, line 1, column precinct: the file lacks this column",
		"1,2,,,,\n": `"1" is not a column of this file`,
		"ballot,precinct,contest,position,mark\n1,9-99,judge,1,1\n": `deck.csv, line 2, column precinct: "9-99" is not among`,
		"ballot,precinct,contest,position,mark\n1,1-01,judge,1,2\n": `deck.csv, line 2, column mark: the mark is 2`,
	} {
		bad := writeDeck(t, t.TempDir(), rows)
		oneLineError(t, cproof(t, "deck", "count", "--second", second, bad), filepath.Dir(bad), says)
	}
	oneLineError(t, cproof(t, "deck", "count", "--second", second, "no-such.csv"), "no-such.csv: there is no such file")
	oneLineError(t, cproof(t, "deck", "count", "--second", second, deck, "--straight-party", "all"), "--straight-party")
}

// GEN-01 (NIST) has a contest for two with two candidates of each party: the rules for straight-party
// marks count it differently, as checks/deck/README.md has them.
func TestWhatIsCountedByARuleThatNobodyChoseIsNamed(t *testing.T) {
	second := filepath.Join("..", "..", "testdata", "nist", "gen-01")
	count := func(rule ...string) ran {
		return cproof(t, append([]string{"deck", "count", "--second", second, filepath.Join(second, "deck.csv")}, rule...)...)
	}
	defaults := count()
	require.Equal(t, exitAgreed, defaults.status, defaults.err)
	said := strings.Join(strings.Fields(defaults.err), " ")
	require.Contains(t, said, "NO RULE CHOSEN: County Assessor (assessor) is counted as by --straight-party unmarked")
	require.Equal(t, 1, strings.Count(said, "NO RULE CHOSEN"), said)
	chosen := count("--straight-party", "unmarked")
	require.Equal(t, defaults.out, chosen.out)
	require.NotContains(t, chosen.err, "NO RULE CHOSEN")
	require.NotEqual(t, defaults.out, count("--straight-party", "single").out)
}
