//go:build unix

package app_test

import (
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"
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

// On Linux and its like a viewer that opens nothing is noticed, and one that stays is not waited for.
func TestAViewerThatOpensNothingIsNoticed(t *testing.T) {
	if runtime.GOOS == "darwin" {
		t.Skip("macOS opens files itself")
	}
	bin := t.TempDir()
	viewer := func(does string) {
		require.NoError(t, os.WriteFile(filepath.Join(bin, "xdg-open"), []byte("#!/bin/sh\n"+does+"\n"), 0o755))
	}
	t.Setenv("PATH", bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	open := app.Opener(test.NewTempApp(t))
	file := &url.URL{Scheme: "file", Path: "/report.pdf"}
	viewer(`test "$1" = file:///report.pdf`)
	require.NoError(t, open(file))
	viewer("exit 3")
	require.Error(t, open(file))
	viewer("sleep 20")
	begun := time.Now()
	require.NoError(t, open(file))
	assert.Less(t, time.Since(begun), 15*time.Second)
}
