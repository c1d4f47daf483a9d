package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

func TestADeckIsDesignedAndSeesEverything(t *testing.T) {
	folder := openedCase(t)
	for name, scope := range map[string][]string{
		"all": nil, "a unit": {"--unit", "TW-1101"}, "a precinct": {"--precinct", "1-02"}, "a style": {"--style", "BS-01"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "deck.csv")
			made := cproofIn(t, folder, append([]string{"deck", "make", "--second", demo.CaseName, "--out", path}, scope...)...)
			require.Equal(t, exitAgreed, made.status, made.err)
			assert.Contains(t, made.err, "Such a deck has at least")
			lint := cproofIn(t, folder, append([]string{"deck", "lint", "--second", demo.CaseName, path}, scope...)...)
			assert.Equal(t, exitAgreed, lint.status, lint.out)
			assert.Contains(t, lint.out, "shows every exchange")
			if scope != nil { // of the whole election, most has no ballot in this deck
				lint := cproofIn(t, folder, "deck", "lint", "--second", demo.CaseName, path)
				assert.Equal(t, exitFindings, lint.status)
				assert.Contains(t, lint.out, "No ballot of the deck is of style")
			}
		})
	}
	one := cproofIn(t, folder, "deck", "make", "--second", "second")
	assert.Equal(t, one.out, cproofIn(t, folder, "deck", "make", "--second", "second", "--seed", "0").out)
	assert.NotEqual(t, one.out, cproofIn(t, folder, "deck", "make", "--second", "second", "--seed", "1").out)
	for _, wrong := range []string{"--unit", "--precinct", "--style"} {
		run := cproofIn(t, folder, "deck", "make", "--second", "second", wrong, "none")
		oneLineError(t, run, `"none" is no `)
	}
}

func TestWhatADeckCannotSee(t *testing.T) {
	folder := openedCase(t)
	deck := writeDeck(t, folder, demoDeck)
	run := cproofIn(t, folder, "deck", "lint", "--second", "second", deck, "--format", "json", "--precinct", "1-01")
	require.Equal(t, exitFindings, run.status, run.err)
	var got lintObject
	require.NoError(t, json.Unmarshal([]byte(run.out), &got))
	assert.Equal(t, lintFormat, got.Format)
	assert.Equal(t, 2, got.Ballots, "those of the precinct")
	kinds := map[string][]int{}
	for _, b := range got.Found {
		if len(b.Contests) == 1 && b.Contests[0] == "executive" {
			kinds[string(b.Kind)] = b.Positions
		}
	}
	// Ballot 1 votes for position 4, and over again for the same person at 1; ballot 2 is over-voted.
	assert.Equal(t, []int{1, 2, 3, 5, 6}, kinds["no-vote"])

	text := cproofIn(t, folder, "deck", "lint", "--second", "second", deck)
	assert.Contains(t, text.out, "NOTHING SHOWS THIS")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "deck.csv"), []byte("ballot\n"), 0o644))
	oneLineError(t, cproofIn(t, folder, "deck", "lint", "--second", "second", "deck.csv"), "deck.csv")
}
