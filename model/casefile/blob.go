package casefile

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	sqlite "modernc.org/sqlite"
	sqlitelib "modernc.org/sqlite/lib"
)

// blob reads what is kept under a digest and checks that it is that.
func (c *Case) blob(digest Digest) ([]byte, error) {
	if b, ok := c.pending[digest]; ok {
		return b, nil
	}
	if c.closed {
		return nil, ErrClosed
	}
	return readBlob(c.conn, c.path, digest)
}

func readBlob(conn *sql.Conn, path string, digest Digest) ([]byte, error) {
	// Blobs are longer than the entries among which they may be read.
	most, err := sqlite.Limit(conn, sqlitelib.SQLITE_LIMIT_LENGTH, maxBlob+1<<10)
	if err != nil {
		return nil, storage(path, "reading what is kept under "+digest.String(), err)
	}
	defer func() { _, _ = sqlite.Limit(conn, sqlitelib.SQLITE_LIMIT_LENGTH, most) }()
	var b []byte
	err = conn.QueryRowContext(context.Background(), `SELECT bytes FROM blob WHERE sha256 = ?`, digest[:]).Scan(&b)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, &BrokenError{Path: path, Fault: fmt.Sprintf("the bytes kept under the digest %s are missing", digest)}
	}
	if err != nil {
		return nil, storage(path, "reading what is kept under "+digest.String(), err)
	}
	if DigestOf(b) != digest {
		return nil, &BrokenError{Path: path, Fault: fmt.Sprintf("the bytes kept under the digest %s were changed: they do not have it", digest)}
	}
	return b, nil
}
