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

// Backup writes the current case to a new file, through SQLite's backup interface, and can do so
// while people key. The copy is complete in one file, and equal cases give equal bytes. It is
// written under another name first, so that an interrupted backup is never mistaken for a case. It
// replaces no file. Like a case, the copy is readable only by its owner, because it may still be
// blind.
func (c *Case) Backup(path string) error { return c.BackupContext(context.Background(), path) }

// BackupContext is Backup with a context. If the context ends first, nothing is left behind.
func (c *Case) BackupContext(ctx context.Context, path string) error {
	return c.BackupTo(ctx, files.Place{Path: path, Private: true})
}

// BackupTo is BackupContext to a files.Place, which says what may be replaced: never this case or
// another.
func (c *Case) BackupTo(ctx context.Context, to files.Place) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.backupTo(ctx, to)
}

func (c *Case) backupTo(ctx context.Context, to files.Place) error {
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

// copyTo copies the case to an empty file and checks the copy.
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
	// The copy is checked before it gets its name.
	if report, err := Verify(part, Expect{Head: c.state.Head}); err != nil {
		return err
	} else if !report.Good() && c.broken == nil {
		return &BrokenError{part, 0, "the copy is not as the case: " + report.Faults[0].Words()}
	}
	return ctx.Err()
}

// plain turns the copy of a case that is open for writing into a plain file.
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

// settleCounters sets the two change counters in the header of a database that no program has open
// (SQLite file format, offsets 24 and 92; they only have to agree). They depend on how the copy was
// made, and would be the only difference between two copies.
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

// putInPlace replaces a case by a private copy, completely or not at all.
func putInPlace(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close() // it was only read
	return files.Replace(to, func(w io.Writer) error {
		_, err := io.Copy(w, in)
		return err
	})
}
