package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// repository is the root of the repository, seen from this package.
const repository = "../.."

// schema is the published XML schema of SP 1500-100 version 2.0.3
// (doi 10.6028/NIST.SP.1500-100r2), which is not part of the repository.
const schema = repository + "/../shared/standards/sp1500-100/NIST_V2_election_results_reporting.xsd"

// TestMain turns the test binary into the token walk that the benchmark asks for, or
// into the planter of a hostile case, and else runs the tests against a program that is built once.
func TestMain(m *testing.M) {
	if file := os.Getenv(walkVariable); file != "" {
		if err := walkTokens(file); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	if value := os.Getenv(plantVariable); value != "" {
		if err := plantCase(value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	status := m.Run()
	if built.folder != "" {
		_ = os.RemoveAll(built.folder)
	}
	os.Exit(status)
}

var built struct {
	once   sync.Once
	folder string
	err    error
}

// binary builds cproof, once, the way it is handed out: without cgo.
func binary(tb testing.TB) string {
	tb.Helper()
	built.once.Do(func() {
		if built.folder, built.err = os.MkdirTemp("", "cproof-test-"); built.err != nil {
			return
		}
		build := exec.Command("go", "build", "-ldflags=-s -w", "-o", built.folder, ".")
		build.Env = append(os.Environ(), "CGO_ENABLED=0")
		if out, err := build.CombinedOutput(); err != nil {
			built.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	require.NoError(tb, built.err)
	return filepath.Join(built.folder, "cproof"+exeSuffix())
}

func exeSuffix() string {
	if os.PathSeparator == '\\' {
		return ".exe"
	}
	return ""
}

// ran is what a run of the program left.
type ran struct {
	status   int
	out, err string
}

// cproof runs the program as a person does.
func cproof(tb testing.TB, arguments ...string) ran {
	tb.Helper()
	return cproofIn(tb, "", arguments...)
}

// cproofIn runs it in a folder.
func cproofIn(tb testing.TB, folder string, arguments ...string) ran {
	tb.Helper()
	return cproofFed(tb, "", folder, arguments)
}

// cproofFed runs it with lines on standard input: with CI=true as the program that is handed out, and
// else in the tests' own process, which spares the start of some hundred programs.
func cproofFed(tb testing.TB, lines, folder string, arguments []string) ran {
	tb.Helper()
	if os.Getenv("CI") != "true" {
		return cproofHere(tb, lines, folder, arguments)
	}
	return cproofApart(tb, lines, folder, arguments)
}

func cproofApart(tb testing.TB, lines, folder string, arguments []string) ran {
	tb.Helper()
	command := exec.Command(binary(tb), arguments...)
	command.Dir = folder
	command.Stdin = strings.NewReader(lines)
	var out, complaint bytes.Buffer
	command.Stdout, command.Stderr = &out, &complaint
	err := command.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		require.NoError(tb, err)
	}
	return ran{command.ProcessState.ExitCode(), out.String(), complaint.String()}
}

// cproofHere is for tests that run one after another: it changes the process's folder.
func cproofHere(tb testing.TB, lines, folder string, arguments []string) ran {
	tb.Helper()
	if folder != "" {
		before, err := os.Getwd()
		require.NoError(tb, err)
		require.NoError(tb, os.Chdir(folder))
		defer func() { require.NoError(tb, os.Chdir(before)) }()
	}
	typed, keys, err := os.Pipe()
	require.NoError(tb, err)
	_, err = keys.WriteString(lines)
	require.NoError(tb, err)
	require.NoError(tb, keys.Close())
	defer typed.Close()
	defer func(before *os.File) { os.Stdin = before }(os.Stdin)
	os.Stdin = typed
	var out, complaint bytes.Buffer
	status := run(arguments, &session{out: &out, err: &complaint, getenv: os.Getenv})
	return ran{status, out.String(), complaint.String()}
}

// demoFolder returns a folder that holds the demo election, which the program wrote, in
// the folder "demo".
func demoFolder(tb testing.TB) string {
	tb.Helper()
	return filepath.Dir(stage(tb, "plain demo", func() string {
		folder := tb.TempDir()
		run := cproofIn(tb, folder, "demo", "demo")
		require.Equal(tb, exitAgreed, run.status, run.err)
		return filepath.Join(folder, "demo")
	}))
}

// copyDemo copies the demo's second entry into a folder of its own, to be spoilt.
func copyDemo(tb testing.TB) (export, second string) {
	tb.Helper()
	folder := filepath.Join(demoFolder(tb), "demo")
	return filepath.Join(folder, "export.xml"), filepath.Join(folder, "second")
}

// readCSV returns the rows of a CSV file by column name.
func readCSV(tb testing.TB, file string) []map[string]string {
	tb.Helper()
	data, err := os.ReadFile(file)
	require.NoError(tb, err)
	data, marked := bytes.CutPrefix(data, []byte("\ufeff"))
	require.True(tb, marked, "a spreadsheet needs a byte order mark to read é")
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(tb, err)
	require.NotEmpty(tb, rows)
	var list []map[string]string
	for _, row := range rows[1:] {
		named := map[string]string{}
		for i, name := range rows[0] {
			named[name] = row[i]
		}
		list = append(list, named)
	}
	return list
}

// validate checks a file against the published schema.
func validate(tb testing.TB, file string) {
	tb.Helper()
	needs(tb, "xmllint", "libxml2-utils")
	if _, err := os.Stat(schema); err != nil {
		missing(tb, "the published schema is not beside the repository: "+err.Error())
	}
	out, err := exec.Command("xmllint", "--noout", "--schema", schema, file).CombinedOutput()
	require.NoError(tb, err, "not valid SP 1500-100: %s", out)
}

// needs skips a test where a tool is not installed; on the build server that is a
// failure.
func needs(tb testing.TB, tool, debian string) {
	tb.Helper()
	if _, err := exec.LookPath(tool); err != nil {
		missing(tb, tool+" is not installed (Debian package "+debian+")")
	}
}

func missing(tb testing.TB, what string) {
	tb.Helper()
	if os.Getenv("CI") == "true" {
		tb.Fatal(what)
	}
	tb.Skip(what)
}

// golden compares text with a golden file, or writes it with -update.
func golden(tb testing.TB, name, got string) {
	tb.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		require.NoError(tb, os.MkdirAll("testdata", 0o755))
		require.NoError(tb, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(tb, err, "write it with: go test ./cmd/cproof -update")
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
		tb.Errorf("%s differs (-want +got); look at it, and if it is right: go test ./cmd/cproof -update\n%s", file, diff)
	}
}
