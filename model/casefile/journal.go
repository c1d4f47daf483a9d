package casefile

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"time"

	sqlite "modernc.org/sqlite"
	sqlitelib "modernc.org/sqlite/lib"
)

const (
	insertEntry = `INSERT INTO journal (seq, at, who, kind, body, hash) VALUES (?, ?, ?, ?, ?, ?)`
	selectAll   = `SELECT seq, at, who, kind, body, hash FROM journal ORDER BY seq`
	selectAfter = `SELECT seq, at, who, kind, body, hash FROM journal WHERE seq > ? ORDER BY seq`
)

// maxEntry limits the body of an entry, in bytes. The longest genuine ones are decisions on
// thousands of findings at once.
const maxEntry = 64 << 20

// draft is an entry before it has its place in the chain. If it has signers, its body is signed.
type draft struct {
	kind    Kind
	who     PersonID
	terms   any
	signers []signer
}

// actor returns the person to record for an act that several people signed.
func actor(signedBy []PersonID) PersonID {
	if len(signedBy) == 0 {
		return ""
	}
	return signedBy[0]
}

// record appends an unsigned entry.
func (c *Case) record(kind Kind, who PersonID, terms any) error {
	return c.commit(nil, draft{kind, who, terms, nil})
}

// act appends an entry with signatures.
func (c *Case) act(kind Kind, who PersonID, terms any, by []signer) error {
	return c.commit(nil, draft{kind, who, terms, by})
}

// actBy appends an entry that people sign with their unlocked keys.
func (c *Case) actBy(kind Kind, terms any, signedBy ...PersonID) error {
	if err := c.writable(); err != nil {
		return err
	}
	by, err := c.signers(signedBy)
	if err != nil {
		return err
	}
	if len(by) == 0 {
		return refuse(ErrRule, "nobody signs this; it needs signatures")
	}
	return c.act(kind, actor(signedBy), terms, by)
}

// commit appends entries, with the blobs that they refer to, in one transaction. When it returns
// nil, all are on disk; otherwise none is. The state changes only afterwards.
func (c *Case) commit(blobs [][]byte, drafts ...draft) error {
	if err := c.writable(); err != nil {
		return err
	}
	c.pending = map[Digest][]byte{}
	defer func() { c.pending = nil }()
	for _, b := range blobs {
		c.pending[DigestOf(b)] = b
	}
	entries := make([]Entry, len(drafts))
	applies := make([]func(), len(drafts))
	at := stamp(c.now())
	if len(drafts) > 1 {
		c.state.ahead = &ahead{}
		defer func() { c.state.ahead = nil }()
	}
	seq, head := c.state.Seq, c.state.Head
	for i, d := range drafts {
		e := &entries[i]
		*e = Entry{Seq: seq + 1, At: at, Who: d.who, Kind: d.kind, Prev: head}
		if d.signers != nil {
			if err := signBody(e, c.state.ID, d.terms, d.signers); err != nil {
				return err
			}
		} else {
			b, err := canonical(d.terms)
			if err != nil {
				return err
			}
			e.Body = string(b)
		}
		if len(e.Body) > maxEntry {
			return refuse(ErrRule, "an entry of %d bytes is too long to record, the longest has %d; do it in several steps, "+
				"for fewer things at once", len(e.Body), maxEntry)
		}
		e.Hash = DigestOf(e.Canonical())
		var err error
		if applies[i], err = c.state.plan(e); err != nil {
			return err
		}
		seq, head = e.Seq, e.Hash
	}
	if err := c.write(blobs, entries); err != nil {
		return storage(c.path, fmt.Sprintf("recording entry %d", entries[0].Seq), err)
	}
	c.view.Lock()
	defer c.view.Unlock()
	for i := range entries {
		applies[i]()
		c.state.took(&entries[i])
	}
	c.show()
	return nil
}

// write puts entries and blobs into the file and syncs it.
func (c *Case) write(blobs [][]byte, entries []Entry) error {
	ctx := context.Background()
	upgrade, err := c.upgrades(entries)
	if err != nil {
		return err
	}
	if len(blobs) == 0 && len(entries) == 1 && upgrade == "" {
		// A single statement is a transaction by itself and takes fewer steps.
		return c.other(c.insert(ctx, &entries[0]))
	}
	if _, err := c.conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	err = func() error {
		if upgrade != "" {
			if _, err := c.conn.ExecContext(ctx, upgrade); err != nil {
				return err
			}
		}
		for _, b := range blobs {
			digest := DigestOf(b)
			if _, err := c.conn.ExecContext(ctx,
				`INSERT INTO blob (sha256, bytes) SELECT ?, ? WHERE NOT EXISTS (SELECT 1 FROM blob WHERE sha256 = ?)`, digest[:], b,
				digest[:]); err != nil {
				return err
			}
		}
		for i := range entries {
			if err := c.insert(ctx, &entries[i]); err != nil {
				return c.other(err)
			}
		}
		_, err := c.conn.ExecContext(ctx, "COMMIT")
		return err
	}()
	if err != nil {
		// Some failures have already rolled back; this then does nothing.
		_, _ = c.conn.ExecContext(ctx, "ROLLBACK")
	}
	return err
}

// upgrades returns the statement that changes the file to the layout that the entries need; empty
// if it has that layout.
func (c *Case) upgrades(entries []Entry) (string, error) {
	needed := int64(oldestVersion)
	for i := range entries {
		needed = max(needed, needs(&entries[i]))
	}
	if needed == oldestVersion {
		return "", nil
	}
	if now, err := layoutOf(c.conn); err != nil || now >= needed {
		return "", err
	}
	return fmt.Sprintf("PRAGMA user_version = %d", needed), nil
}

func (c *Case) insert(ctx context.Context, e *Entry) error {
	_, err := c.insertStmt.ExecContext(ctx, e.Seq, e.Time().Unix(), string(e.Who), string(e.Kind), e.Body, e.Hash[:])
	return err
}

// other recognizes that another program extended the journal: the trigger refuses an entry that is
// not the next one.
func (c *Case) other(err error) error {
	var lite *sqlite.Error
	if errors.As(err, &lite) && lite.Code()&0xff == sqlitelib.SQLITE_CONSTRAINT {
		return &problem{kind: ErrReadOnly, text: c.path + ": another program wrote to the case since it was opened here, " +
			"nothing was recorded; close it and open it again", cause: err}
	}
	return err
}

// readEntries visits the stored entries after a number. For 0 it visits all stored entries, so that
// none can hide under a number below 1.
func readEntries(conn *sql.Conn, after int64, take func(*Entry) error) error {
	// An entry longer than any version of the program wrote is not read into memory.
	most, err := sqlite.Limit(conn, sqlitelib.SQLITE_LIMIT_LENGTH, maxEntry+1<<10)
	if err != nil {
		return err
	}
	defer func() { _, _ = sqlite.Limit(conn, sqlitelib.SQLITE_LIMIT_LENGTH, most) }()
	query, from := selectAll, []any(nil)
	if after > 0 {
		query, from = selectAfter, []any{after}
	}
	rows, err := conn.QueryContext(context.Background(), query, from...)
	if err != nil {
		return err
	}
	defer rows.Close()
	var e Entry
	var hash sql.RawBytes
	var who, kind string
	at, atText := int64(-1), ""
	for rows.Next() {
		last := at
		if err := rows.Scan(&e.Seq, &at, &who, &kind, &e.Body, &hash); err != nil {
			return err
		}
		if at != last {
			atText = stamp(time.Unix(at, 0))
		}
		e.At = atText
		e.Who, e.Kind = PersonID(who), Kind(kind)
		e.Hash = Digest{}
		copy(e.Hash[:], hash)
		if len(hash) != len(e.Hash) {
			e.Hash = Digest{}
		}
		if err := take(&e); err != nil {
			return err
		}
	}
	return rows.Err()
}

// Entries iterates over the journal after an entry (0: from the first). It reads from the disk, and
// stops with an error if that fails. The case must not be used inside the loop.
func (c *Case) Entries(after int64) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		c.mu.Lock()
		defer c.mu.Unlock()
		if c.closed {
			yield(Entry{}, ErrClosed)
			return
		}
		stop := errors.New("stop")
		var prev Digest
		if after > 0 {
			var hash []byte
			err := c.conn.QueryRowContext(context.Background(), `SELECT hash FROM journal WHERE seq = ?`, after).Scan(&hash)
			if err != nil {
				yield(Entry{}, storage(c.path, fmt.Sprintf("reading entry %d", after), err))
				return
			}
			copy(prev[:], hash)
		}
		err := readEntries(c.conn, after, func(e *Entry) error {
			if upto := c.options.upto; upto > 0 && e.Seq > upto {
				return stop
			}
			e.Prev = prev
			prev = e.Hash
			if !yield(*e, nil) {
				return stop
			}
			return nil
		})
		if meanwhile := c.snapshot.changed(c.file); meanwhile != nil {
			err = meanwhile
		}
		if err != nil && !errors.Is(err, stop) {
			yield(Entry{}, storage(c.path, "reading the journal", err))
		}
	}
}
