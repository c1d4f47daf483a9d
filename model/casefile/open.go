package casefile

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Open opens a case. If somebody else has it open it is opened for reading, and
// Case.Holder says who has it; so it is on a medium that cannot be written. The whole
// journal is checked: one that does not hold together is a *BrokenError that says
// where it breaks.
func Open(path string, o Options) (*Case, error) {
	if err := looksLikeCase(path); err != nil {
		return nil, err
	}
	c := closedCase(path, o)
	if o.ReadOnly || o.ReadBroken {
		c.readOnly = "it was opened for reading"
	} else if err := c.openToWrite(); err != nil {
		return nil, err
	}
	if c.readOnly != "" {
		if err := c.openToRead(); err != nil {
			return nil, err
		}
	}
	err := c.load()
	var broken *BrokenError
	if errors.As(err, &broken) && o.ReadBroken {
		c.broken = broken
		err = nil
	}
	// Only a case that holds together is touched.
	if err == nil && c.readOnly == "" {
		if err = c.toWrite(); err != nil {
			err = c.cannotWrite(err)
			if err == nil {
				err = c.openToRead()
			}
		}
	}
	if err != nil {
		c.abandon()
		if errors.Is(err, context.Canceled) {
			return nil, err
		}
		return nil, storage(path, "opening the case", err)
	}
	c.show()
	return c, nil
}

// unreadable says once that, and why, the system gives no case.
func unreadable(path string, err error) error {
	var of *fs.PathError
	if errors.As(err, &of) {
		err = of.Err
	}
	return fmt.Errorf("%s: the case cannot be read (%w); check the file, who may read it, and its disk", path, err)
}

// looksLikeCase reads the first bytes of a file before SQLite gets it.
func looksLikeCase(path string) error {
	info, err := os.Stat(path) // before it is opened: opening a pipe waits for a writer
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return refuse(fs.ErrNotExist, "%s: there is no such file; check the name", path)
	case err != nil:
		return unreadable(path, err)
	case !info.Mode().IsRegular():
		return refuse(ErrNotCase, "%s: this is no file; a case is a file whose name ends in %s", path, Extension)
	}
	f, err := os.Open(path)
	if err != nil {
		return unreadable(path, err)
	}
	defer f.Close()
	head := make([]byte, 100)
	if _, err := io.ReadFull(f, head); err != nil || !bytes.HasPrefix(head, []byte("SQLite format 3\x00")) ||
		binary.BigEndian.Uint32(head[68:]) != applicationID {
		return refuse(ErrNotCase, "%s: this is not a case file; give one that this program began; its name ends in %s", path, Extension)
	}
	if v := binary.BigEndian.Uint32(head[60:]); v != userVersion {
		return refuse(ErrNotCase, "%s: this case is of layout %d and this version reads layout %d; use the version that wrote it, or a newer one", path, v, userVersion)
	}
	return nil
}

// openToWrite takes the lease and opens the file for writing, and writes nothing yet.
// Where that cannot be, it leaves the reason in readOnly.
func (c *Case) openToWrite() error {
	lease, holder, err := takeLease(c.path, c.options.Person)
	switch {
	case holder != nil:
		c.holder = holder
		c.readOnly = holder.Words()
		return nil
	case errors.Is(err, fs.ErrPermission) || isReadOnlyMedium(err):
		c.readOnly = "the disk or folder is write-protected"
		return nil
	case err != nil:
		return storage(c.path, "opening the case", err)
	}
	c.lease = lease
	if err = c.connect("rw", false); err == nil {
		_, err = c.conn.ExecContext(context.Background(), "SELECT count(*) FROM sqlite_schema")
	}
	if err == nil {
		return nil
	}
	return c.cannotWrite(err)
}

// cannotWrite lets go of a file that cannot be opened for writing. Where it may still be
// read, the reason is left in readOnly and there is no error.
func (c *Case) cannotWrite(err error) error {
	err = storage(c.path, "opening the case", err)
	c.disconnect()
	_ = c.lease.release()
	c.lease = nil
	if errors.Is(err, ErrReadOnly) {
		c.readOnly = "the file is write-protected or another program is using it"
		return nil
	}
	return err
}

// openToRead opens for reading. Where the folder can be written the connection may
// recover a write-ahead log that a killed program left, though it never writes an
// entry; where it cannot, a log that was left cannot be read either.
func (c *Case) openToRead() error {
	ctx := context.Background()
	log, err := os.Stat(c.path + "-wal")
	left := err == nil && log.Size() > 0
	try := func(mode string, immutable bool) error {
		if err := c.connect(mode, immutable); err != nil {
			return err
		}
		for _, statement := range []string{"PRAGMA query_only = 1", "SELECT count(*) FROM sqlite_schema"} {
			if _, err := c.conn.ExecContext(ctx, statement); err != nil {
				c.disconnect()
				return err
			}
		}
		return nil
	}
	if err = try("rw", false); err == nil {
		return nil
	}
	if err = try("ro", false); err == nil {
		return nil
	}
	if left {
		return &problem{kind: ErrReadOnly, cause: err, text: c.path + ": the case was not closed and its disk is write-protected; copy it together with " +
			filepath.Base(c.path) + "-wal to a disk that can be written and open it there"}
	}
	if err = try("ro", true); err != nil {
		return storage(c.path, "opening the case", err)
	}
	return nil
}
