package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
)

// What an export holds can be told, and the four planted mistakes that show in the
// export alone are found without a second entry.
func TestInspectTellsWhatTheDemoHolds(t *testing.T) {
	folder := demoFolder(t)
	run := cproofIn(t, folder, "inspect", "demo/export.xml")
	assert.Equal(t, exitFindings, run.status, run.err)
	for _, words := range []string{"NIST SP 1500-100 version 2", "2027-11-02", "Tarnwick County", "24", "10 ballot styles",
		"26 contests", "(23 candidate, 2 measure, 1 retention)", "sha256", "HELD AND NOT COMPARED", "[district-coverage]",
		"does not certify"} {
		assert.Contains(t, run.out, words)
	}

	run = cproofIn(t, folder, "inspect", "demo/export.xml", "--format", "json")
	assert.Equal(t, exitFindings, run.status, run.err)
	assert.NotContains(t, run.out, "null")
	var found inspection
	require.NoError(t, json.Unmarshal([]byte(run.out), &found))
	assert.Equal(t, "counterproof-inspect/1", found.Format)
	assert.Equal(t, holdings{Parties: 5, Districts: found.Holds.Districts, Precincts: 24, Styles: 10, Contests: 26,
		ContestKinds: map[string]int{"candidate": 23, "measure": 2, "retention": 1},
		Choices:      found.Holds.Choices, WriteIns: found.Holds.WriteIns, Sites: 9, Units: 12}, found.Holds)
	assert.Equal(t, found.Elections[0].Choices, found.Holds.Choices+found.Holds.WriteIns)
	var twins []string
	for _, f := range found.Findings {
		if f.Check == "language-twin" {
			twins = append(twins, f.Contest)
		} else {
			assert.EqualValues(t, "district-coverage", f.Check,
				"PLANTED.md: 4 and 5 show in the export alone, as district-coverage")
		}
	}
	assert.ElementsMatch(t, []string{"Proposition One Terms of the County Council",
		"Proposition Two Hollin Library District - Reading Room Bond"}, twins, // with 8, the hyphen
		"PLANTED.md: 10 and 13 show in the export alone, as language-twin")

	run = cproofIn(t, folder, "inspect", "demo/corrected.xml")
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Contains(t, run.out, "The export shows no fault by itself")
}

// The published pre-election files of NIST are inspected in both formats alike.
func TestInspectReadsBothFormatsAlike(t *testing.T) {
	base := repository + "/../shared/standards/test-elections/gen-01/pe-err-gen-01"
	if _, err := os.Stat(base + ".xml"); err != nil {
		missing(t, "the published test elections are not beside the repository: "+err.Error())
	}
	held := map[string]holdings{}
	for _, kind := range []string{".xml", ".json"} {
		run := cproof(t, "inspect", base+kind, "--format", "json")
		require.NotEqual(t, exitUnusable, run.status, run.err)
		var found inspection
		require.NoError(t, json.Unmarshal([]byte(run.out), &found))
		held[kind] = found.Holds
		assert.Equal(t, strings.ToUpper(kind[1:]), found.Report.Parts[0].Format)
	}
	assert.Equal(t, held[".xml"], held[".json"])
}

func TestChecksExplainThemselves(t *testing.T) {
	list := cproof(t, "checks")
	assert.Equal(t, exitAgreed, list.status)
	for _, check := range checks.All() {
		assert.Contains(t, list.out, check.Code)
		one := cproof(t, "checks", string(check.Code))
		assert.Equal(t, exitAgreed, one.status, one.err)
		assert.True(t, strings.HasPrefix(one.out, string(check.Code)+"\n"), one.out)
		flowing := strings.Join(strings.Fields(one.out), " ")
		for _, part := range []string{check.Purpose, strings.Join(strings.Fields(check.Doc), " "),
			strings.Join(strings.Fields(check.Example), " ")} {
			assert.NotEmpty(t, part, check.Code)
			assert.Contains(t, flowing, part)
		}
	}
}

func TestHelpTeaches(t *testing.T) {
	top := cproof(t, "--help")
	assert.Equal(t, exitAgreed, top.status)
	assert.Empty(t, top.err)
	for _, words := range []string{"keys every", "cproof demo demo", "cproof compare --primary demo/export.xml",
		"does not certify", "Exit status"} {
		assert.Contains(t, top.out, words)
	}
	for command, words := range map[string]string{
		"compare": "--primary-units", "inspect": "shows", "checks": "cproof checks vote-for", "export": "1500-100",
		"demo": "PLANTED.md",
	} {
		run := cproof(t, command, "--help")
		assert.Equal(t, exitAgreed, run.status)
		assert.Empty(t, run.err)
		assert.Contains(t, run.out, words)
	}
}

// What the help says to type works as it stands, in a shell: from the demo to the
// proof of its case.
func TestTheExamplesOfTheHelpWork(t *testing.T) {
	locksKeys(t)
	needs(t, "sh", "dash")
	folder := t.TempDir()
	help := cproof(t, "--help").out
	before, rest, found := strings.Cut(help, "Try it on an invented election:\n")
	require.True(t, found, before)
	rest, _, found = strings.Cut(rest, "\nExit status:")
	require.True(t, found)
	var commands []string
	continued := false
	for line := range strings.Lines(rest) {
		text, indented := strings.CutPrefix(strings.TrimRight(line, "\n"), "  ")
		if !indented {
			continue
		}
		if continued {
			commands[len(commands)-1] += "\n" + text
		} else {
			commands = append(commands, text)
		}
		continued = strings.HasSuffix(text, "\\") || strings.HasSuffix(text, "|")
	}
	require.Len(t, commands, 23, rest)
	status := map[string]int{}
	last := ""
	for _, line := range commands {
		command := exec.Command("sh", "-c", line)
		command.Dir = folder
		command.Env = append(os.Environ(), "PATH="+filepath.Dir(binary(t))+string(os.PathListSeparator)+os.Getenv("PATH"))
		var out, complaint strings.Builder
		command.Stdout, command.Stderr = &out, &complaint
		_ = command.Run() // its status is looked at below
		status[line] = command.ProcessState.ExitCode()
		require.Contains(t, []int{exitAgreed, exitFindings}, status[line], "%s\n%s", line, complaint.String())
		assert.Empty(t, complaint.String(), line)
		last = out.String()
	}
	assert.Equal(t, exitAgreed, status["cproof export-in t.counterproof --by HV demo/corrected.xml"])
	assert.Equal(t, exitAgreed, status["cproof findings t.counterproof"])
	assert.Contains(t, last, "evidence holds together")
	assert.Contains(t, last, "Made again from the case")
	assert.FileExists(t, filepath.Join(folder, "report", "report.pdf"))
	run := cproofIn(t, folder, "findings", "t.counterproof", "--format", "json")
	assert.Contains(t, run.out, fmt.Sprintf(`"cleared": %d`, len(planted(t, "export"))+len(planted(t, "second entry"))))
}

// onTerminal runs the program with a terminal for standard output.
func onTerminal(t *testing.T, folder string, environment []string, columns string, arguments ...string) string {
	t.Helper()
	needs(t, "script", "bsdutils")
	line := "stty cols " + columns + "; " + binary(t) + " " + strings.Join(arguments, " ")
	command := exec.Command("script", "-qec", line, filepath.Join(t.TempDir(), "typescript"))
	command.Dir = folder
	command.Env = append(os.Environ(), environment...)
	out, _ := command.Output() // the status is that of the program: 1, there are findings
	return string(out)
}

// Colour only repeats what the words say, only on a terminal, and not where
// NO_COLOR (no-color.org) asks for none.
func TestColourIsForTerminals(t *testing.T) {
	folder := demoFolder(t)
	arguments := []string{"compare", "--primary", "demo/export.xml", "--second", "demo/second"}
	coloured := onTerminal(t, folder, []string{"TERM=xterm", "NO_COLOR="}, "100", arguments...)
	assert.Contains(t, coloured, colourMustFix)
	assert.Contains(t, coloured, "MUST FIX")
	widest := 0
	for line := range strings.Lines(coloured) {
		widest = max(widest, len([]rune(escapes.Replace(strings.TrimRight(line, "\r\n")))))
	}
	assert.LessOrEqual(t, widest, 100)
	assert.Greater(t, widest, plainWidth, "wrapped to the terminal, not to 80 columns")

	for _, environment := range [][]string{{"TERM=xterm", "NO_COLOR=1"}, {"TERM=dumb", "NO_COLOR="}} {
		plain := onTerminal(t, folder, environment, "80", arguments...)
		assert.Contains(t, plain, "MUST FIX")
		assert.NotContains(t, plain, "\x1b", environment)
	}
	piped := cproofIn(t, folder, arguments...)
	assert.Equal(t, piped.out, strings.ReplaceAll(onTerminal(t, folder, []string{"NO_COLOR=1"}, "80", arguments...),
		"\r\n", "\n"),
		"a terminal of 80 columns shows what a pipe gets")
}

var escapes = strings.NewReplacer(colourMustFix, "", colourConfirm, "", colourNote, "", colourHeading, "", colourFaint,
	"", colourOff, "")

// The terminal program is pure Go: it builds without cgo, and neither it nor what
// it is made of uses a graphics library.
func TestBuildsWithoutCgoAndGraphics(t *testing.T) {
	if testing.Short() {
		t.Skip("builds half of the project without cgo: long; run without -short")
	}
	list := exec.Command("go", "list", "-deps", "-f", "{{.ImportPath}} {{.Standard}} {{len .CgoFiles}}",
		"counterproof/cmd/cproof", "counterproof/model/...", "counterproof/checks/...")
	list.Dir = repository
	// Asked with cgo on: a package that would use it if it could shows.
	list.Env = append(os.Environ(), "CGO_ENABLED=1")
	out, err := list.Output()
	require.NoError(t, err)
	// The report asks a font's tables which letters it has. These parse, and draw
	// nothing.
	fontTables := []string{"golang.org/x/image/font/sfnt", "golang.org/x/image/font", "golang.org/x/image/math/fixed"}
	packages := 0
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		require.Len(t, words, 3)
		packages++
		path, standard, cgo := words[0], words[1] == "true", words[2]
		assert.True(t, standard || cgo == "0", "%s uses cgo", path)
		for _, graphics := range []string{"fyne.io/", "github.com/go-gl/", "gioui.org", "golang.org/x/mobile",
			"golang.org/x/image", "golang.org/x/exp/shiny", "counterproof/app"} {
			assert.False(t, strings.HasPrefix(path, graphics) && !slices.Contains(fontTables, path), "%s is imported", path)
		}
	}
	assert.Greater(t, packages, 50)

	build := exec.Command("go", "build", "counterproof/cmd/cproof", "counterproof/model/...", "counterproof/checks/...")
	build.Dir = repository
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err = build.CombinedOutput()
	require.NoError(t, err, "%s", out)
}
