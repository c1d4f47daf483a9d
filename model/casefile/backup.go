package casefile

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	sqlite "modernc.org/sqlite"

	"counterproof/model/files"
)

// Backup writes the case as it stands to a new file, through SQLite's backup
// interface: it can be done while people key. The copy is complete in the one file, and
// the same case gives the same bytes. It is made under another name first, so that a
// backup that was cut short never passes for a case. No file is replaced. The copy is for
// its owner alone, as a case is: it may be blind still.
func (c *Case) Backup(path string) error { return c.BackupContext(context.Background(), path) }

// BackupContext is Backup until the context is done: then nothing is left behind.
func (c *Case) BackupContext(ctx context.Context, path string) error {
	return c.BackupTo(ctx, files.Place{Path: path, Private: true})
}

// BackupTo is BackupContext to a place, which says what may be replaced: never this case
// nor any other.
func (c *Case) BackupTo(ctx context.Context, to files.Place) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return ErrClosed
	}
	to.Case, to.Inputs = true, append(slices.Clone(to.Inputs), c.path)
	var failed error
	err := to.Fill(func(part string) error {
		if failed = c.copyTo(ctx, part); failed != nil {
			for _, end := range []string{"-wal", "-shm", "-journal"} {
				_ = os.Remove(part + end)
			}
		}
		return failed
	})
	switch {
	case failed != nil && errors.Is(failed, context.Canceled):
		return failed
	case failed != nil:
		return storage(to.Path, "making the backup", failed)
	}
	return err
}

// copyTo copies the case to an empty file, and checks the copy.
func (c *Case) copyTo(ctx context.Context, part string) error {
	err := c.conn.Raw(func(raw any) error {
		from, ok := raw.(interface {
			NewBackup(string) (*sqlite.Backup, error)
		})
		if !ok {
			return errors.New("the database driver makes no backups")
		}
		uri, err := address(part, "rwc", false, c.options.vfs)
		if err != nil {
			return err
		}
		b, err := from.NewBackup(uri)
		if err != nil {
			return err
		}
		const pages = 1024 // at a time
		for more := true; more; {
			if err = ctx.Err(); err == nil {
				more, err = b.Step(pages)
			}
			if err != nil {
				_ = b.Finish()
				return err
			}
		}
		to, err := b.Commit()
		if err != nil {
			return err
		}
		err = plain(to)
		if cerr := to.Close(); err == nil {
			err = cerr
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := settleCounters(part); err != nil {
		return err
	}
	// What was copied is checked before it gets its name.
	if report, err := Verify(part, Expect{Head: c.state.Head}); err != nil {
		return err
	} else if !report.Good() && c.broken == nil {
		return &BrokenError{part, 0, "the copy is not as the case: " + report.Faults[0].Words()}
	}
	return ctx.Err()
}

// plain turns the copy of a case that is being written into a plain file.
func plain(to driver.Conn) error {
	q, ok := to.(driver.QueryerContext)
	if !ok {
		return errors.New("the database driver runs no statements")
	}
	rows, err := q.QueryContext(context.Background(), "PRAGMA journal_mode = DELETE", nil)
	if err != nil {
		return err
	}
	mode := []driver.Value{nil}
	err = rows.Next(mode)
	if cerr := rows.Close(); err == nil {
		err = cerr
	}
	if err == nil && fmt.Sprint(mode[0]) != "delete" {
		err = fmt.Errorf("the copy stays in journal mode %v", mode[0])
	}
	return err
}

// settleCounters sets the two counters of changes in the header of a database that
// nobody has open (SQLite file format, offsets 24 and 92; they only have to agree). They
// count how the copy was made, and are all that would differ between two copies.
func settleCounters(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	for _, offset := range []int64{24, 92} {
		if err == nil {
			_, err = f.WriteAt([]byte{0, 0, 0, 1}, offset)
		}
	}
	return errors.Join(err, f.Close())
}

// putInPlace puts a private copy of a case in the place of the case, whole or not at all.
func putInPlace(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close() // it was read
	return files.Replace(to, func(w io.Writer) error {
		_, err := io.Copy(w, in)
		return err
	})
}
