//go:build unix

package app_test

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app"
	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"
)

// A save dialog asks before it replaces an ordinary file, and refuses what must not be
// lost in the form itself, where another name can be typed.
func TestSavingAsksOrRefuses(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	folder := t.TempDir()
	require.NoError(t, w.Session.CreateDemo(folder))
	at := func(name string) string { return filepath.Join(folder, name) }
	of := w.Session.Case().Path()
	require.NoError(t, os.WriteFile(at("notes.txt"), []byte("mine"), 0o644))
	require.NoError(t, os.WriteFile(at("other.db"), []byte("SQLite format 3\x00"), 0o644))
	require.NoError(t, os.Link(of, at("hard.txt")))
	require.NoError(t, os.Symlink(of, at("soft.txt")))
	require.NoError(t, syscall.Mkfifo(at("pipe"), 0o600))
	backUp := func(path string) {
		t.Helper()
		w.AskBackup()
		w.Write("Copy to", path)
		w.Tap("Back up")
	}
	for path, words := range map[string]string{
		"": "Name the file", of: "this command reads", at("hard.txt"): "this command reads",
		at("soft.txt"): "this command reads",
		at("other.db"): "another database", of + "-wal": "beside the case", of + ".lease": "beside the case",
		at("pipe"): "is a pipe", "/dev/null": "is a device", folder: "is a folder", at("gone/x"): "create it first",
	} {
		backUp(path)
		if path != at("gone/x") {
			require.Len(t, w.Sheets.All(), 1, "the form is still there, and nothing is asked: %s", path)
		}
		assert.Contains(t, w.Says(), words, path)
		w.CloseSheets()
	}
	backUp(at("notes.txt"))
	assert.Contains(t, w.Says(), "notes.txt is there already")
	w.Tap("Keep it, and name another")
	require.Len(t, w.Sheets.All(), 1, "the form is back")
	kept, err := os.ReadFile(at("notes.txt"))
	require.NoError(t, err)
	assert.Equal(t, "mine", string(kept))
	w.Tap("Back up")
	w.Tap("Replace it")
	assert.Contains(t, w.Says(), "The case is backed up")
	checked, err := casefile.Verify(at("notes.txt"), casefile.Expect{})
	require.NoError(t, err)
	assert.True(t, checked.Good())
	require.NoError(t, w.Session.Close())
	still, err := casefile.Verify(of, casefile.Expect{})
	require.NoError(t, err)
	assert.True(t, still.Good(), "the case itself")
}

// What is dropped or chosen as a table is looked at by its kind first.
func TestAPipeIsNoRoster(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "roster.csv")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	_, err := app.ReadText(pipe)
	require.ErrorContains(t, err, "is a pipe, not a file; save it to a file first")
}
