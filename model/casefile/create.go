package casefile

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"counterproof/model/files"
)

// Create makes a new case file and opens it for writing. The file must not exist yet, and no log or
// lease of another case may be beside it.
func Create(path string, start Start, o Options) (*Case, error) {
	if err := checkStart(start); err != nil {
		return nil, err
	}
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		// SQLite would take files beside the new file for its own and remove them.
		if err := (files.Place{Path: path, Case: true}).Check(); errors.Is(err, files.ErrRefused) {
			return nil, err
		}
	}
	number := make([]byte, 16)
	if _, err := rand.Read(number); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil, refuse(fs.ErrExist, "%s: there is a file of this name already; open it, or choose another name", path)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: the case cannot be made here: %w", path, err)
	}
	if err := f.Close(); err != nil {
		return nil, fmt.Errorf("%s: the case cannot be made here: %w", path, err)
	}
	c, err := newCase(path, o)
	if err == nil {
		err = c.begin(start, hex.EncodeToString(number))
	}
	if err != nil {
		err = storage(path, "making the case", err)
		if c != nil {
			c.abandon()
		}
		for _, end := range []string{"", "-wal", "-shm", "-journal"} {
			_ = os.Remove(path + end)
		}
		return nil, err
	}
	return c, nil
}

func newCase(path string, o Options) (*Case, error) {
	c := closedCase(path, o)
	lease, holder, err := takeLease(c.file, o.Person, o.TakeOver)
	if err != nil {
		return nil, err
	}
	if lease == nil {
		return nil, refuse(ErrReadOnly, "%s: %s", path, holder.Words())
	}
	c.lease = lease
	return c, nil
}

func (c *Case) begin(start Start, number string) error {
	ctx := context.Background()
	if err := c.connectToWrite(); err != nil {
		return err
	}
	statements := []string{
		fmt.Sprintf("PRAGMA application_id = %d", applicationID),
		fmt.Sprintf("PRAGMA user_version = %d", userVersion),
		"BEGIN IMMEDIATE",
	}
	for _, l := range layout {
		statements = append(statements, l.sql)
	}
	statements = append(statements, "COMMIT")
	for _, statement := range statements {
		if _, err := c.conn.ExecContext(ctx, statement); err != nil {
			return err
		}
	}
	if err := c.toWrite(); err != nil {
		return err
	}
	return c.record(KindCase, "", caseBody{Case: number, Election: start.Election, Format: format, Parties: start.Parties})
}
