package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkFirstWindow measures how long the program takes to show its window, in a home of its own,
// and reports the median as a multiple of that of a program with an empty window, started in turn with
// it. It should stay below 1.5. It needs a display and xdotool (Xvfb does):
//
//	go test -tags migrated_fynedo ./cmd/counterproof -run '^$' -bench FirstWindow -benchtime 9x
func BenchmarkFirstWindow(b *testing.B) {
	if os.Getenv("DISPLAY") == "" {
		b.Skip("there is no display")
	}
	if _, err := exec.LookPath("xdotool"); err != nil {
		b.Skip("xdotool is not installed")
	}
	dir := b.TempDir()
	build := func(name, path string) string {
		out := filepath.Join(dir, name)
		said, err := exec.Command("go", "build", "-tags", "migrated_fynedo", "-o", out, path).CombinedOutput()
		require.NoError(b, err, string(said))
		return out
	}
	own, empty := build("own", "."), build("empty", "./testdata/empty")
	var owns, empties []time.Duration
	for b.Loop() {
		empties = append(empties, shown(b, empty, "^Empty$"))
		owns = append(owns, shown(b, own, "^Counterproof$"))
	}
	slices.Sort(owns)
	slices.Sort(empties)
	half := len(owns) / 2
	b.ReportMetric(float64(owns[half].Milliseconds()), "ms/window")
	b.ReportMetric(float64(owns[half])/float64(empties[half]), "times-empty")
}

// shown starts a program and returns how long it takes until a window with the title is there.
func shown(b *testing.B, program, title string) time.Duration {
	b.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	there := func() bool { return exec.Command("xdotool", "search", "--onlyvisible", "--name", title).Run() == nil }
	cmd := exec.CommandContext(ctx, program)
	cmd.Env = append(os.Environ(), "HOME="+b.TempDir(), "LANG=C.UTF-8")
	from := time.Now()
	require.NoError(b, cmd.Start())
	for !there() {
		require.NoError(b, ctx.Err(), "no window %s", title)
		time.Sleep(2 * time.Millisecond)
	}
	took := time.Since(from)
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
	for there() {
		require.NoError(b, ctx.Err(), "the window %s stays", title)
		time.Sleep(10 * time.Millisecond)
	}
	return took
}
