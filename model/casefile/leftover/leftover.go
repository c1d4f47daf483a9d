// Package leftover makes, for tests, files that may be beside a case: left by a killed program or
// planted.
package leftover

import (
	"database/sql"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	_ "modernc.org/sqlite" // the database driver
)

// WAL returns a write-ahead log that turns any database into the one at path (SQLite:
// VACUUM in WAL mode writes every page to the log).
func WAL(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	copied := filepath.Join(t.TempDir(), "case")
	require.NoError(t, os.WriteFile(copied, b, 0o600))
	db, err := sql.Open("sqlite", copied+"?_pragma=wal_autocheckpoint(0)")
	require.NoError(t, err)
	defer db.Close() // the copy is thrown away
	db.SetMaxOpenConns(1)
	for _, s := range []string{"PRAGMA journal_mode = WAL", "VACUUM"} {
		_, err := db.Exec(s)
		require.NoError(t, err)
	}
	log, err := os.ReadFile(copied + "-wal")
	require.NoError(t, err)
	require.NotEmpty(t, log)
	return log
}

// Journal returns a rollback journal that turns any database into the one at path
// (SQLite file format, section 3, "The Rollback Journal").
func Journal(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	page := int(binary.BigEndian.Uint16(b[16:]))
	const sector, nonce = 512, 7
	out := append([]byte(Magic), make([]byte, sector-len(Magic))...)
	for i, n := range []int{len(b) / page, nonce, len(b) / page, sector, page} {
		binary.BigEndian.PutUint32(out[len(Magic)+4*i:], uint32(n))
	}
	for i := 0; i < len(b); i += page {
		p := b[i : i+page]
		sum := uint32(nonce)
		for at := page - 200; at > 0; at -= 200 {
			sum += uint32(p[at])
		}
		out = binary.BigEndian.AppendUint32(out, uint32(i/page+1))
		out = append(out, p...)
		out = binary.BigEndian.AppendUint32(out, sum)
	}
	return out
}

// Magic begins a rollback journal, and ends one that names a super-journal.
const Magic = "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"
