package main

import (
	"crypto/sha256"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

// smallDisk mounts a file system of a size (tmpfs(5)) that can be made read-only. It
// takes root, as in CI.
func smallDisk(t *testing.T, size string) (folder string, protect func(bool)) {
	t.Helper()
	folder = t.TempDir()
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size="+size); err != nil {
		missing(t, "a small file system cannot be mounted: "+err.Error())
	}
	t.Cleanup(func() { _ = syscall.Unmount(folder, syscall.MNT_DETACH) })
	return folder, func(on bool) {
		flags := uintptr(syscall.MS_REMOUNT)
		if on {
			flags |= syscall.MS_RDONLY
		}
		require.NoError(t, syscall.Mount("tmpfs", folder, "tmpfs", flags, "size="+size))
	}
}

// demoOn writes the demo with its case onto a disk.
func demoOn(t *testing.T, disk string) {
	t.Helper()
	run := cproof(t, "demo", "--case", filepath.Join(disk, "demo"))
	require.Equal(t, exitAgreed, run.status, run.err)
}

func digestOfCase(t *testing.T, folder string) [32]byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, demo.CaseName))
	require.NoError(t, err)
	return sha256.Sum256(data)
}

// On a write-protected disk a case is read and not written: whoever wants to write gets
// one line, and the file is the same, byte for byte.
func TestACaseOnAWriteProtectedDisk(t *testing.T) {
	disk, protect := smallDisk(t, "4m")
	demoOn(t, disk)
	folder := filepath.Join(disk, "demo")
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	before := digestOfCase(t, folder)
	protect(true)

	for _, run := range []ran{
		cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "--set", "contest/judge/vote_for=1"),
		cproofIn(t, folder, "announce", demo.CaseName, "--by", "HV", "export.xml"),
		cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"),
		with(t, pairLines, folder, "decide", demo.CaseName, "lookalike", "--outcome", "refer", "--reason", "x", "--signed-by",
			"HV,IT"),
		with(t, secondLine, folder, "seal", demo.CaseName, "ballots", "--by", "IT"),
		cproofIn(t, folder, "backup", demo.CaseName, "copy.counterproof"),
		cproofIn(t, folder, "findings", demo.CaseName, "--out", "found.txt"),
		cproofIn(t, folder, "new", "other.counterproof", "--election-name", "x", "--date", "2027-11-02", "--jurisdiction",
			"y", "--party", "a", "--party", "b"),
	} {
		oneLineError(t, run)
		assert.True(t, strings.Contains(run.err, "write-protected") || strings.Contains(run.err, "read-only"), run.err)
	}
	for _, arguments := range [][]string{{"verify", demo.CaseName}, {"log", demo.CaseName}} {
		assert.Equal(t, exitAgreed, cproofIn(t, folder, arguments...).status)
	}
	assert.Len(t, standingOf(t, folder).Findings, len(planted(t, "export"))+len(planted(t, "second entry")))
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "backup", demo.CaseName,
		filepath.Join(t.TempDir(), "copy.counterproof")).status)
	assert.Equal(t, before, digestOfCase(t, folder))

	protect(false)
	does(t, with(t, pairLines, folder, "decide", demo.CaseName, "lookalike", "--outcome", "refer", "--reason", "x",
		"--signed-by", "HV,IT"))
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)
}

// On a full disk nothing is half written: one line says so, the case is as good as
// before, and work goes on when there is room.
func TestACaseOnAFullDisk(t *testing.T) {
	disk, _ := smallDisk(t, "3m")
	demoOn(t, disk)
	folder := filepath.Join(disk, "demo")
	sealBoth(t, folder)
	ballast := filepath.Join(disk, "ballast")
	fill := func() {
		file, err := os.Create(ballast)
		require.NoError(t, err)
		for err == nil {
			_, err = file.Write(make([]byte, 4096))
		}
		require.ErrorIs(t, err, syscall.ENOSPC)
		require.NoError(t, file.Close())
	}
	entries := func() string {
		run := cproofIn(t, folder, "verify", demo.CaseName)
		require.Equal(t, exitAgreed, run.status, run.out+run.err)
		return strings.SplitN(run.out, "\n", 2)[0]
	}
	before := entries()
	fill()
	for _, run := range []ran{
		cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"),
		cproofIn(t, folder, "announce", demo.CaseName, "--by", "HV", "export.xml"),
		cproofIn(t, folder, "backup", demo.CaseName, "copy.counterproof"),
		cproofIn(t, folder, "new", "other.counterproof", "--election-name", "x", "--date", "2027-11-02", "--jurisdiction",
			"y", "--party", "a", "--party", "b"),
	} {
		oneLineError(t, run)
		assert.True(t, strings.Contains(run.err, "full") || strings.Contains(run.err, "room") ||
			strings.Contains(run.err, "no space"), run.err)
	}
	assert.NoFileExists(t, filepath.Join(folder, "copy.counterproof"), "no half copy is left")
	assert.NoFileExists(t, filepath.Join(folder, "other.counterproof"))
	require.NoError(t, os.Remove(ballast))
	assert.Equal(t, before, entries())
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	assert.Len(t, standingOf(t, folder).Findings, len(planted(t, "export"))+len(planted(t, "second entry")))

	// A long file of findings that does not fit leaves no half of it.
	fill()
	oneLineError(t, cproofIn(t, folder, "findings", demo.CaseName, "--format", "json", "--out", "found.json"),
		"found.json")
	assert.NoFileExists(t, filepath.Join(folder, "found.json"))
	require.NoError(t, os.Remove(ballast))
	left, err := filepath.Glob(filepath.Join(folder, demo.CaseName+"*"))
	require.NoError(t, err)
	assert.Len(t, left, 1, "a closed case is one file")
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)
}
