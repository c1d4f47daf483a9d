package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
	"counterproof/model/casefile/leftover"
)

// Whatever lies beside a case and does not continue it: no command plays it back, none
// that reads and none that writes. Every byte of the folder is as it was.
func TestNoCommandPlaysBackWhatLiesBesideACase(t *testing.T) {
	if testing.Short() {
		t.Skip("some hundred runs of the program: long; run without -short (model/casefile tries the rule itself)")
	}
	source := openedCase(t)
	of := filepath.Join(source, demo.CaseName)
	older := filepath.Join(t.TempDir(), "older"+casefile.Extension)
	require.NoError(t, os.Rename(filepath.Join(anotherDemoCase(t), demo.CaseName), older)) // another case, nothing sealed
	earlier := filepath.Join(t.TempDir(), "earlier"+casefile.Extension)
	copied(t, of, earlier)
	does(t, cproofIn(t, source, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"))
	copied(t, filepath.Join(source, "export.xml"), filepath.Join(source, "marked.xml"))

	for name, lies := range map[string]struct {
		end  string
		is   []byte
		says string
	}{
		"the log of another case":        {"-wal", leftover.WAL(t, older), "turn it into another case"},
		"a log from before the export":   {"-wal", leftover.WAL(t, earlier), "take it back"},
		"a journal from before it":       {"-journal", leftover.Journal(t, earlier), "take it back"},
		"a journal from another case":    {"-journal", leftover.Journal(t, older), "turn it into another case"},
		"a log that is a kilobyte of ff": {"-wal", []byte(strings.Repeat("\xff", 1024)), ""},
	} {
		t.Run(name, func(t *testing.T) {
			if os.Getenv("CI") != "true" && name != "the log of another case" && name != "a journal from before it" {
				t.Skip("some 60 runs of the program: long; run with CI=true")
			}
			for command, lines := range blindCommands {
				for _, line := range lines {
					if !strings.Contains(line, "CASE") || command == "new" {
						continue
					}
					folder := t.TempDir()
					require.NoError(t, os.CopyFS(folder, os.DirFS(source)))
					require.NoError(t, os.WriteFile(filepath.Join(folder, demo.CaseName+lies.end), lies.is, 0o600))
					before := everyFile(t, folder)
					arguments := []string{command}
					for _, word := range strings.Fields(line) {
						word = strings.ReplaceAll(strings.ReplaceAll(word, "CASE", demo.CaseName), "_", " ")
						if word != "EXCEPTIONS" {
							arguments = append(arguments, word)
						}
					}
					ran := cproofIn(t, folder, arguments...)
					if lies.says == "" {
						continue // it is no log at all, and plays back nothing
					}
					what := strings.Join(arguments, " ")
					assert.NotEqual(t, exitAgreed, ran.status, what)
					if command == "verify" {
						assert.Contains(t, strings.Join(strings.Fields(ran.out+ran.err), " "), lies.says, what)
					} else if !strings.Contains(line, "--primary CASE") && !strings.Contains(ran.err, "no such file") {
						assert.Equal(t, exitUnusable, ran.status, what)
					}
					for path, digest := range everyFile(t, folder) {
						was, there := before[path]
						assert.True(t, there && was == digest, "%s: %s was changed or made", what, path)
					}
				}
			}
		})
	}
}

// A command that only reads changes no byte of the case, nor of its folder: not of one
// that was closed, and not of one whose last entries a killed program left beside it.
func TestReadingCommandsChangeNoByte(t *testing.T) {
	if testing.Short() {
		t.Skip("every command reads a case: long; run without -short")
	}
	closed := openedCase(t)
	killed := t.TempDir()
	require.NoError(t, os.CopyFS(killed, os.DirFS(closed)))
	c, err := casefile.Open(filepath.Join(killed, demo.CaseName), casefile.Options{})
	require.NoError(t, err)
	require.NoError(t, c.Announce("p1", "later.xml", casefile.DigestOf([]byte("x")), 1))
	left := t.TempDir()
	require.NoError(t, os.CopyFS(left, os.DirFS(killed)))
	require.NoError(t, os.Remove(filepath.Join(left, demo.CaseName+".lease")))
	require.NoError(t, os.Remove(filepath.Join(left, demo.CaseName+"-shm")))
	defer c.Close()

	for state, source := range map[string]string{"closed": closed, "open elsewhere": killed,
		"left by a killed program": left} {
		if testing.Short() && state != "left by a killed program" {
			continue // what is there to lose is most in the third
		}
		for _, command := range []string{"compare", "findings", "log", "report", "evidence", "verify", "heads", "backup",
			"inspect"} {
			for _, line := range blindCommands[command] {
				folder := source
				if state != "open elsewhere" {
					folder = t.TempDir()
					require.NoError(t, os.CopyFS(folder, os.DirFS(source)))
				}
				require.NoError(t, os.WriteFile(filepath.Join(folder, "marked.xml"), []byte("x"), 0o600))
				before := everyFile(t, folder)
				arguments := append([]string{command}, strings.Fields(strings.ReplaceAll(line, "CASE", demo.CaseName))...)
				ran := cproofIn(t, folder, arguments...)
				if line == "CASE" && (command == "findings" || command == "log" || command == "verify") {
					assert.NotEqual(t, exitUnusable, ran.status, "%s: %s", state, ran.err)
				}
				after := everyFile(t, folder)
				for path, digest := range before {
					assert.Equal(t, digest, after[path], "%s: %s: %s", state, strings.Join(arguments, " "), path)
				}
				for path := range after {
					if _, was := before[path]; !was {
						assert.False(t, strings.HasPrefix(filepath.Base(path), demo.CaseName), "%s: %s made %s", state,
							strings.Join(arguments, " "), path)
						_ = os.Remove(path)
					}
				}
				for _, out := range []string{"out", "copy.counterproof"} {
					_ = os.RemoveAll(filepath.Join(folder, out))
				}
			}
		}
	}
}

func copied(t *testing.T, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(to, b, 0o600))
}
