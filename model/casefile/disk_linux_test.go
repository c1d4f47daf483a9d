package casefile

import (
	"errors"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// small mounts a file system of a few hundred kilobytes. It takes root, as in CI.
func small(t *testing.T) (dir string, remount func(readOnly bool) error) {
	t.Helper()
	dir = t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=400k"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("a small file system cannot be mounted: %v", err)
		}
		t.Skipf("a small file system cannot be mounted: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir, func(readOnly bool) error {
		var flags uintptr = syscall.MS_REMOUNT
		if readOnly {
			flags |= syscall.MS_RDONLY
		}
		return syscall.Mount("tmpfs", dir, "tmpfs", flags, "size=400k")
	}
}

func TestAFullDiskFillsUpAndIsFreedAgain(t *testing.T) {
	dir, _ := small(t)
	path := filepath.Join(dir, "full"+Extension)
	c := staffed(t, path)
	k := keying(t, c)
	ballast := filepath.Join(dir, "ballast")
	require.NoError(t, os.WriteFile(ballast, make([]byte, 100<<10), 0o600))
	long := string(make([]byte, 0, 3000))
	for len(long) < 3000 {
		long += "Shall the county borrow? "
	}
	kept := 0
	var err error
	for range 1000 {
		if err = k.Set(Set(Contests, kept+1, "text", long+itoa(kept))); err != nil {
			break
		}
		kept++
	}
	require.ErrorIs(t, err, ErrNoRoom)
	require.ErrorContains(t, err, "make room")
	require.Positive(t, kept)
	require.Equal(t, "", k.Get(Contests, kept+1, "text"))
	require.NoError(t, os.Remove(ballast))
	require.NoError(t, k.Set(Set(Contests, kept+1, "text", long+itoa(kept))), "work goes on when there is room")
	kept++
	require.NoError(t, c.Close())
	moved := newPath(t)
	copyFile(t, path, moved)
	c, err = Open(moved, quick())
	require.NoError(t, err)
	defer c.Close()
	for i := range kept {
		now, _, err := c.Value(Field{Table: Contests, Row: i + 1, Column: "text"})
		require.NoError(t, err)
		require.Equal(t, long+itoa(i), now)
	}
}

// A case on a disk without any room cannot be opened for writing, and says what to do; so
// does a backup to it.
func TestADiskWithoutAnyRoomSaysSo(t *testing.T) {
	dir, _ := small(t)
	path := filepath.Join(dir, "full"+Extension)
	require.NoError(t, staffed(t, path).Close())
	ballast, err := os.Create(filepath.Join(dir, "ballast"))
	require.NoError(t, err)
	for err == nil {
		_, err = ballast.Write(make([]byte, 4096))
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
	require.NoError(t, ballast.Close())

	_, err = Open(path, quick())
	require.ErrorIs(t, err, ErrNoRoom)
	require.ErrorContains(t, err, path+": opening the case: the disk is full, nothing was recorded; make room")
	require.NotContains(t, err.Error(), ".lease-")

	elsewhere := staffed(t, newPath(t))
	err = elsewhere.Backup(filepath.Join(dir, "copy"+Extension))
	require.ErrorIs(t, err, ErrNoRoom)
	require.ErrorContains(t, err, "the disk is full")
	require.NotContains(t, err.Error(), "not an error")
}

// TestASizeLimitCutsAWriteShort lets the system stop a real write in the middle
// (setrlimit(2), RLIMIT_FSIZE).
func TestASizeLimitCutsAWriteShort(t *testing.T) {
	signal.Ignore(syscall.SIGXFSZ)
	defer signal.Reset(syscall.SIGXFSZ)
	path := newPath(t)
	c := staffed(t, path)
	k := keying(t, c)
	require.NoError(t, k.Set(Set(Contests, 1, "title", "Judge")))
	info, err := os.Stat(path + "-wal")
	require.NoError(t, err)
	var was syscall.Rlimit
	require.NoError(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was))
	cut := was
	cut.Cur = uint64(info.Size()) + 1500
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &cut))
	err = k.Set(Set(Contests, 1, "title", "Clerk"))
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was))
	require.True(t, errors.Is(err, ErrMedium) || errors.Is(err, ErrNoRoom), "%v", err)
	require.Equal(t, "Judge", k.Get(Contests, 1, "title"))
	require.NoError(t, k.Set(Set(Contests, 1, "title", "County Clerk")))
	c = reopen(t, c)
	require.Equal(t, "County Clerk", keying(t, c).Get(Contests, 1, "title"))
}

func TestAWriteProtectedDisk(t *testing.T) {
	dir, remount := small(t)
	path := filepath.Join(dir, "protected"+Extension)
	c := staffed(t, path)
	want := c.State().Head
	require.NoError(t, c.Close())
	require.NoError(t, remount(true))
	c, err := Open(path, quick())
	require.NoError(t, err)
	require.Contains(t, c.ReadOnly(), "write-protected")
	require.Equal(t, want, c.State().Head)
	_, err = c.Keying("p2")
	require.ErrorIs(t, err, ErrReadOnly)
	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{Head: want})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	_, err = Create(filepath.Join(dir, "new"+Extension), tarnwick, quick())
	require.ErrorContains(t, err, "cannot be made here")

	t.Run("and a case that was not closed", func(t *testing.T) {
		require.NoError(t, remount(false))
		c, err := Open(path, quick())
		require.NoError(t, err)
		require.NoError(t, keying(t, c).Set(Set(Contests, 1, "title", "Judge")))
		left := filepath.Join(dir, "left"+Extension)
		copyFile(t, path, left)
		copyFile(t, path+"-wal", left+"-wal")
		head := c.State().Head
		require.NoError(t, c.Close())
		require.NoError(t, remount(true))
		c, err = Open(left, quick())
		require.NoError(t, err)
		require.Equal(t, head, c.State().Head, "the last entries are beside it")
		require.Contains(t, c.ReadOnly(), "write-protected")
		require.NoError(t, c.Close())
	})
}
