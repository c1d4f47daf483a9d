package casefile

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/files"
)

// Evidence is compared byte by byte, so a backup depends on the record alone: not on
// whether the case is open for writing, was closed in between, or is a backup itself.
func TestBackupsOfOneCaseAreTheSameBytes(t *testing.T) {
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Set(Set(Contests, 1, "title", "County Judge")))
	backup := func(of *Case) []byte {
		path := filepath.Join(t.TempDir(), "copy"+Extension)
		require.NoError(t, of.Backup(path))
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		return b
	}
	first := backup(c)
	require.Equal(t, first, backup(c))
	c = reopen(t, c)
	require.Equal(t, first, backup(c))
	path := filepath.Join(t.TempDir(), "copy"+Extension)
	require.NoError(t, os.WriteFile(path, first, 0o600))
	copied, err := Open(path, Options{ReadOnly: true})
	require.NoError(t, err)
	defer copied.Close()
	require.Equal(t, first, backup(copied))
	require.NoError(t, c.Close())
	left, err := Open(c.path, Options{ReadOnly: true})
	require.NoError(t, err)
	defer left.Close()
	require.Equal(t, first, backup(left))
}

// What is never written over knows a case and its lease by the names that they have, and
// a backup stands beside no log that would be played into it.
func TestACaseIsKnownByItsName(t *testing.T) {
	require.Equal(t, Extension, files.CaseExtension)
	path := newPath(t)
	for _, end := range []string{leaseExtension, "-wal", "-shm", "-journal"} {
		require.ErrorIs(t, files.Place{Path: path + end}.Check(), files.ErrRefused)
	}
	c := staffed(t, path)
	defer c.Close()
	to := newPath(t)
	require.NoError(t, os.WriteFile(to+"-wal", []byte("of another case"), 0o600))
	require.ErrorIs(t, c.Backup(to), files.ErrRefused)
	require.NoFileExists(t, to)
	_, err := Create(to, tarnwick, quick())
	require.ErrorIs(t, err, files.ErrRefused)
	require.NoFileExists(t, to)
	left, err := os.ReadFile(to + "-wal")
	require.NoError(t, err)
	require.Equal(t, "of another case", string(left), "a new case removes nobody's file")
}
