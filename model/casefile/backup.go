package casefile

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	sqlite "modernc.org/sqlite"
)

// Backup writes the case as it stands to a new file, through SQLite's backup
// interface: it can be done while people key. The copy is complete in the one file, and
// the same case gives the same bytes.
// It is made under another name first, so that a backup that was cut short never
// passes for a case. An existing file is not overwritten.
func (c *Case) Backup(path string) error { return c.BackupContext(context.Background(), path) }

// BackupContext is Backup until the context is done: then nothing is left behind.
func (c *Case) BackupContext(ctx context.Context, path string) (err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return ErrClosed
	}
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s: there is a file of this name already; choose another name for the backup", path)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: the backup cannot be made here: %w", path, err)
	}
	part := path + ".part"
	defer func() {
		if err != nil {
			for _, end := range []string{"", "-wal", "-shm", "-journal"} {
				_ = os.Remove(part + end)
			}
			if !errors.Is(err, context.Canceled) {
				err = storage(path, "making the backup", err)
			}
		}
	}()
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	err = c.conn.Raw(func(raw any) error {
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
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := syncFile(part); err != nil {
		return err
	}
	if err := os.Rename(part, path); err != nil {
		return err
	}
	return syncFolder(path)
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

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	err = f.Sync()
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return err
}

// syncFolder makes a new name last. Systems that cannot sync a folder need it not.
func syncFolder(path string) error {
	d, err := os.Open(dirOf(path))
	if err != nil {
		return err
	}
	defer d.Close()
	_ = d.Sync()
	return nil
}

// replaceFile puts a copy of one file in the place of another, whole or not at all.
func replaceFile(from, to string) error {
	info, err := os.Stat(to)
	if err != nil {
		return err
	}
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.CreateTemp(dirOf(to), ".case-*")
	if err != nil {
		return err
	}
	defer os.Remove(out.Name()) // nothing is there once it has its name
	_, err = io.Copy(out, in)
	err = errors.Join(err, out.Chmod(info.Mode().Perm()), out.Sync(), out.Close())
	if err == nil {
		err = os.Rename(out.Name(), to)
	}
	if err == nil {
		err = syncFolder(to)
	}
	return err
}
