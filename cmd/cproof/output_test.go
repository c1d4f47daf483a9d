package main

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// entriesOf lists a folder.
func entriesOf(t *testing.T, folder string) []string {
	t.Helper()
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	var names []string
	for _, entry := range list {
		names = append(names, entry.Name())
	}
	return names
}

func TestAFileThatCannotBeWrittenStaysAsItWas(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "result.json")
	require.NoError(t, os.WriteFile(file, []byte("the result of yesterday"), 0o640))

	err := writeFile(file, func(w io.Writer) error {
		_, _ = io.WriteString(w, strings.Repeat("half a result ", 100000))
		return errors.New("the disk went away")
	})
	assert.ErrorContains(t, err, file)
	assert.ErrorContains(t, err, "the disk went away")
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "the result of yesterday", string(kept))
	assert.Equal(t, []string{"result.json"}, entriesOf(t, folder), "nothing half written is left behind")

	require.NoError(t, writeFile(file, func(w io.Writer) error {
		_, err := io.WriteString(w, "the result of today")
		return err
	}))
	kept, err = os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "the result of today", string(kept))
	assert.Equal(t, []string{"result.json"}, entriesOf(t, folder))
	if info, err := os.Stat(file); assert.NoError(t, err) && os.PathSeparator == '/' {
		assert.Equal(t, os.FileMode(0o640), info.Mode().Perm(), "a replaced file keeps its permissions")
	}
}

func TestWritingThroughALinkReplacesWhatItNames(t *testing.T) {
	folder := t.TempDir()
	file, link := filepath.Join(folder, "result.txt"), filepath.Join(folder, "latest.txt")
	require.NoError(t, os.WriteFile(file, []byte("old"), 0o644))
	if err := os.Symlink(file, link); err != nil {
		missing(t, "no link can be made: "+err.Error())
	}
	require.NoError(t, writeFile(link, func(w io.Writer) error {
		_, err := io.WriteString(w, "new")
		return err
	}))
	got, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "new", string(got))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still a link")
}

// A full disk is one line, and the file of yesterday is still there.
func TestAFullDiskIsOneClearLine(t *testing.T) {
	folder := demoFolder(t)
	compare := []string{"compare", "--primary", "demo/export.xml", "--second", "demo/second"}
	if _, err := os.Stat("/dev/full"); err == nil {
		oneLineError(t, cproofIn(t, folder, append(compare, "--out", "/dev/full")...), "/dev/full", "disk is full")
		info, err := os.Stat("/dev/full")
		require.NoError(t, err)
		assert.NotZero(t, info.Mode()&os.ModeDevice, "a device is written to, never replaced")
	}
	if _, err := exec.LookPath("sh"); err != nil {
		missing(t, "there is no sh to limit the size of files with")
	}
	result := filepath.Join(folder, "result.json")
	require.NoError(t, os.WriteFile(result, []byte("yesterday"), 0o644))
	limited := exec.Command("sh", "-c", `ulimit -f 8 && exec "$@"`, "sh", binary(t))
	limited.Args = append(limited.Args, append(compare, "--format", "json", "--out", "result.json")...)
	limited.Dir = folder
	var out, complaint strings.Builder
	limited.Stdout, limited.Stderr = &out, &complaint
	_ = limited.Run() // its status is looked at below
	oneLineError(t, ran{limited.ProcessState.ExitCode(), out.String(), complaint.String()}, "result.json", "; ")
	kept, err := os.ReadFile(result)
	require.NoError(t, err)
	assert.Equal(t, "yesterday", string(kept))
	assert.ElementsMatch(t, []string{"demo", "result.json"}, entriesOf(t, folder))
}

func TestAFolderThatIsNotThere(t *testing.T) {
	folder := demoFolder(t)
	oneLineError(t, cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--out", "gone/result.txt"),
		"gone/result.txt", "create it first")
	oneLineError(t, cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--out", "demo"), "demo: is a folder")
}
