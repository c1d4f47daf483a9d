package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
)

func TestLogAndVerifyTellOfAttachedProofs(t *testing.T) {
	folder := demoCase(t)
	c, err := casefile.Open(filepath.Join(folder, demo.CaseName), casefile.Options{})
	require.NoError(t, err)
	proofs, err := demo.Proofs()
	require.NoError(t, err)
	require.NoError(t, c.Attach("p2", proofs...))
	require.NoError(t, c.Close())

	run := cproofIn(t, folder, "log", demo.CaseName)
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), "11 printed proofs were attached by Imre Tallow (IT): ")
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), `"proofs/BS-10.pdf" (BS-10), `)
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), `"proofs/card headers.pdf" (all units)`)

	run = cproofIn(t, folder, "verify", demo.CaseName)
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Contains(t, run.out, "11 printed proofs are beside it as attached")

	proof := filepath.Join(folder, "proofs", "BS-10.pdf")
	require.NoError(t, os.WriteFile(proof, []byte("another"), 0o600))
	run = cproofIn(t, folder, "verify", demo.CaseName)
	assert.Equal(t, exitFindings, run.status, run.out)
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), "BS-10.pdf is not the file that was attached in entry")
}
