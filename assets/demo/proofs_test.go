package demo_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "draw the proofs again")

// drawn returns the proofs by the names of their files.
func drawn(t *testing.T) map[string][]byte {
	t.Helper()
	s := printed(t)
	out := map[string][]byte{"card headers.pdf": headersProof(t, s)}
	for _, f := range facesOf(s) {
		out[f.style+".pdf"] = faceProof(t, s, f)
	}
	return out
}

func TestTheProofsAreDrawnFromWhatTheOfficePrints(t *testing.T) {
	all := drawn(t)
	for name, want := range all {
		path := filepath.Join("proofs", name)
		if *update {
			require.NoError(t, os.WriteFile(path, want, 0o644))
		}
		there, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, len(want), len(there), "%s is another; look at it, then draw it again with -update", path)
		assert.True(t, string(want) == string(there), "%s is another", path)
	}
}
