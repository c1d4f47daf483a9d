package main

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// walkVariable makes the test binary a bare encoding/xml token walk over the file
// it names: the reference that the speed of cproof is measured against, in a
// process of its own like cproof.
const walkVariable = "CPROOF_TOKEN_WALK"

func walkTokens(file string) error {
	in, err := os.Open(file)
	if err != nil {
		return err
	}
	defer in.Close()
	decoder := xml.NewDecoder(in)
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// cost is what a process took.
type cost struct {
	wall time.Duration
	// processor is the time that all cores together spent on it.
	processor time.Duration
	// peak is the largest resident memory in bytes; 0 where the system does not
	// tell.
	peak int64
}

// measure runs a command and returns its cost. The exit status must be one that is
// expected.
func measure(tb testing.TB, status int, environment []string, name string, arguments ...string) cost {
	tb.Helper()
	command := exec.Command(name, arguments...)
	command.Env = append(os.Environ(), environment...)
	var complaint strings.Builder
	command.Stderr = &complaint
	began := time.Now()
	err := command.Run()
	wall := time.Since(began)
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		require.NoError(tb, err)
	}
	require.Equal(tb, status, command.ProcessState.ExitCode(), "%s %v: %s", name, arguments, complaint.String())
	return cost{wall: wall, processor: command.ProcessState.UserTime() + command.ProcessState.SystemTime(),
		peak: peakMemory(command.ProcessState)}
}

// rounds is how often everything is measured in one benchmark. The programs take
// turns, so that a busy machine disturbs them alike, and the best round of each
// counts: what disturbs a run only ever adds to it.
const rounds = 7

// best is the least cost of each kind, apart from the memory, of which the most
// counts.
func best(costs []cost) cost {
	b := costs[0]
	for _, c := range costs[1:] {
		b.wall, b.processor, b.peak = min(b.wall, c.wall), min(b.processor, c.processor), max(b.peak, c.peak)
	}
	return b
}

// BenchmarkCompare measures "cproof compare", reading and writing included, on a
// county of 5,000 precincts with 30 contests each, as a ratio to a bare token walk
// and to xmllint over the same export in the same run, and on one of twice the
// size. Required: at most 2.5 times the wall time of xmllint --stream (1.5 is aimed
// at), at most 0.4 times the peak memory of xmllint, and at most 2.1 times the time
// for twice the size.
//
// The wall times mean something only on a machine that has two cores to spare:
// cproof reads both sides at the same time. The processor times hold on a busy one
// as well.
func BenchmarkCompare(b *testing.B) {
	xmllint, err := exec.LookPath("xmllint")
	require.NoError(b, err, "xmllint is the reference for memory: install libxml2-utils")
	self, err := os.Executable()
	require.NoError(b, err)
	folder := b.TempDir()
	once, twice := filepath.Join(folder, "once"), filepath.Join(folder, "twice")
	require.NoError(b, county{precincts: 5000, mistakes: true}.write(once))
	require.NoError(b, county{precincts: 10000, mistakes: true}.write(twice))
	export := filepath.Join(once, "export.xml")
	size, err := os.Stat(export)
	require.NoError(b, err)

	for b.Loop() {
		var walks, streams, lints, compares, doubles []cost
		for range rounds {
			walks = append(walks, measure(b, 0, []string{walkVariable + "=" + export}, self))
			streams = append(streams, measure(b, 0, nil, xmllint, "--stream", "--noout", export))
			lints = append(lints, measure(b, 0, nil, xmllint, "--noout", export))
			compares = append(compares, compareCounty(b, once))
			doubles = append(doubles, compareCounty(b, twice))
		}
		walk, stream, lint, compare, double := best(walks), best(streams), best(lints), best(compares), best(doubles)
		ratio := func(a, b time.Duration) float64 { return float64(a) / float64(b) }
		b.ReportMetric(ratio(compare.wall, walk.wall), "x-token-walk")
		b.ReportMetric(ratio(compare.processor, walk.processor), "x-token-walk-processor")
		b.ReportMetric(ratio(compare.wall, stream.wall), "x-xmllint-stream")
		b.ReportMetric(ratio(compare.processor, stream.processor), "x-xmllint-stream-processor")
		b.ReportMetric(ratio(compare.wall, lint.wall), "x-xmllint")
		b.ReportMetric(float64(compare.peak)/float64(lint.peak), "x-xmllint-memory")
		b.ReportMetric(ratio(double.wall, compare.wall), "x-for-twice-the-size")
		b.ReportMetric(ratio(double.processor, compare.processor), "x-for-twice-the-size-processor")
		b.ReportMetric(float64(compare.wall.Milliseconds()), "ms-compare")
		b.ReportMetric(float64(walk.wall.Milliseconds()), "ms-token-walk")
		b.ReportMetric(float64(stream.wall.Milliseconds()), "ms-xmllint-stream")
		b.ReportMetric(float64(lint.wall.Milliseconds()), "ms-xmllint")
		b.ReportMetric(float64(compare.peak)/(1<<20), "MB-compare")
		b.ReportMetric(float64(lint.peak)/(1<<20), "MB-xmllint")
		b.ReportMetric(float64(size.Size())/1e6, "MB-export")
	}
}

// compareCounty runs the comparison and makes sure that it found what is planted:
// a fast program that misses something is worth nothing.
func compareCounty(tb testing.TB, folder string) cost {
	tb.Helper()
	out := filepath.Join(folder, "result.csv")
	c := measure(tb, exitFindings, nil, binary(tb), "compare", "--primary", filepath.Join(folder, "export.xml"),
		"--second", filepath.Join(folder, "second"), "--format", "csv", "--force", "--out", out)
	var found []string
	for _, row := range readCSV(tb, out) {
		found = append(found, row["check"])
	}
	require.ElementsMatch(tb, []string{"wrong-style", "vote-for", "choice-name"}, found, "what is planted in the county")
	return c
}

// The county that is measured is a real one: valid, and equal on both sides but
// for what is planted.
func TestCountyOfTheBenchmark(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, county{precincts: 120}.write(folder))
	validate(t, filepath.Join(folder, "export.xml"))
	run := cproof(t, "compare", "--primary", filepath.Join(folder, "export.xml"), "--second",
		filepath.Join(folder, "second"))
	require.Equal(t, exitAgreed, run.status, fmt.Sprint(run.out, run.err))

	require.NoError(t, county{precincts: 120, mistakes: true}.write(folder))
	compareCounty(t, folder)
}
