package casefile

import (
	"compress/gzip"
	"database/sql"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// patched is a copy of a case with its bytes changed.
func patched(t testing.TB, path string, patch func([]byte) []byte) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	to := newPath(t)
	require.NoError(t, os.WriteFile(to, patch(b), 0o600))
	return to
}

// edited is a copy of a case in which sqlite_schema itself was edited (SQLite, PRAGMA
// writable_schema).
func edited(t testing.TB, path string, statements ...string) string {
	t.Helper()
	to := newPath(t)
	copyFile(t, path, to)
	db, err := sql.Open("sqlite", to+"?_pragma=journal_mode(memory)&_pragma=writable_schema(1)")
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, s := range statements {
		_, err := db.Exec(s)
		require.NoError(t, err, s)
	}
	return to
}

// Nothing hides in a case: whatever is in the file and is no entry, and no file that an
// entry names, is named by Verify.
func TestNothingHidesInACase(t *testing.T) {
	path, want := signedCase(t)
	copied := func(seq int64) string {
		return fmt.Sprintf("INSERT INTO journal SELECT %d, at, who, kind, 'hidden', hash FROM journal WHERE seq = 3", seq)
	}
	padded := func(n int) func([]byte) []byte {
		return func(b []byte) []byte { return append(b, make([]byte, n)...) }
	}
	set := func(at int, with ...byte) func([]byte) []byte {
		return func(b []byte) []byte { copy(b[at:], with); return b }
	}
	for _, test := range []struct {
		name, path, says string
		opens            bool // it can be opened to read: the journal holds together
	}{
		{"an entry numbered 0", change(t, path, copied(0)), "under the number 0", false},
		{"an entry numbered -5", change(t, path, copied(-5)), "under the number -5", false},
		{"an entry at the lowest number there is", change(t, path, copied(-1<<63)), "under the number -9223372036854775808",
			false},
		{"an entry far behind the last", change(t, path, copied(1<<40)), "is missing", false},
		{"a page after the last", patched(t, path, padded(4096)), "4096 bytes lie after its last page", true},
		{"seven bytes after the last page", patched(t, path, padded(7)), "7 bytes lie after its last page", true},
		{"free pages", change(t, path, "CREATE TABLE gone (a)", "INSERT INTO gone VALUES (zeroblob(9000))",
			"DROP TABLE gone"), "it has free pages (3)", true},
		{"a table", change(t, path, "CREATE TABLE more (a)"), `the table "more"`, false},
		{"a view", change(t, path, "CREATE VIEW seen AS SELECT 1"), `the view "seen"`, false},
		{"a trigger", change(t, path, "CREATE TRIGGER more BEFORE INSERT ON blob BEGIN SELECT 1; END"), `the trigger "more"`,
			false},
		{"an index", change(t, path, "CREATE INDEX more ON journal (at)"), `the index "more"`, false},
		{"a column", change(t, path, "ALTER TABLE blob ADD COLUMN more TEXT"), "its blob is not as", false},
		{"statistics", change(t, path, "ANALYZE"), "sqlite_stat1", false},
		{"a trigger that does nothing", edited(t, path, "UPDATE sqlite_schema SET sql = 'CREATE TRIGGER journal_kept "+
			"BEFORE UPDATE ON journal BEGIN SELECT 1; END' WHERE name = 'journal_kept'"), "its journal_kept is not as", false},
		{"a trigger taken away", edited(t, path, "DELETE FROM sqlite_schema WHERE name = 'journal_kept'"),
			"trigger journal_kept is missing", false},
		{"a view under the name of the index", edited(t, path, "INSERT INTO sqlite_schema VALUES ('view', "+
			"'sqlite_autoindex_blob_1', 'sqlite_autoindex_blob_1', 0, 'CREATE VIEW sqlite_autoindex_blob_1 AS SELECT 1')"),
			"sqlite_autoindex_blob_1", false},
		{"a second row for the journal",
			edited(t, path, "INSERT INTO sqlite_schema SELECT * FROM sqlite_schema WHERE name = 'journal'"), "journal", false},
		{"a file that no entry names", change(t, path, "INSERT INTO blob VALUES (zeroblob(32), x'aabb')"),
			"that no entry speaks of", true},
		{"a number hidden as that of a kept file's row", change(t, path, "UPDATE blob SET rowid = -7 WHERE rowid = 1"),
			"numbered from -7", true},
		{"bytes in the header", patched(t, path, set(80, 'h', 'i')), "its header holds bytes where the format has none",
			true},
		{"another text encoding", patched(t, path, set(56, 0, 0, 0, 2)), "text encoding is 2 where", false},
		{"incremental vacuum", patched(t, path, set(64, 0, 0, 0, 1)), "incremental vacuum", true},
		{"the last page cut off", patched(t, path, func(b []byte) []byte { return b[:len(b)-4096] }),
			"shorter than its header says", false},
	} {
		t.Run(test.name, func(t *testing.T) {
			before := folderOf(t, test.path)
			r, err := Verify(test.path, Expect{Head: want.Head})
			require.NoError(t, err)
			require.False(t, r.Good())
			require.Contains(t, r.Words(), test.says)
			c, err := Open(test.path, Options{ReadOnly: true})
			if err == nil {
				require.NoError(t, c.Close())
			} else {
				require.False(t, test.opens, "%v", err)
			}
			require.Equal(t, before, folderOf(t, test.path))
		})
	}
	r, err := Verify(path, Expect{Head: want.Head})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}

// layout1 is a case that was made by the program as it was when layout 1 was the only
// one: "signed" is the demo, signed; "middle" the demo after its first decisions.
func layout1(t testing.TB, name string) string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "layout1", name+Extension+".gz"))
	require.NoError(t, err)
	defer f.Close()
	z, err := gzip.NewReader(f)
	require.NoError(t, err)
	b, err := io.ReadAll(z)
	require.NoError(t, err)
	path := newPath(t)
	require.NoError(t, os.WriteFile(path, b, 0o600))
	return path
}

func versionOf(t testing.TB, path string) uint32 {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return binary.BigEndian.Uint32(b[60:])
}

// A case of the layout before opens, verifies and goes on.
func TestACaseOfLayout1GoesOn(t *testing.T) {
	if testing.Short() {
		t.Skip("opens keys of full strength: long; run without -short")
	}
	for name, entries := range map[string]int64{"signed": 14, "middle": 11} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && name == "middle" {
				t.Skip("its keys were locked as an office does, which is slow on purpose: long; run without -short")
			}
			path := layout1(t, name)
			require.EqualValues(t, 1, versionOf(t, path))
			before := folderOf(t, path)
			r, err := Verify(path, Expect{})
			require.NoError(t, err)
			require.True(t, r.Good(), r.Words())
			require.Equal(t, entries, r.Entries)
			require.Equal(t, before, folderOf(t, path))

			c, err := Open(path, quick())
			require.NoError(t, err)
			require.Empty(t, c.ReadOnly())
			require.NoError(t, c.Unlock("p2", "meridian second party"), "its keys open")
			require.NoError(t, c.Unlock("p1", "hearth programmer"))
			require.NoError(t, c.Correct("Certified list", "slip", []Change{Set(Choices, 2, "name", "Somebody Else")}, "p2",
				"p1"))
			require.NoError(t, c.Close())
			require.EqualValues(t, 1, versionOf(t, path), "what layout 1 had stays readable by the program of then")
			r, err = Verify(path, Expect{Head: r.Head})
			require.NoError(t, err)
			require.True(t, r.Good(), r.Words())
			require.Equal(t, entries+1, r.Entries)
			require.Equal(t, entries, r.ExpectedAt)
		})
	}
}

// A case of a newer layout, or of none, says what is needed.
func TestACaseOfALayoutThatThisProgramDoesNotKnow(t *testing.T) {
	path, _ := signedCase(t)
	require.EqualValues(t, userVersion, versionOf(t, path))
	for version, says := range map[byte]string{
		userVersion + 1: fmt.Sprintf("this case is of layout %d, and this program reads layouts 1 to %d; open it with a "+
			"version of Counterproof that reads layout %[1]d", userVersion+1, userVersion),
		0: "layout 0, which no version wrote",
	} {
		p := patched(t, path, func(b []byte) []byte { b[63] = version; return b })
		for _, o := range []Options{quick(), {ReadOnly: true}} {
			_, err := Open(p, o)
			require.ErrorIs(t, err, ErrNotCase)
			require.ErrorContains(t, err, says)
		}
		_, err := Verify(p, Expect{})
		require.ErrorContains(t, err, says)
	}
}
