package casefile

import (
	"context"
	"database/sql"
	"net/url"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the database driver
)

// connectToWrite opens the database in the case's own file.
func (c *Case) connectToWrite() (err error) {
	c.db, c.conn, err = connect(c.file, "rw", false, c.options.vfs)
	return err
}

// connectToRead opens the database in a snapshot, which no longer changes.
func (c *Case) connectToRead() (err error) {
	if c.db, c.conn, err = connect(c.snapshot.file, "ro", true, c.options.vfs); err != nil {
		return err
	}
	_, err = c.conn.ExecContext(context.Background(), "SELECT count(*) FROM sqlite_schema")
	return err
}

// connect opens a database. mode is SQLite's: "rw" or "ro".
func connect(path, mode string, immutable bool, vfs string) (*sql.DB, *sql.Conn, error) {
	uri, err := address(path, mode, immutable, vfs)
	if err != nil {
		return nil, nil, err
	}
	db, err := sql.Open("sqlite", uri)
	if err != nil {
		return nil, nil, err
	}
	db.SetMaxOpenConns(1)
	conn, err := db.Conn(context.Background())
	if err != nil {
		_ = db.Close()
		return nil, nil, err
	}
	return db, conn, nil
}

// address is the path in the form that the database needs, with the options for opening it.
func address(path, mode string, immutable bool, vfs string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	slashed := filepath.ToSlash(abs)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a Windows drive
	}
	q := url.Values{"mode": {mode}}
	if immutable {
		q.Set("immutable", "1")
	}
	if vfs != "" {
		q.Set("vfs", vfs)
	}
	// An acknowledged commit is on the disk: synchronous FULL syncs the write-ahead log at each
	// commit; fullfsync matters only on macOS. The file is untrusted data, so its schema is not
	// trusted.
	for _, p := range []string{"busy_timeout(2000)", "synchronous(full)", "fullfsync(1)", "checkpoint_fullfsync(1)",
		"trusted_schema(0)", "temp_store(memory)"} {
		q.Add("_pragma", p)
	}
	u := url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}
	return u.String(), nil
}

// toWrite prepares the connection for keying. While a case is open for writing, its entries go
// through a write-ahead log with one sync each. Close turns the case back into one plain file.
func (c *Case) toWrite() error {
	ctx := context.Background()
	var mode string
	if err := c.conn.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return err
	}
	if mode != "wal" {
		return refuse(ErrMedium, "%s: this disk does not allow a write-ahead log; copy the case to a local disk and "+
			"work there", c.path)
	}
	var err error
	c.insertStmt, err = c.conn.PrepareContext(ctx, insertEntry)
	return err
}
