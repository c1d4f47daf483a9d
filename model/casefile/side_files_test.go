package casefile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/casefile/leftover"
)

// beside is a case in a folder of its own, with what was put beside it.
type besideCase struct {
	name, path string
	// says is what the message must say that lies there, and would do.
	says []string
}

// killed keys until now and leaves the files as a program that is killed does. It
// returns where the copies are.
func killed(t testing.TB, c *Case) string {
	t.Helper()
	path := newPath(t)
	copyFile(t, c.path, path)
	copyFile(t, c.path+walEnd, path+walEnd)
	return path
}

func title(t testing.TB, c *Case, text string) {
	t.Helper()
	require.NoError(t, keying(t, c).Set(Set(Contests, 1, "title", text)))
}

// notContinuing are cases beside which lies what does not continue them.
func notContinuing(t testing.TB) []besideCase {
	t.Helper()
	signed, want := signedCase(t)
	put := func(name, end string, b []byte, says ...string) besideCase {
		path := newPath(t)
		copyFile(t, signed, path)
		require.NoError(t, os.WriteFile(path+end, b, 0o600))
		return besideCase{name, path, append(says, filepath.Base(path)+end)}
	}
	other := newPath(t)
	require.NoError(t, staffed(t, other).Close())

	// A case was left by a killed program; it was taken in, and work went on; then the
	// log that was left then lies beside the newer file.
	older := newPath(t)
	c := staffed(t, older)
	title(t, c, "County Judge")
	left := killed(t, c)
	title(t, c, "County Clerk")
	require.NoError(t, c.Close())
	stale := newPath(t)
	copyFile(t, older, stale)
	copyFile(t, left+walEnd, stale+walEnd)

	// A backup was put back, and the log of a later state, of which it lacks the
	// beginning, lies beside it.
	c = staffed(t, newPath(t))
	backup := newPath(t)
	require.NoError(t, c.Backup(backup))
	require.NoError(t, keying(t, c).Load("the proof", countySheets(60)))
	c = reopen(t, c)
	title(t, c, "County Judge")
	copyFile(t, c.path+walEnd, backup+walEnd)

	earlier := newPath(t)
	s, err := Open(signed, Options{ReadOnly: true})
	require.NoError(t, err)
	require.NoError(t, s.Close())
	copyFile(t, change(t, signed, "DELETE FROM journal WHERE seq > 6"), earlier)
	foreign := leftover.Journal(t, signed)
	foreign = append(foreign, "\x00\x00\x00\x05other\x00\x00\x00\x00\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"...)
	require.NotZero(t, want.Seq)
	return []besideCase{
		{"a stale log beside the newer case", stale,
			[]string{"take it back from entry 6 to entry 5", filepath.Base(stale) + walEnd}},
		{"a later log beside a backup", backup, []string{"damage it", filepath.Base(backup) + walEnd}},
		put("a log of another case", walEnd, leftover.WAL(t, other), "turn it into another case"),
		put("a log of an earlier state", walEnd, leftover.WAL(t, earlier), "take it back from entry 13 to entry 6"),
		put("a journal of an earlier state", journalEnd, leftover.Journal(t, earlier),
			"take it back from entry 13 to entry 6"),
		put("a journal of another case", journalEnd, leftover.Journal(t, other), "turn it into another case"),
		put("a journal that names a second database", journalEnd, foreign, "second database"),
		put("a log that changes an export", walEnd, leftover.WAL(t, change(t, signed, "UPDATE blob SET bytes = x'00'")),
			"damage it"),
		put("a log that hides a kept file", walEnd, leftover.WAL(t, change(t, signed, "DELETE FROM blob")), "damage it"),
		put("a log that changes an entry", walEnd,
			leftover.WAL(t, change(t, signed, "UPDATE journal SET at = at + 1 WHERE seq = 5")), "entry 5"),
	}
}

// folderOf is every file of a case's folder, by name.
func folderOf(t testing.TB, path string) map[string]string {
	t.Helper()
	out := map[string]string{}
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	for _, n := range names {
		b, err := os.ReadFile(filepath.Join(filepath.Dir(path), n.Name()))
		require.NoError(t, err)
		out[n.Name()] = string(b)
	}
	return out
}

// What lies beside a case and does not continue it is played back by nobody: not by
// whoever reads, not by whoever writes.
func TestWhatDoesNotContinueACaseIsNotTakenIn(t *testing.T) {
	for _, b := range notContinuing(t) {
		t.Run(b.name, func(t *testing.T) {
			before := folderOf(t, b.path)
			for name, o := range map[string]Options{"to write": quick(), "to read": {ReadOnly: true},
				"as far as it holds": {ReadBroken: true}} {
				_, err := Open(b.path, o)
				require.ErrorIs(t, err, ErrBeside, name)
				for _, says := range append(b.says, b.path, "nothing was changed", "To keep both, copy") {
					require.ErrorContains(t, err, says, name)
				}
				require.NotContains(t, err.Error(), "\n")
				require.Equal(t, before, folderOf(t, b.path), name)
			}
			r, err := Verify(b.path, Expect{})
			require.NoError(t, err)
			require.False(t, r.Good())
			for _, says := range b.says {
				require.Contains(t, r.Words(), says)
			}
			require.Equal(t, before, folderOf(t, b.path), "verifying")

			// Moved away, as the message says, the case is what it was.
			for _, end := range []string{walEnd, journalEnd} {
				_ = os.Remove(b.path + end)
			}
			r, err = Verify(b.path, Expect{})
			require.NoError(t, err)
			require.True(t, r.Good(), r.Words())
		})
	}
}

// What a killed program leaves is shown to whoever reads, and folded in by whoever
// writes alone.
func TestWhatAKilledProgramLeft(t *testing.T) {
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Load("the proof", countySheets(20)))
	c = reopen(t, c)
	title(t, c, "County Judge")
	title(t, c, "County Clerk")
	left := killed(t, c)
	head := c.State().Head
	before := folderOf(t, left)

	reads, err := Open(left, Options{ReadOnly: true})
	require.NoError(t, err)
	require.Equal(t, head, reads.State().Head)
	was, err := reads.At(reads.State().Seq - 1)
	require.NoError(t, err)
	require.NoError(t, reads.Close())
	rows, err := was.Sheets(0)
	require.NoError(t, err)
	require.Equal(t, "County Judge", rows.Contests[0].Title, "what is read at an earlier entry stays")
	require.NoError(t, was.Close())
	r, err := Verify(left, Expect{Head: head})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	require.EqualValues(t, 2, r.Beside)
	require.Contains(t, r.Words(), "Its last 2 entries are in "+filepath.Base(left)+walEnd)
	require.Equal(t, before, folderOf(t, left))

	writes, err := Open(left, quick())
	require.NoError(t, err)
	require.Empty(t, writes.ReadOnly())
	require.Equal(t, head, writes.State().Head)
	require.NoError(t, writes.Close())
	require.Len(t, folderOf(t, left), 1)

	// A journal that was left while the file was half changed is played back.
	half := newPath(t)
	copyFile(t, left, half)
	require.NoError(t, os.WriteFile(half+journalEnd, leftover.Journal(t, left), 0o600))
	b, err := os.ReadFile(half)
	require.NoError(t, err)
	clear(b[len(b)-4096:])
	require.NoError(t, os.WriteFile(half, b, 0o640))
	before = folderOf(t, half)
	reads, err = Open(half, Options{ReadOnly: true})
	require.NoError(t, err)
	require.Equal(t, head, reads.State().Head)
	require.NoError(t, reads.Close())
	require.Equal(t, before, folderOf(t, half))
	writes, err = Open(half, quick())
	require.NoError(t, err)
	require.Equal(t, head, writes.State().Head)
	require.NoError(t, writes.Close())
	require.Len(t, folderOf(t, half), 1)
}

// What is read of a case stays what it was when it was opened, or is refused: never a
// mixture of two states.
func TestACaseThatIsWrittenWhileItIsRead(t *testing.T) {
	path, _ := signedCase(t)
	reads, err := Open(path, Options{ReadOnly: true})
	require.NoError(t, err)
	defer reads.Close()
	export := reads.State().Exports[0].Digest
	_, err = reads.Export(export)
	require.NoError(t, err)
	c, err := Open(path, quick())
	require.NoError(t, err)
	_, err = reads.Export(export)
	require.ErrorContains(t, err, "open it again")
	require.NoError(t, c.Close())
	for _, err := range reads.Entries(0) {
		if err != nil {
			require.ErrorContains(t, err, "open it again")
			return
		}
	}
	t.Fatal("entries of a file that was written meanwhile were read")
}

// A private copy is gone when the last that reads from it is closed.
func TestThePrivateCopyIsRemoved(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	c := staffed(t, newPath(t))
	copies := func() int {
		names, err := os.ReadDir(temporary)
		if errors.Is(err, fs.ErrNotExist) {
			return 0
		}
		require.NoError(t, err)
		return len(names)
	}
	reads, err := Open(c.path, Options{ReadOnly: true})
	require.NoError(t, err)
	require.Equal(t, 1, copies())
	at, err := reads.At(2)
	require.NoError(t, err)
	require.Equal(t, 1, copies())
	require.NoError(t, reads.Close())
	require.Equal(t, 1, copies())
	require.NoError(t, at.Close())
	require.Zero(t, copies())
	_, err = Verify(c.path, Expect{})
	require.NoError(t, err)
	for _, b := range notContinuing(t)[:1] {
		_, err := Open(b.path, Options{ReadOnly: true})
		require.ErrorIs(t, err, ErrBeside)
	}
	require.Zero(t, copies())
}

// A case that has to be copied to be read says where the copy was to be made.
func TestWithoutAFolderForTheCopyThereIsAWord(t *testing.T) {
	path := newPath(t)
	require.NoError(t, staffed(t, path).Close())
	require.NoError(t, os.WriteFile(path+walEnd, []byte("left by somebody"), 0o600))
	none := filepath.Join(t.TempDir(), "none")
	t.Setenv("TMPDIR", none) // os.TempDir, on Unix
	t.Setenv("TMP", none)    // on Windows
	_, err := Open(path, Options{ReadOnly: true})
	require.ErrorContains(t, err, path+": the case is open elsewhere or was not closed")
	require.ErrorContains(t, err, "folder for temporary files ("+none+") is there, can be written to and has room")
}
