package main

import (
	"fmt"
	"os"
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
			fmt.Fprintf(&table, "| | `%s`%s | %s |\n", column.Name, orOptional(column.Optional), strings.ReplaceAll(column.Doc, "|", "\\|"))
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

var consoleBlock = regexp.MustCompile("(?s)```console\n\\$ \\./cproof (.*?)\n(.*?)```")

// leftOut stands for output that the README does not show.
const leftOut = "[…]"

// What the README shows as output is what the program prints, line for line.
func TestTheReadmeShowsRealOutput(t *testing.T) {
	folder := t.TempDir()
	blocks := consoleBlock.FindAllStringSubmatch(readReadme(t), -1)
	require.GreaterOrEqual(t, len(blocks), 5, "console blocks in README.md")
	for _, block := range blocks {
		arguments, shown := strings.Fields(block[1]), block[2]
		t.Run(block[1], func(t *testing.T) {
			run := cproofIn(t, folder, arguments...)
			require.NotEqual(t, exitUnusable, run.status, run.err)
			if out := argumentOf(arguments, "--out"); out != "" {
				validate(t, filepath.Join(folder, out))
			}
			rest := run.out
			for i, stretch := range strings.Split(shown, leftOut+"\n") {
				at := strings.Index(rest, stretch)
				if i == 0 && !strings.HasPrefix(rest, stretch) || at < 0 || at > 0 && rest[at-1] != '\n' {
					t.Fatalf("cproof %s does not print this, or not in this place:\n%s", block[1], stretch)
				}
				rest = rest[at+len(stretch):]
			}
			if !strings.HasSuffix(shown, leftOut+"\n") {
				assert.Empty(t, rest, "more is printed than the README shows")
			}
		})
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
