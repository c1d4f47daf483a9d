package report_test

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/report"
)

// small mounts a file system of so many kilobytes. It takes root, as in CI.
func small(t *testing.T, kilobytes int) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dk", kilobytes)); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("a small file system cannot be mounted: %v", err)
		}
		t.Skipf("a small file system cannot be mounted: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// However far it gets on a full disk, nothing stays that looks like evidence.
func TestAFullDiskLeavesNoHalfFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("writes evidence folders: long; run without -short")
	}
	r, made := signed(t)
	whole, full, reports := 0, 0, 0
	for size := 60; size <= 1410; size += 90 {
		dir := small(t, size)
		err := report.Evidence(r.Case(), filepath.Join(dir, "evidence"))
		if err == nil {
			whole++
			continue
		}
		full++
		require.ErrorContains(t, err, "full", "%d KB", size)
		list, errRead := os.ReadDir(dir)
		require.NoError(t, errRead)
		require.Empty(t, list, "%d KB", size)
		if made.WriteFolder(filepath.Join(dir, "report")) == nil {
			reports++
		}
	}
	require.Positive(t, whole, "at the end there is room")
	require.Greater(t, full, 1, "at first there is none")
	require.Positive(t, reports)
}
