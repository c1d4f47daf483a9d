package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/model/sheets"
)

// document is a text for people that is held to the truth.
type document struct {
	path string
	// after is the document whose commands were run before, in the same folder; empty
	// where it begins in an empty one.
	after string
}

// documents are those with commands, or with tables made from the program.
var documents = []document{
	{path: "README.md"},
	{path: "model/sheets/README.md"},
	{path: "cmd/cproof/README.md"},
	{path: "checks/README.md"},
	{path: "checks/witness/README.md"},
	{path: "checks/loading/README.md"},
	{path: "model/casefile/README.md"},
	{path: "checks/report/README.md", after: "model/casefile/README.md"},
}

func readDocument(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repository, path))
	require.NoError(t, err)
	return string(text)
}

// The tables of the documents are made from the same descriptions as the program.
func TestReadmeTablesSayWhatTheProgramDoes(t *testing.T) {
	var table strings.Builder
	table.WriteString("| code | what a finding says |\n|---|---|\n")
	for _, check := range checks.All() {
		fmt.Fprintf(&table, "| `%s` | %s |\n", check.Code, check.Purpose)
	}
	sameSection(t, "checks/README.md", "checks", table.String())

	table.Reset()
	table.WriteString("| file | column | holds |\n|---|---|---|\n")
	for _, sheet := range sheets.Describe() {
		fmt.Fprintf(&table, "| **`%s`**%s | | a row is %s |\n", sheet.File, orOptional(sheet.Optional), sheet.Doc)
		for _, column := range sheet.Columns {
			fmt.Fprintf(&table, "| | `%s`%s | %s |\n", column.Name, orOptional(column.Optional),
				strings.ReplaceAll(column.Doc, "|", "\\|"))
		}
	}
	sameSection(t, "model/sheets/README.md", "sheets", table.String())

	table.Reset()
	table.WriteString("| command | what it does |\n|---|---|\n")
	parser, err := kong.New(&commandLine{}, kong.Vars(helpVars()), kong.ExplicitGroups(groupsOfCommands))
	require.NoError(t, err)
	group := ""
	for _, command := range parser.Model.Children {
		if title := command.Group.Title; title != group {
			fmt.Fprintf(&table, "| **%s** | |\n", title)
			group = title
		}
		fmt.Fprintf(&table, "| `%s` | %s |\n", command.Name, command.Help)
	}
	sameSection(t, "cmd/cproof/README.md", "commands", table.String())
}

func orOptional(optional bool) string {
	if optional {
		return " (optional)"
	}
	return ""
}

// sameSection compares what stands between <!-- name --> and <!-- /name --> in a
// document with what belongs there; with -update it puts it there.
func sameSection(t *testing.T, path, name, want string) {
	t.Helper()
	open, shut := "<!-- "+name+" -->\n", "<!-- /"+name+" -->"
	before, rest, found := strings.Cut(readDocument(t, path), open)
	require.True(t, found, "%s has no %q", path, open)
	got, after, found := strings.Cut(rest, shut)
	require.True(t, found, "%s has no %q", path, shut)
	if *update && got != want {
		require.NoError(t, os.WriteFile(filepath.Join(repository, path), []byte(before+open+want+shut+after), 0o644))
		return
	}
	assert.Empty(t, cmp.Diff(strings.Split(want, "\n"), strings.Split(got, "\n")),
		"the table of %s in %s is stale: go test ./cmd/cproof -run 'Readme|Doc' -update", name, path)
}

var consoleBlock = regexp.MustCompile("(?s)```console\n(\\$ .*?)```")

// leftOut stands for output that a document does not show: whole lines where it stands
// alone, else a part of a line that is another each time (a digest, a time).
const leftOut = "[…]"

// shownRun is a command that a document shows, and what it shows of its output.
type shownRun struct{ command, shown string }

// shownRuns are the commands of a document's console blocks, in order. A command goes on
// in the next line after a backslash or a bar, as in a shell.
func shownRuns(text string) []shownRun {
	blocks := consoleBlock.FindAllStringSubmatch(text, -1)
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

// What a document shows as output is what the program prints, line for line. The
// commands are run as they stand there, in a shell, one after the other.
func TestReadmeShowsRealOutput(t *testing.T) {
	needs(t, "sh", "dash")
	needs(t, "openssl", "openssl")
	needs(t, "sha256sum", "coreutils")
	shown := 0
	folders := map[string]string{}
	for _, d := range documents {
		if folders[d.path] = folders[d.after]; d.after == "" {
			folders[d.path] = t.TempDir()
			require.NoError(t, os.Symlink(binary(t), filepath.Join(folders[d.path], "cproof")))
		}
		for _, r := range shownRuns(readDocument(t, d.path)) {
			t.Run(d.path+" "+r.command, func(t *testing.T) {
				command := exec.Command("sh", "-c", r.command)
				command.Dir = folders[d.path]
				var out, complaint strings.Builder
				command.Stdout, command.Stderr = &out, &complaint
				_ = command.Run() // its status is looked at
				require.Contains(t, []int{exitAgreed, exitFindings}, command.ProcessState.ExitCode(), complaint.String())
				if file := argumentOf(strings.Fields(r.command), "--out"); strings.HasSuffix(file, ".xml") {
					validate(t, filepath.Join(command.Dir, file))
				}
				if *update {
					r = updateShown(t, d.path, r, out.String())
				}
				showsOutput(t, r, out.String())
				shown += strings.Count(r.shown, "\n")
			})
		}
	}
	assert.Greater(t, shown, 250, "lines of output in all documents")
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
		assert.Empty(t, rest, "more is printed than the document shows")
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
