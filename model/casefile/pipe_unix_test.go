//go:build unix

package casefile

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A pipe with the name of a case is refused before it is opened: it would wait for a
// writer for ever.
func TestAPipeIsNoCase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tarnwick"+Extension)
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	_, err := Open(path, quick())
	require.ErrorIs(t, err, ErrNotCase)
	_, err = Verify(path, Expect{})
	require.ErrorIs(t, err, ErrNotCase)
}

// What the system does not give is said once, with its name, why, and what to check.
func TestACaseThatTheSystemDoesNotGive(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tarnwick"+Extension)
	require.NoError(t, os.Symlink(path, path))
	_, err := Open(path, quick())
	require.ErrorIs(t, err, syscall.ELOOP)
	require.Equal(t, path+": the case cannot be read ("+syscall.ELOOP.Error()+
		"); check the file, who may read it, and its disk", err.Error())
}

// What is no ordinary file where a lease, a log or a journal may lie hangs nobody: it is
// not opened.
func TestWhatIsNoFileBesideACaseIsNotOpened(t *testing.T) {
	for _, end := range []string{leaseExtension, walEnd, journalEnd, sharedEnd} {
		for name, put := range map[string]func(string) error{
			"a pipe":                 func(p string) error { return syscall.Mkfifo(p, 0o600) },
			"a link to a device":     func(p string) error { return os.Symlink("/dev/zero", p) },
			"a link to another file": func(p string) error { return os.Symlink("/etc/hostname", p) },
			"a link to nothing":      func(p string) error { return os.Symlink("nothing", p) },
			"a folder":               func(p string) error { return os.Mkdir(p, 0o700) },
		} {
			t.Run(name+" as "+end, func(t *testing.T) {
				path := newPath(t)
				require.NoError(t, staffed(t, path).Close())
				require.NoError(t, put(path+end))
				_, err := Open(path, quick())
				require.ErrorContains(t, err, path+end)
				require.NotContains(t, err.Error(), "\n")
				reads, err := Open(path, Options{ReadOnly: true})
				r, verr := Verify(path, Expect{})
				if end == leaseExtension {
					require.NoError(t, err, "a lease is no part of the record")
					require.NoError(t, reads.Close())
					require.NoError(t, verr)
					require.True(t, r.Good(), r.Words())
					return
				}
				require.ErrorIs(t, err, ErrBeside)
				require.NoError(t, verr)
				require.Contains(t, r.Words(), path+end)
			})
		}
	}
}

// A case behind a link has its log and its lease beside itself, not beside the link.
func TestACaseBehindALink(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	link := filepath.Join(t.TempDir(), "link"+Extension)
	require.NoError(t, os.Symlink(path, link))
	reads, err := Open(link, quick())
	require.NoError(t, err)
	require.NotNil(t, reads.Holder(), "two links to one case have one lease")
	require.Equal(t, c.State().Head, reads.State().Head, "what is in the log is read")
	require.NoError(t, reads.Close())
}
