package casefile

import (
	"context"
	"fmt"
	"path/filepath"
)

func (c *Case) disconnect() {
	if c.insertStmt != nil {
		_ = c.insertStmt.Close()
		c.insertStmt = nil
	}
	if c.conn != nil {
		_ = c.conn.Close()
		c.conn = nil
	}
	if c.db != nil {
		_ = c.db.Close()
		c.db = nil
	}
}

// abandon closes the file without touching it.
func (c *Case) abandon() { _ = c.letGo() }

// letGo closes everything that is open. Its error comes from the lease, which may be left behind.
func (c *Case) letGo() error {
	c.view.Lock()
	c.closed = true
	c.view.Unlock()
	c.lock()
	c.disconnect()
	c.snapshot.release()
	c.snapshot = nil
	if c.lease == nil {
		return nil
	}
	err := c.lease.release()
	c.lease = nil
	return err
}

// Close locks all keys, folds the write-ahead log into the file so that the file is complete, and
// releases the lease. An error says what is left to do; no recorded entry is lost. Closing again
// does nothing.
func (c *Case) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return nil
	}
	var left error
	if c.readOnly == "" {
		c.signings = 0
		left = c.recordAttempts()
		ctx := context.Background()
		var busy, log, done int
		err := c.conn.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &log, &done)
		if err == nil && busy == 0 {
			// Turn the case back into a plain file, which any tool can read on any medium. If
			// another program is reading it, this waits for the next close.
			var mode string
			_, _ = c.conn.ExecContext(ctx, "PRAGMA busy_timeout = 100")
			_ = c.conn.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode)
		}
		if err != nil {
			cause := storage(c.path, "closing the case", err)
			left = &problem{kind: ErrMedium, cause: cause, text: fmt.Sprintf(
				"%s: the last entries are safe, but still beside the case, in %s-wal: keep the two files together and open the "+
					"case again when there is room (%v)",
				c.path, filepath.Base(c.path), err)}
		}
	}
	if err := c.letGo(); err != nil && left == nil {
		left = fmt.Errorf("%s: the case is closed, but the note of who has it open could not be removed: %w", c.path, err)
	}
	return left
}
