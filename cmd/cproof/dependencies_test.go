package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// licenceFile is what a module calls the file of its licence.
var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying)([-.].*)?$`)

// licences are words that only one licence has, the most special first.
var licences = []struct{ name, words string }{
	{"Apache 2.0", "Apache License"},
	{"MPL 2.0", "Mozilla Public License"},
	{"public domain", "dedicated to the public domain"},
	{"MIT", "Permission is hereby granted, free of charge"},
	{"BSD 3-clause", "Neither the name"},
	{"BSD 3-clause", "names of its contributors may be used"},
	{"BSD 2-clause", "Redistribution and use in source and binary forms"},
}

// licenceOf names the licences in a module's folder, and their files.
func licenceOf(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var all []string
	for _, entry := range entries {
		if entry.IsDir() || !licenceFile.MatchString(entry.Name()) {
			continue
		}
		if strings.Contains(strings.ToUpper(entry.Name()), "3RD-PARTY") {
			all = append(all, "of code taken over ("+entry.Name()+")")
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, entry.Name()))
		require.NoError(t, err)
		flowing := strings.Join(strings.Fields(string(text)), " ")
		name := ""
		for _, l := range licences {
			if name == "" && strings.Contains(flowing, l.words) {
				name = l.name
			}
		}
		require.NotEmpty(t, name, "%s/%s is a licence that nobody looked at yet", dir, entry.Name())
		all = append(all, name+" ("+entry.Name()+")")
	}
	require.NotEmpty(t, all, "%s has no licence", dir)
	return strings.Join(all, ", ")
}

// The table of dependencies has each module that go.mod requires directly, with the
// version and the licence that the module cache holds, and a sentence written by hand.
func TestDocDependenciesAreThoseOfGoMod(t *testing.T) {
	run := func(arguments ...string) []byte {
		command := exec.Command("go", arguments...)
		command.Dir, command.Stderr = repository, os.Stderr
		out, err := command.Output()
		require.NoError(t, err)
		return out
	}
	var mod struct {
		Require []struct {
			Path, Version string
			Indirect      bool
		}
	}
	require.NoError(t, json.Unmarshal(run("mod", "edit", "-json"), &mod))
	why := map[string]string{}
	for line := range strings.Lines(readDocument(t, developers)) {
		if cells := strings.Split(strings.TrimSpace(line), "|"); len(cells) == 6 {
			why[strings.Trim(cells[1], " `")] = strings.TrimSpace(cells[4])
		}
	}
	var table strings.Builder
	table.WriteString("| module | version | licence | what for, and its upkeep |\n|---|---|---|---|\n")
	for _, m := range mod.Require {
		if m.Indirect {
			continue
		}
		var at struct{ Dir string }
		require.NoError(t, json.Unmarshal(run("mod", "download", "-json", m.Path+"@"+m.Version), &at))
		require.NotEmpty(t, why[m.Path], "DEVELOPERS.md does not say what %s is for: write a row, then -update", m.Path)
		fmt.Fprintf(&table, "| `%s` | %s | %s | %s |\n", m.Path, m.Version, licenceOf(t, at.Dir), why[m.Path])
	}
	sameSection(t, developers, "dependencies", table.String())
}
