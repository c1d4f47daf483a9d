//go:build unix

package main

import (
	"crypto/sha256"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

// inTime runs a command line within the test, and fails the test if it waits: a pipe
// without a writer would make it wait for ever.
func inTime(t *testing.T, arguments ...string) ran {
	t.Helper()
	var out, complaint strings.Builder
	status := make(chan int, 1)
	go func() {
		status <- run(arguments, &session{out: &out, err: &complaint, getenv: func(string) string { return "" }})
	}()
	select {
	case got := <-status:
		return ran{got, out.String(), complaint.String()}
	case <-time.After(5 * time.Minute):
		t.Fatalf("still waiting after 5 minutes: cproof %s", strings.Join(arguments, " "))
		return ran{}
	}
}

// everyFile returns the digest of each regular file below a folder.
func everyFile(t *testing.T, folder string) map[string][32]byte {
	t.Helper()
	all := map[string][32]byte{}
	require.NoError(t, filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		all[path] = sha256.Sum256(data)
		return err
	}))
	return all
}

// Every command that writes × everything that it must not write to, with --force where
// it has that: one line, status 2, and every byte in the folder is as it was.
func TestNoCommandWritesOverWhatMustNotBeLost(t *testing.T) {
	if testing.Short() {
		t.Skip("runs every command that writes: long; run without -short")
	}
	folder := openedCase(t)
	at := func(name string) string { return filepath.Join(folder, name) }
	of := at(demo.CaseName)
	copyOf := func(from, to string) {
		data, err := os.ReadFile(at(from))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(at(to), data, 0o644))
	}
	copyOf(demo.CaseName, "other.bak")
	copyOf("second/units.csv", "cards.csv")
	require.NoError(t, os.WriteFile(at("deck.csv"), []byte("ballot,precinct,contest,position,mark\n1,1-01,,,\n"), 0o644))
	require.NoError(t, os.WriteFile(at("key.csv"), []byte("precinct,party,contest,position,choice,count\n"), 0o644))
	require.NoError(t, os.Link(of, at("hard.txt")))
	require.NoError(t, os.Link(at("export.xml"), at("hard.xml")))
	require.NoError(t, os.Link(at("second/contests.csv"), at("hard.csv")))
	require.NoError(t, os.Symlink(of, at("soft.txt")))
	require.NoError(t, os.Symlink("/dev/null", at("soft-null.txt")))
	require.NoError(t, os.Symlink(at("nowhere"), at("soft-gone.txt")))
	require.NoError(t, os.WriteFile(of+"-wal", []byte("left by somebody"), 0o600))
	require.NoError(t, os.WriteFile(at("damaged.counterproof"), []byte("a case that lost its head"), 0o600))
	require.NoError(t, syscall.Mkfifo(at("pipe"), 0o600))

	anywhere := []string{of, at("other.bak"), at("hard.txt"), at("soft.txt"), of + "-wal", of + "-shm", of + "-journal",
		of + ".lease",
		at("damaged.counterproof"), at("pipe"), at("soft-null.txt"), at("soft-gone.txt"), at("second"), "/dev/null",
		"/dev/stdout", "/dev/full"}
	sheets := []string{at("second/contests.csv"), at("hard.csv"), at("second/new.csv")}
	export := []string{at("export.xml"), at("hard.xml"), at("second/../export.xml")}
	for name, command := range map[string]struct {
		arguments []string
		inputs    []string
	}{
		"compare with sheets": {[]string{"compare", "--primary", at("export.xml"), "--primary-units", at("cards.csv"),
			"--second", at("second"), "--force", "--out"},
			append(append([]string{at("cards.csv")}, sheets...), export...)},
		"compare with a case": {[]string{"compare", "--primary", at("export.xml"), "--second", of, "--format", "csv",
			"--force", "--out"}, export},
		"inspect": {[]string{"inspect", at("export.xml"), "--force", "--out"}, export},
		"export":  {[]string{"export", "--second", at("second"), "--force", "--out"}, sheets},
		"tables propose": {[]string{"tables", "propose", at("second/contests.csv"), "--force", "--out"},
			[]string{at("second/contests.csv"), at("hard.csv")}},
		"compare, a folder and a mapping": {[]string{"compare", "--primary", at("second"), "--mapping", at("cards.csv"),
			"--second",
			at("second"), "--force", "--out"}, append([]string{at("cards.csv")}, sheets...)},
		"deck count": {[]string{"deck", "count", "--second", at("second"), at("deck.csv"), "--force", "--out"},
			append([]string{at("deck.csv")}, sheets...)},
		"deck compare": {[]string{"deck", "compare", "--second", at("second"), "--key", at("key.csv"), "--deck", at("deck.csv"),
			"--results", at("cards.csv"), "--primary", at("export.xml"), "--force", "--out"},
			append(append([]string{at("key.csv"), at("deck.csv"), at("cards.csv")}, sheets...), export...)},
		"deck make": {[]string{"deck", "make", "--second", at("second"), "--force", "--out"}, sheets},
		"deck lint": {[]string{"deck", "lint", "--second", at("second"), at("deck.csv"), "--force", "--out"},
			append([]string{at("deck.csv")}, sheets...)},
		"findings":           {[]string{"findings", of, "--force", "--out"}, nil},
		"cards plan":         {[]string{"cards", "plan", of, "--force", "--out"}, nil},
		"cards findings":     {[]string{"cards", "findings", of, "--force", "--out"}, nil},
		"report as one file": {[]string{"report", of, "--format", "html", "--force", "--out"}, nil},
		"backup":             {[]string{"backup", of, "--force"}, nil},
		"report as a folder": {[]string{"report", of, "--out"}, []string{at("export.xml")}},
		"evidence":           {[]string{"evidence", of}, []string{at("export.xml")}},
		"demo":               {[]string{"demo"}, []string{at("export.xml")}},
		"demo as a case":     {[]string{"demo", "--case"}, []string{at("export.xml")}},
		"new": {[]string{"new", "--election-name", "General", "--date", "2027-11-02", "--jurisdiction", "Tarnwick County",
			"--party", "Hearth Party", "--party", "Meridian Party"}, []string{at("export.xml")}},
	} {
		t.Run(name, func(t *testing.T) {
			before := everyFile(t, folder)
			for _, target := range append(anywhere[:len(anywhere):len(anywhere)], command.inputs...) {
				switch {
				case strings.HasPrefix(name, "demo") && (target == at("second") || !exists(target)):
					continue // a folder that it fills, and never over a file
				case name == "new" && !exists(target):
					continue // a new case of that name
				}
				run := inTime(t, append(command.arguments[:len(command.arguments):len(command.arguments)], target)...)
				oneLineError(t, run, "; ")
				if t.Failed() {
					t.Fatalf("%s to %s", name, target)
				}
			}
			assert.Equal(t, before, everyFile(t, folder))
		})
	}
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// An ordinary file is replaced with --force and never without it, in every command that
// writes one.
func TestAnOrdinaryFileIsReplacedWithForceAlone(t *testing.T) {
	folder := openedCase(t)
	at := func(name string) string { return filepath.Join(folder, name) }
	of := at(demo.CaseName)
	require.NoError(t, os.WriteFile(at("deck.csv"), []byte("ballot,precinct,contest,position,mark\n1,1-01,,,\n"), 0o644))
	for name, arguments := range map[string][]string{
		"compare":  {"compare", "--primary", at("export.xml"), "--second", at("second"), "--out"},
		"inspect":  {"inspect", at("export.xml"), "--out"},
		"export":   {"export", "--second", at("second"), "--out"},
		"deck":     {"deck", "count", "--second", of, at("deck.csv"), "--out"},
		"findings": {"findings", of, "--out"},
		"cards":    {"cards", "plan", of, "--out"},
		"tables":   {"tables", "propose", at("second/contests.csv"), at("second/choices.csv"), "--out"},
		"report":   {"report", of, "--format", "json", "--out"},
		"backup":   {"backup", of},
	} {
		t.Run(name, func(t *testing.T) {
			target := at(name + ".out")
			require.NoError(t, os.WriteFile(target, []byte("yesterday"), 0o644))
			before := entriesOf(t, folder)
			oneLineError(t, inTime(t, append(arguments, target)...), target+": ", "already", "--force")
			kept, err := os.ReadFile(target)
			require.NoError(t, err)
			assert.Equal(t, "yesterday", string(kept))
			forced := inTime(t, append(arguments, target, "--force")...)
			assert.NotEqual(t, exitUnusable, forced.status, forced.err)
			now, err := os.ReadFile(target)
			require.NoError(t, err)
			assert.NotEqual(t, "yesterday", string(now))
			assert.Equal(t, before, entriesOf(t, folder), "nothing is left beside it")
		})
	}
	oneLineError(t, inTime(t, "report", of, "--out", at("report"), "--force"), "--force", "--format")
}

// A copy of a case is for its owner alone, as the case is: it may be blind still.
func TestABackupIsForItsOwnerAlone(t *testing.T) {
	folder := demoCase(t)
	file := filepath.Join(folder, "copy.counterproof")
	does(t, inTime(t, "backup", filepath.Join(folder, demo.CaseName), file))
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}
