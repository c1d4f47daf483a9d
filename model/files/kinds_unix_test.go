//go:build unix

package files

import (
	"io"
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inTime fails a test that waits, which a pipe without a writer makes it do for ever.
func inTime(t *testing.T, do func()) {
	t.Helper()
	done := make(chan struct{})
	go func() { defer close(done); do() }()
	select {
	case <-done:
	case <-time.After(5 * time.Minute):
		t.Fatal("still waiting after 5 minutes: something was opened that is no file")
	}
}

// strangers are what a path can lead to that is neither a file nor a folder.
func strangers(t *testing.T) map[string]string {
	t.Helper()
	folder := t.TempDir()
	pipe, socket, link := filepath.Join(folder, "pipe"), filepath.Join(folder, "socket"), filepath.Join(folder, "link")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	listening, err := net.Listen("unix", socket)
	require.NoError(t, err)
	t.Cleanup(func() { _ = listening.Close() })
	require.NoError(t, os.Symlink("/dev/zero", link))
	return map[string]string{"a pipe": pipe, "a socket": socket, "a device": "/dev/zero", "is a device": link}
}

func TestPipesAndDevicesAreRefusedBeforeTheyAreOpened(t *testing.T) {
	for kind, path := range strangers(t) {
		inTime(t, func() {
			_, err := Open(path)
			refusal(t, err, path, kind, "save it to a file first")
			_, err = Read(path, 100)
			refusal(t, err, path, kind)
			_, err = Folder(filepath.Dir(path)).Open(filepath.Base(path))
			assert.ErrorContains(t, err, kind)
		})
	}
}

// A file that is exchanged for a pipe between the look and the opening hangs nobody.
func TestAPipeThatTakesTheFilesPlaceHangsNobody(t *testing.T) {
	path := put(t, t.TempDir(), "export.xml", "content")
	inTime(t, func() {
		_, err := open(path, func(string) (os.FileInfo, error) {
			seen, err := os.Stat(path)
			require.NoError(t, os.Remove(path))
			require.NoError(t, syscall.Mkfifo(path, 0o600))
			return seen, err
		})
		require.ErrorIs(t, err, ErrChanged)
		refusal(t, err, path, "exchanged")
	})
}

func TestPipesAndDevicesAreNotWritten(t *testing.T) {
	for kind, path := range strangers(t) {
		inTime(t, func() {
			for _, p := range []Place{{Path: path}, {Path: path, Replace: true}} {
				err := p.Write(func(io.Writer) error { t.Error("nothing is written"); return nil })
				require.ErrorIs(t, err, ErrRefused)
				refusal(t, err, path, kind)
			}
			refusal(t, NewFolder(path, func(string) error { t.Error("nothing is made"); return nil }), path, kind)
		})
	}
}

// What a file may be read by is handed down; a private file is for its owner alone.
func TestPermissions(t *testing.T) {
	folder := t.TempDir()
	mode := func(path string) os.FileMode {
		info, err := os.Stat(path)
		require.NoError(t, err)
		return info.Mode().Perm()
	}
	write := func(p Place) {
		require.NoError(t, p.Write(func(w io.Writer) error { _, err := io.WriteString(w, "x"); return err }))
	}
	plain := filepath.Join(folder, "plain")
	require.NoError(t, os.WriteFile(plain, nil, 0o666)) // what the user's settings make of it
	write(Place{Path: filepath.Join(folder, "new")})
	assert.Equal(t, mode(plain), mode(filepath.Join(folder, "new")), "as any new file")
	require.NoError(t, os.Chmod(plain, 0o640))
	write(Place{Path: plain, Replace: true})
	assert.Equal(t, os.FileMode(0o640), mode(plain), "a replaced file keeps its permissions")
	write(Place{Path: plain, Replace: true, Private: true})
	assert.Equal(t, os.FileMode(0o600), mode(plain))
	write(Place{Path: filepath.Join(folder, "private"), Private: true})
	assert.Equal(t, os.FileMode(0o600), mode(filepath.Join(folder, "private")))
}
