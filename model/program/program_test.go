package program

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheRunningProgram(t *testing.T) {
	b := Running()
	held, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	sum := sha256.Sum256(held)
	assert.Equal(t, hex.EncodeToString(sum[:]), b.SHA256)
	assert.Equal(t, b.SHA256, strings.ReplaceAll(b.Digest(), " ", ""))
	assert.Equal(t, runtime.Version(), b.Go)
	assert.Contains(t, b.Line(), Version)
}

func TestWhatIsNotKnownIsSaid(t *testing.T) {
	b := Build{Name: "cproof", Version: "1.0.0", Go: "go1.26.8", System: "linux/amd64"}
	assert.Equal(t, "cproof 1.0.0, commit unknown, built with go1.26.8 for linux/amd64", b.Line())
	assert.Equal(t, "unknown", b.Digest())
	b.Commit, b.Changed = "abc", true
	assert.Contains(t, b.Line(), "commit abc with changes")
}
