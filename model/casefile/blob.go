package casefile

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"

	sqlite "modernc.org/sqlite"
	sqlitelib "modernc.org/sqlite/lib"
)

// blob reads what is stored under a digest and checks it against the digest.
func (c *Case) blob(digest Digest) ([]byte, error) {
	if b, ok := c.pending[digest]; ok {
		return b, nil
	}
	if c.closed {
		return nil, ErrClosed
	}
	b, err := readBlob(c.conn, c.path, digest)
	if meanwhile := c.snapshot.changed(c.file); meanwhile != nil {
		return nil, meanwhile
	}
	return b, err
}

// checked checks what is stored under a digest and returns its size. The bytes stay in memory only
// during the check.
func (c *Case) checked(digest Digest) (size int64, err error) {
	err = lendBlob(c.conn, c.path, digest, func(b []byte) { size = int64(len(b)) })
	return size, err
}

func readBlob(conn *sql.Conn, path string, digest Digest) (kept []byte, err error) {
	err = lendBlob(conn, path, digest, func(b []byte) { kept = bytes.Clone(b) })
	return kept, err
}

// lendBlob passes the bytes stored under a digest to lend, after checking them.
func lendBlob(conn *sql.Conn, path string, digest Digest, lend func(b []byte)) error {
	reading := "reading what is kept under " + digest.String()
	// Blobs are longer than the journal entries that may be read at the same time.
	most, err := sqlite.Limit(conn, sqlitelib.SQLITE_LIMIT_LENGTH, maxBlob+1<<10)
	if err != nil {
		return storage(path, reading, err)
	}
	defer func() { _, _ = sqlite.Limit(conn, sqlitelib.SQLITE_LIMIT_LENGTH, most) }()
	rows, err := conn.QueryContext(context.Background(), `SELECT bytes FROM blob WHERE sha256 = ?`, digest[:])
	if err != nil {
		return storage(path, reading, err)
	}
	defer rows.Close()
	if !rows.Next() {
		if err := rows.Err(); err != nil {
			return storage(path, reading, err)
		}
		return &BrokenError{Path: path, Fault: fmt.Sprintf("the bytes kept under the digest %s are missing", digest)}
	}
	var b sql.RawBytes
	if err := rows.Scan(&b); err != nil {
		return storage(path, reading, err)
	}
	if DigestOf(b) != digest {
		return &BrokenError{Path: path,
			Fault: fmt.Sprintf("the bytes kept under the digest %s were changed: they do not have it", digest)}
	}
	lend(b)
	return nil
}
