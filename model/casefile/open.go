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

	"counterproof/model/files"
)

// Open opens a case. If another program has it open, or if the medium cannot be written, the case
// is opened for reading; in the first case Case.Holder says who has it. A case open for reading
// shows its state at that time, and no byte of it or beside it changes. Open checks the whole
// journal: if it is broken, the error is a *BrokenError that says where. If files beside the case
// do not continue it, the error is ErrBeside.
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
	err := c.loaded()
	// Only an intact case is modified.
	if err == nil && c.readOnly == "" {
		if err = c.toWrite(); err != nil {
			if err = c.cannotWrite(err); err == nil {
				c.state = newState(c.blob)
				err = c.loaded()
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

// loaded loads the case; for reading, it connects first.
func (c *Case) loaded() error {
	if c.readOnly != "" {
		if err := c.openToRead(); err != nil {
			return err
		}
	}
	err := c.load()
	if err != nil {
		// A case that is written while it is read looks damaged.
		if meanwhile := c.snapshot.changed(c.file); meanwhile != nil {
			return meanwhile
		}
	}
	if err == nil && c.readOnly == "" && !c.expects.IsZero() && c.state.Head != c.expects {
		return refuse(ErrBeside, "%s: what lies beside it was exchanged while it was opened; keep the files as they are "+
			"and open it again", c.path)
	}
	var broken *BrokenError
	if errors.As(err, &broken) && c.options.ReadBroken {
		c.broken = broken
		err = nil
	}
	return err
}

// unreadable says that the operating system cannot provide the case, and why, without repetition.
func unreadable(path string, err error) error {
	err = causeOf(err)
	return fmt.Errorf("%s: the case cannot be read (%w); check the file, who may read it, and its disk", path, err)
}

// causeOf strips the path and the system call, which mean nothing to users, from an operating
// system's error.
func causeOf(err error) error {
	var of *fs.PathError
	if errors.As(err, &of) {
		return of.Err
	}
	return err
}

// looksLikeCase reads the first bytes of a file before SQLite gets it.
func looksLikeCase(path string) error {
	info, err := os.Stat(path) // checked before it is opened: opening a pipe waits for a writer
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
	head := make([]byte, headerSize)
	if _, err := io.ReadFull(f, head); err != nil || !bytes.HasPrefix(head, []byte("SQLite format 3\x00")) ||
		binary.BigEndian.Uint32(head[68:]) != applicationID {
		return refuse(ErrNotCase, "%s: this is not a case file; give one that this program began; its name ends in %s", path,
			Extension)
	}
	return readableLayout(path, head)
}

// readableLayout refuses a layout that this program does not know.
func readableLayout(path string, head []byte) error {
	switch v := int32(binary.BigEndian.Uint32(head[60:])); {
	case v > userVersion:
		return refuse(ErrNotCase, "%s: this case is of layout %d, and this program reads layouts %d to %d; "+
			"open it with a version of Counterproof that reads layout %d", path, v, oldestVersion, userVersion, v)
	case v < oldestVersion:
		return refuse(ErrNotCase, "%s: this case says that it is of layout %d, which no version wrote; "+
			"keep it as it is and go on from the last good copy", path, v)
	}
	return nil
}

// openToWrite takes the lease and opens the file for writing, without writing yet. It first
// examines files that a killed program left beside the case. If the case cannot be written, it
// stores the reason in readOnly.
func (c *Case) openToWrite() error {
	if _, err := lookBeside(c.file); err != nil {
		return err
	}
	lease, holder, err := takeLease(c.file, c.options.Person, c.options.TakeOver)
	switch {
	case err == nil && lease == nil:
		c.holder = holder
		c.readOnly = holder.Words()
		return nil
	case errors.Is(err, fs.ErrPermission) || files.Protected(err):
		c.readOnly = "the disk or folder is write-protected"
		return nil
	case err != nil:
		return storage(c.path, "opening the case", err)
	}
	c.lease, c.before = lease, holder
	if err := c.takeIn(); err != nil {
		_ = c.lease.release()
		c.lease = nil
		return err
	}
	if err = c.connectToWrite(); err == nil {
		_, err = c.conn.ExecContext(context.Background(), "SELECT count(*) FROM sqlite_schema")
	}
	if err == nil {
		return nil
	}
	return c.cannotWrite(err)
}

// takeIn examines, in a copy, the files that a killed program left beside the case. If they
// continue the journal, SQLite may play a write-ahead log back into the case, or the copy with its
// rollback journal applied replaces the file. Otherwise the error is ErrBeside, and nothing
// changes.
func (c *Case) takeIn() error {
	b, err := lookBeside(c.file)
	if err != nil || !b.any() {
		return err
	}
	s, err := privateCopy(c.file, b)
	if errors.Is(err, errMoved) {
		return refuse(ErrReadOnly, "%s: another program is writing to the case; close it there and do it again", c.path)
	}
	if err != nil {
		return err
	}
	defer s.remove()
	if err := s.play(c.path, c.options.vfs, false); err != nil {
		return err
	}
	c.expects = s.head
	if b.journal == 0 {
		return nil
	}
	if err := putInPlace(s.file, c.file); err != nil {
		return storage(c.path, "taking in "+b.names(c.path), err)
	}
	for _, end := range []string{journalEnd, walEnd, sharedEnd} {
		if err := os.Remove(c.file + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return storage(c.path, "taking in "+b.names(c.path), err)
		}
	}
	return nil
}

// cannotWrite gives up opening for writing. If the file can still be read, it stores the reason in
// readOnly and returns nil.
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

// openToRead opens for reading. It takes a snapshot unless the case has one.
func (c *Case) openToRead() error {
	if c.snapshot == nil {
		s, err := takeSnapshot(c.file, c.options.vfs, c.options.own)
		if err != nil {
			return err
		}
		c.snapshot = s
	}
	if err := c.connectToRead(); err != nil {
		return storage(c.path, "opening the case", err)
	}
	return nil
}
