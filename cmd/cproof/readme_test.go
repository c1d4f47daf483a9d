package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/model/sheets"
)

const readme = repository + "/README.md"

func readReadme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	return string(text)
}

// The tables of the README are made from the same descriptions as the program.
func TestTheReadmeTablesSayWhatTheProgramDoes(t *testing.T) {
	var table strings.Builder
	table.WriteString("| code | what a finding says |\n|---|---|\n")
	for _, check := range checks.All() {
		fmt.Fprintf(&table, "| `%s` | %s |\n", check.Code, check.Purpose)
	}
	sameSection(t, "checks", table.String())

	table.Reset()
	table.WriteString("| file | column | holds |\n|---|---|---|\n")
	for _, sheet := range sheets.Describe() {
		fmt.Fprintf(&table, "| **`%s`**%s | | a row is %s |\n", sheet.File, orOptional(sheet.Optional), sheet.Doc)
		for _, column := range sheet.Columns {
			fmt.Fprintf(&table, "| | `%s`%s | %s |\n", column.Name, orOptional(column.Optional),
				strings.ReplaceAll(column.Doc, "|", "\\|"))
		}
	}
	sameSection(t, "sheets", table.String())
}

func orOptional(optional bool) string {
	if optional {
		return " (optional)"
	}
	return ""
}

// sameSection compares what stands between <!-- name --> and <!-- /name --> with
// what belongs there; with -update it puts it there.
func sameSection(t *testing.T, name, want string) {
	t.Helper()
	text := readReadme(t)
	open, shut := "<!-- "+name+" -->\n", "<!-- /"+name+" -->"
	before, rest, found := strings.Cut(text, open)
	require.True(t, found, "README.md has no %q", open)
	got, after, found := strings.Cut(rest, shut)
	require.True(t, found, "README.md has no %q", shut)
	if *update && got != want {
		require.NoError(t, os.WriteFile(readme, []byte(before+open+want+shut+after), 0o644))
		return
	}
	assert.Empty(t, cmp.Diff(strings.Split(want, "\n"), strings.Split(got, "\n")),
		"the README's table of %s is stale: go test ./cmd/cproof -run Readme -update", name)
}

var consoleBlock = regexp.MustCompile("(?s)```console\n(\\$ .*?)```")

// leftOut stands for output that the README does not show: whole lines where it stands
// alone, else a part of a line that is another each time (a digest, a time).
const leftOut = "[…]"

// shownRun is a command that the README shows, and what it shows of its output.
type shownRun struct{ command, shown string }

// shownRuns are the commands of the README's console blocks, in order. A command goes on
// in the next line after a backslash or a bar, as in a shell.
func shownRuns(t *testing.T) []shownRun {
	t.Helper()
	blocks := consoleBlock.FindAllStringSubmatch(readReadme(t), -1)
	require.GreaterOrEqual(t, len(blocks), 10, "console blocks in README.md")
	var runs []shownRun
	for _, block := range blocks {
		goesOn := false
		for line := range strings.Lines(block[1]) {
			command, begins := strings.CutPrefix(line, "$ ")
			text := strings.TrimSuffix(line, "\n")
			switch {
			case goesOn:
				runs[len(runs)-1].command += "\n" + text
			case begins:
				runs = append(runs, shownRun{command: strings.TrimSuffix(command, "\n")})
			default:
				runs[len(runs)-1].shown += line
			}
			goesOn = (goesOn || begins) && (strings.HasSuffix(text, "\\") || strings.HasSuffix(text, "|"))
		}
	}
	return runs
}

// What the README shows as output is what the program prints, line for line. The
// commands are run as they stand there, in a shell, one after the other.
func TestTheReadmeShowsRealOutput(t *testing.T) {
	needs(t, "sh", "dash")
	needs(t, "openssl", "openssl")
	needs(t, "sha256sum", "coreutils")
	folder := t.TempDir()
	require.NoError(t, os.Symlink(binary(t), filepath.Join(folder, "cproof")))
	shown := 0
	for _, r := range shownRuns(t) {
		t.Run(r.command, func(t *testing.T) {
			command := exec.Command("sh", "-c", r.command)
			command.Dir = folder
			var out, complaint strings.Builder
			command.Stdout, command.Stderr = &out, &complaint
			_ = command.Run() // its status is looked at
			require.Contains(t, []int{exitAgreed, exitFindings}, command.ProcessState.ExitCode(), complaint.String())
			if file := argumentOf(strings.Fields(r.command), "--out"); strings.HasSuffix(file, ".xml") {
				validate(t, filepath.Join(folder, file))
			}
			showsOutput(t, r, out.String())
			shown += strings.Count(r.shown, "\n")
		})
	}
	assert.Greater(t, shown, 250, "lines of output in README.md")
}

// showsOutput holds what is shown against what was printed.
func showsOutput(t *testing.T, r shownRun, rest string) {
	t.Helper()
	// "\n" begins the pattern of a line that is left out whole.
	stretches := strings.Split("\n"+r.shown, "\n"+leftOut+"\n")
	for i, stretch := range stretches {
		if i == 0 {
			stretch = strings.TrimPrefix(stretch, "\n")
		}
		if stretch == "" {
			continue
		}
		if i < len(stretches)-1 {
			stretch += "\n"
		}
		pattern := strings.ReplaceAll(regexp.QuoteMeta(stretch), regexp.QuoteMeta(leftOut), `[^\n]+`)
		found := regexp.MustCompile("(?m)^" + pattern).FindStringIndex(rest)
		if found == nil || i == 0 && found[0] != 0 {
			t.Fatalf("%s does not print this, or not in this place:\n%s\nIt prints:\n%s", r.command, stretch, rest)
		}
		rest = rest[found[1]:]
	}
	if !strings.HasSuffix(r.shown, leftOut+"\n") || strings.HasSuffix(r.shown, " "+leftOut+"\n") {
		assert.Empty(t, rest, "more is printed than the README shows")
	}
}

func argumentOf(arguments []string, flag string) string {
	for i, argument := range arguments {
		if argument == flag && i+1 < len(arguments) {
			return arguments[i+1]
		}
	}
	return ""
}
