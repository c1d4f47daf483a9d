//go:build unix

package main

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
	"counterproof/model/tables"
)

// readers are the commands that read, with one input left to be named. Those of sheets
// are given a folder with that sheet.
func readers(folder string) map[string]func(input string) []string {
	at := func(name string) string { return filepath.Join(folder, name) }
	of := at(demo.CaseName)
	return map[string]func(string) []string{
		"compare": func(in string) []string { return []string{"compare", "--primary", in, "--second", at("second")} },
		"compare, one part of two": func(in string) []string {
			return []string{"compare", "--primary", at("export.xml"), "--primary", in, "--second", at("second")}
		},
		"compare with a case": func(in string) []string { return []string{"compare", "--primary", in, "--second", of} },
		"compare with a card list": func(in string) []string {
			return []string{"compare", "--primary", at("export.xml"), "--primary-units", in, "--second", at("second")}
		},
		"compare a case with a list": func(in string) []string {
			return []string{"compare", "--primary", at("export.xml"), "--primary-units", in, "--second", of}
		},
		"inspect": func(in string) []string { return []string{"inspect", in} },
		"inspect through a mapping": func(in string) []string {
			return []string{"inspect", at("export.xml"), "--mapping", in}
		},
		"tables propose": func(in string) []string { return []string{"tables", "propose", in} },
		"announce, one of two": func(in string) []string {
			return []string{"announce", of, "--by", "HV", at("export.xml"),
				in}
		},
		"announce":  func(in string) []string { return []string{"announce", of, "--by", "HV", in} },
		"export-in": func(in string) []string { return []string{"export-in", of, "--by", "HV", in} },
		"export-in with a card list": func(in string) []string {
			return []string{"export-in", of, "--by", "HV", at("export.xml"), "--primary-units", in}
		},
		"compare with sheets": func(in string) []string {
			return []string{"compare", "--primary", at("export.xml"), "--second", filepath.Dir(in)}
		},
		"export sheets": func(in string) []string {
			return []string{"export", "--second", filepath.Dir(in), "--out", at("sheets.xml")}
		},
		"key sheets": func(in string) []string { return []string{"key", of, "--by", "IT", filepath.Dir(in)} },
	}
}

func ofSheets(command string) bool { return strings.HasSuffix(command, "sheets") }

// Every command that reads × a pipe without a writer, a device that never ends, a
// socket: refused at once by its kind, and the case is as it was.
func TestWhatIsNoFileIsRefusedByItsKind(t *testing.T) {
	if testing.Short() {
		t.Skip("many runs of the program: long; run without -short")
	}
	folder := openedCase(t)
	before := inTime(t, "log", filepath.Join(folder, demo.CaseName))
	kinds := map[string]func(path string){
		"is a pipe": func(path string) { require.NoError(t, syscall.Mkfifo(path, 0o600)) },
		"is a socket": func(path string) {
			listening, err := net.Listen("unix", path)
			require.NoError(t, err)
			t.Cleanup(func() { _ = listening.Close() })
		},
		"is a device": func(path string) { require.NoError(t, os.Symlink("/dev/zero", path)) },
	}
	for name, arguments := range readers(folder) {
		for kind, make := range kinds {
			t.Run(name+" "+kind, func(t *testing.T) {
				// The name of a socket may have some hundred bytes (unix(7)).
				short, err := os.MkdirTemp("", "in")
				require.NoError(t, err)
				t.Cleanup(func() { _ = os.RemoveAll(short) })
				input := filepath.Join(short, "units.csv")
				if ofSheets(name) {
					require.NoError(t, os.CopyFS(short, os.DirFS(filepath.Join(folder, "second"))))
					require.NoError(t, os.Remove(input))
				}
				make(input)
				oneLineError(t, inTime(t, arguments(input)...), input+": ", kind, "save it to a file first")
			})
		}
	}
	for name, arguments := range map[string][]string{
		"as the sheets":          {"compare", "--primary", filepath.Join(folder, "export.xml"), "--second", "/dev/zero"},
		"as the sheets, to hand": {"export", "--second", "/dev/zero", "--out", filepath.Join(folder, "x.xml")},
		"to be keyed":            {"key", filepath.Join(folder, demo.CaseName), "--by", "IT", "/dev/zero"},
		"to be joined":           {"join", filepath.Join(folder, demo.CaseName), "--by", "IT", "/dev/zero"},
		"to be verified":         {"verify", "/dev/zero"},
		"as a case":              {"findings", "/dev/zero"},
		"as a case to copy":      {"backup", "/dev/zero", filepath.Join(folder, "copy")},
	} {
		t.Run("a device "+name, func(t *testing.T) { oneLineError(t, inTime(t, arguments...), "/dev/zero", "; ") })
	}
	assert.Equal(t, before, inTime(t, "log", filepath.Join(folder, demo.CaseName)), "nothing was recorded")
}

// What the shell makes of <(…) is a pipe.
func TestProcessSubstitution(t *testing.T) {
	if _, err := exec.LookPath("bash"); err != nil {
		missing(t, "there is no bash")
	}
	folder := demoFolder(t)
	command := exec.Command("bash", "-c", `"$0" inspect <(cat demo/export.xml)`, binary(t))
	command.Dir = folder
	var out, complaint strings.Builder
	command.Stdout, command.Stderr = &out, &complaint
	_ = command.Run() // its status is looked at below
	oneLineError(t, ran{command.ProcessState.ExitCode(), out.String(), complaint.String()}, "is a pipe",
		"save it to a file first")
	// A file that the shell opens is one.
	command = exec.Command("bash", "-c", `"$0" inspect /dev/stdin < demo/corrected.xml`, binary(t))
	command.Dir = folder
	require.NoError(t, command.Run())
}

// Every command that reads × a file that goes on growing: it ends, and where the file
// grew between its opening and its end, it says so and records nothing.
func TestAFileThatGoesOnGrowing(t *testing.T) {
	if testing.Short() {
		t.Skip("reads hundreds of megabytes: long; run without -short")
	}
	folder := openedCase(t)
	export, err := os.ReadFile(filepath.Join(folder, "export.xml"))
	require.NoError(t, err)
	units, err := os.ReadFile(filepath.Join(folder, "second", "units.csv"))
	require.NoError(t, err)
	for name, arguments := range readers(folder) {
		t.Run(name, func(t *testing.T) {
			input := filepath.Join(t.TempDir(), "units.csv")
			data := export
			if strings.HasSuffix(name, "list") {
				data = units
			}
			if ofSheets(name) {
				require.NoError(t, os.CopyFS(filepath.Dir(input), os.DirFS(filepath.Join(folder, "second"))))
				data = units
			}
			length := 4 << 20
			if strings.HasSuffix(name, "mapping") {
				length = tables.MaxMapping / 4 // one beyond its limit is refused unread
			}
			data = append(data[:len(data):len(data)], strings.Repeat("\n", length)...)
			require.NoError(t, os.WriteFile(input, data, 0o644))
			stop := growing(t, input)
			defer stop()
			for range 50 { // on a busy machine nobody may come to write while it is read
				before := inTime(t, "log", filepath.Join(folder, demo.CaseName))
				_ = os.Remove(filepath.Join(folder, "sheets.xml"))
				run := inTime(t, arguments(input)...)
				if !strings.Contains(run.err, "changed while it was read") {
					continue
				}
				oneLineError(t, run, input+": ", "it grew", "do it again")
				assert.Equal(t, before, inTime(t, "log", filepath.Join(folder, demo.CaseName)), "nothing was recorded")
				return
			}
			t.Error("read 50 times while it grew, and never said so")
		})
	}
}

// growing appends to a file until it is stopped.
func growing(t *testing.T, path string) (stop func()) {
	t.Helper()
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
	require.NoError(t, err)
	var done atomic.Bool
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for !done.Load() {
			if _, err := file.WriteString("\n"); err != nil {
				return
			}
		}
	}()
	return func() {
		done.Store(true)
		<-ended
		require.NoError(t, file.Close())
	}
}

// A file that no case would keep is refused by its size, before it is read: one that is
// announced and can never come in would be a promise that nobody can keep.
func TestAnExportThatNoCaseKeepsIsNotAnnounced(t *testing.T) {
	folder := openedCase(t)
	of, long := filepath.Join(folder, demo.CaseName), filepath.Join(t.TempDir(), "long.xml")
	file, err := os.Create(long)
	require.NoError(t, err)
	require.NoError(t, file.Truncate(casefile.MaxExport+1)) // it takes no room on the disk
	require.NoError(t, file.Close())
	before := cproof(t, "log", of).out
	for _, command := range []string{"announce", "export-in"} {
		oneLineError(t, cproof(t, command, of, "--by", "HV", long), long, "536870913 bytes", "right file")
		assert.Equal(t, before, cproof(t, "log", of).out, "nothing is recorded")
	}
}
