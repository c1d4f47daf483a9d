//go:build unix

package casefile

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A pipe with the name of a case is refused before it is opened: it would wait for a
// writer for ever.
func TestAPipeIsNoCase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tarnwick"+Extension)
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	_, err := Open(path, quick())
	require.ErrorIs(t, err, ErrNotCase)
	_, err = Verify(path, Expect{})
	require.ErrorIs(t, err, ErrNotCase)
}
