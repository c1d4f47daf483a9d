package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/program"
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

func TestASuggestedCommandIsQuotedForItsShell(t *testing.T) {
	for _, c := range []struct{ system, path, want string }{
		{"linux", "demo/export.xml", "demo/export.xml"},
		{"linux", "our demo/export.xml", "'our demo/export.xml'"},
		{"linux", "it's", `'it'\''s'`},
		{"linux", `a\b`, `'a\b'`},
		{"windows", `C:\demo\export.xml`, `C:\demo\export.xml`},
		{"windows", `C:\our demo\export.xml`, `"C:\our demo\export.xml"`},
		{"windows", "it's", `"it's"`},
		{"windows", "Pr\u00fcfung", "\"Pr\u00fcfung\""},
		{"windows", "", `""`},
	} {
		require.Equal(t, c.want, shellWordOn(c.system, c.path))
	}
}

func TestTheVersionNamesTheProgram(t *testing.T) {
	for _, line := range [][]string{{"--version"}, {"compare", "--version"}} {
		run := cproof(t, line...)
		require.Equal(t, 0, run.status, run.err)
		require.True(t, strings.HasPrefix(run.out, "cproof "+program.Version+", commit "), run.out)
		require.Contains(t, run.out, "built with "+runtime.Version()+" for "+runtime.GOOS+"/"+runtime.GOARCH+"\n")
		require.Regexp(t, `\nSHA-256 of this program: [0-9a-f]{64}\n$`, run.out) // package program tests which
	}
}
