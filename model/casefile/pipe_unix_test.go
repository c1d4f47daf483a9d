//go:build unix

package casefile

import (
	"os"
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

// What the system does not give is said once, with its name, why, and what to check.
func TestACaseThatTheSystemDoesNotGive(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tarnwick"+Extension)
	require.NoError(t, os.Symlink(path, path))
	_, err := Open(path, quick())
	require.ErrorIs(t, err, syscall.ELOOP)
	require.Equal(t, path+": the case cannot be read ("+syscall.ELOOP.Error()+"); check the file, who may read it, and its disk", err.Error())
}
