package main

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "counterproof/"

// mapRow is a row of DEVELOPERS.md's map: packages, and what they may import.
type mapRow struct {
	packages, may []string
	all           bool // all above
	butNot        string
}

func readMap(t *testing.T) []mapRow {
	t.Helper()
	text, err := os.ReadFile("../../DEVELOPERS.md")
	require.NoError(t, err)
	_, table, ok := strings.Cut(string(text), "| place | what lives there | may import |\n|---|---|---|\n")
	require.True(t, ok, "DEVELOPERS.md has no map")
	table, _, _ = strings.Cut(table, "\n\n")
	named := regexp.MustCompile("`([a-z/]+)`")
	names := func(cell string) (out []string) {
		for _, m := range named.FindAllStringSubmatch(cell, -1) {
			out = append(out, m[1])
		}
		return out
	}
	var rows []mapRow
	for _, line := range strings.Split(strings.TrimSpace(table), "\n") {
		cells := strings.Split(strings.Trim(line, "|"), " | ")
		require.Len(t, cells, 3, line)
		row := mapRow{packages: names(cells[0]), all: strings.HasPrefix(cells[2], "all above")}
		if but, not, ok := strings.Cut(cells[2], "but nothing of"); ok {
			row.butNot, cells[2] = names(not)[0], but
		}
		row.may = names(cells[2])
		rows = append(rows, row)
	}
	return rows
}

// The map of packages in DEVELOPERS.md names every package, and each imports only what
// its row allows, which never stands below it.
func TestMapOfPackages(t *testing.T) {
	rows := readMap(t)
	at := map[string]int{}
	for i, row := range rows {
		for _, p := range row.packages {
			at[p] = i
		}
		for _, p := range row.may {
			if above, ok := at[p]; !ok || above == i {
				t.Errorf("DEVELOPERS.md: %s may import %s, which does not stand above it", row.packages[0], p)
			}
		}
	}
	cmd := exec.Command("go", "list", "-tags", "migrated_fynedo", "-json=ImportPath,Imports", "./...")
	cmd.Dir, cmd.Stderr = "../..", os.Stderr
	out, err := cmd.Output()
	require.NoError(t, err)
	seen := map[string]bool{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimPrefix(p.ImportPath, module)
		seen[name] = true
		i, ok := at[name]
		if !ok {
			t.Errorf("DEVELOPERS.md's map does not name the package %s", name)
			continue
		}
		row := rows[i]
		for _, path := range p.Imports {
			imported, ours := strings.CutPrefix(path, module)
			if !ours {
				continue
			}
			above, known := at[imported]
			allowed := slices.Contains(row.may, imported) || slices.Contains(row.packages, imported) ||
				row.all && known && above < i && (row.butNot == "" || imported != row.butNot &&
					!strings.HasPrefix(imported, row.butNot+"/"))
			if !allowed {
				t.Errorf("%s imports %s, and DEVELOPERS.md's map does not allow it", name, imported)
			}
		}
	}
	for p := range at {
		if !seen[p] {
			t.Errorf("DEVELOPERS.md's map names %s, and there is no such package", p)
		}
	}
}
