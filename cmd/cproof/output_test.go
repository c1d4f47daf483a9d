package main

import (
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

// A full disk is one line, and the file of yesterday is still there.
func TestAFullDiskIsOneClearLine(t *testing.T) {
	folder := demoFolder(t)
	compare := []string{"compare", "--primary", "demo/export.xml", "--second", "demo/second"}
	if _, err := exec.LookPath("sh"); err != nil {
		missing(t, "there is no sh to limit the size of files with")
	}
	result := filepath.Join(folder, "result.json")
	require.NoError(t, os.WriteFile(result, []byte("yesterday"), 0o644))
	limited := exec.Command("sh", "-c", `ulimit -f 8 && exec "$@"`, "sh", binary(t))
	limited.Args = append(limited.Args, append(compare, "--format", "json", "--force", "--out", "result.json")...)
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
	oneLineError(t, cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--out",
		"gone/result.txt"),
		"gone/result.txt", "create it first")
	oneLineError(t, cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--out",
		"demo"), "demo: is a folder")
}
