package casefile

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	_ "modernc.org/sqlite" // the database driver
)

// Extension is the end of a case file's name.
const Extension = ".counterproof"

const (
	// applicationID marks the file as a case: "Cprf" in ASCII (SQLite file format,
	// offset 68).
	applicationID = 0x43707266
	// userVersion is the version of the tables (SQLite file format, offset 60).
	userVersion = 1
)

// layout is the whole of the database. FORMAT.md documents it; a file that holds
// anything else is not opened.
var layout = []struct{ name, sql string }{
	{"journal", `CREATE TABLE journal (seq INTEGER PRIMARY KEY, at INTEGER NOT NULL, who TEXT NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL, hash BLOB NOT NULL) STRICT`},
	{"blob", `CREATE TABLE blob (sha256 BLOB PRIMARY KEY, bytes BLOB NOT NULL) STRICT`},
	{"journal_next", `CREATE TRIGGER journal_next BEFORE INSERT ON journal WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM journal) BEGIN SELECT raise(ABORT, 'the journal is append only'); END`},
	{"journal_kept", `CREATE TRIGGER journal_kept BEFORE UPDATE ON journal BEGIN SELECT raise(ABORT, 'the journal is append only'); END`},
	{"journal_whole", `CREATE TRIGGER journal_whole BEFORE DELETE ON journal BEGIN SELECT raise(ABORT, 'the journal is append only'); END`},
	{"blob_once", `CREATE TRIGGER blob_once BEFORE INSERT ON blob WHEN EXISTS (SELECT 1 FROM blob WHERE sha256 = NEW.sha256) BEGIN SELECT raise(ABORT, 'what is kept is not replaced'); END`},
	{"blob_kept", `CREATE TRIGGER blob_kept BEFORE UPDATE ON blob BEGIN SELECT raise(ABORT, 'what is kept is not changed'); END`},
	{"blob_whole", `CREATE TRIGGER blob_whole BEFORE DELETE ON blob BEGIN SELECT raise(ABORT, 'what is kept is not removed'); END`},
}

// Start is what a new case begins with.
type Start struct {
	Election Election
	// Parties may hold the two seats of the pair; the office names two or more.
	Parties []string
}

// Options change how a case is opened. The zero Options are right for most.
type Options struct {
	// ReadOnly opens for reading even if nobody else has the case open.
	ReadOnly bool
	// ReadBroken opens a journal that does not hold together, for reading, as far
	// as it does; see Case.Broken.
	ReadBroken bool
	// Now is the clock; nil for the machine's.
	Now func() time.Time
	// Idle is how long an unlocked key stays so unused; 0 for DefaultIdle.
	Idle time.Duration
	// Person is who has the case open, for whoever tries to open it meanwhile.
	Person string
	// WorkFactor is the scrypt work factor (base 2 logarithm) with which new keys
	// are locked; 0 for 18. Anything less is for tests.
	WorkFactor int

	// Context ends Open when it is done, with its error; nil never does.
	Context context.Context

	// vfs is the SQLite file layer, for tests that make it fail.
	vfs string
	// upto is the last entry that is read, 0 for all; see Case.At.
	upto int64
}

func (o Options) workFactor() int {
	if o.WorkFactor == 0 {
		return keyWorkFactor
	}
	return min(max(o.WorkFactor, 1), maxWorkFactor)
}

// Case is an open case file.
type Case struct {
	// mu is held by whoever uses the file, as long as the disk takes. view is held
	// too, and only for moments, while state or closed change; shown is the state as
	// it stood then. What shows the case takes view or shown alone, so that it never
	// waits for a disk.
	mu      sync.Mutex
	view    sync.RWMutex
	shown   atomic.Pointer[State]
	path    string
	options Options
	now     func() time.Time

	db         *sql.DB
	conn       *sql.Conn
	insertStmt *sql.Stmt
	pending    map[Digest][]byte

	state  *State
	keys   keyring
	lease  *lease
	holder *Lease
	broken *BrokenError

	readOnly string // why, empty for a case that can be written
	closed   bool
}

// Create makes a new case file, which must not exist yet, and opens it for writing.
func Create(path string, start Start, o Options) (*Case, error) {
	if err := checkStart(start); err != nil {
		return nil, err
	}
	number := make([]byte, 16)
	if _, err := rand.Read(number); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%s: there is a file of this name already; open it, or choose another name: %w", path, err)
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
	c := &Case{path: path, options: o, now: o.Now}
	if c.now == nil {
		c.now = time.Now
	}
	idle := o.Idle
	if idle <= 0 {
		idle = DefaultIdle
	}
	c.keys.keys, c.keys.idle, c.keys.now = map[PersonID]*unlocked{}, idle, c.now
	c.state = newState(c.blob)
	lease, holder, err := takeLease(path, o.Person)
	if err != nil {
		return nil, err
	}
	if holder != nil {
		return nil, refuse(ErrReadOnly, "%s: %s", path, holder.Words())
	}
	c.lease = lease
	return c, nil
}

func (c *Case) begin(start Start, number string) error {
	ctx := context.Background()
	if err := c.connect("rw", false); err != nil {
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

// connect opens the database. mode is SQLite's: "rw" or "ro".
func (c *Case) connect(mode string, immutable bool) (err error) {
	c.db, c.conn, err = connect(c.path, mode, immutable, c.options.vfs)
	return err
}

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

// address is the path as the database takes it, with how to open it.
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
	// A commit is on the disk when it is acknowledged: synchronous FULL syncs the
	// write-ahead log at each one; fullfsync matters on macOS alone. What the
	// file says is data: its schema is not trusted.
	for _, p := range []string{"busy_timeout(2000)", "synchronous(full)", "fullfsync(1)", "checkpoint_fullfsync(1)", "trusted_schema(0)", "temp_store(memory)"} {
		q.Add("_pragma", p)
	}
	u := url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}
	return u.String(), nil
}

// toWrite readies the connection for keying. While a case is open for writing its
// entries go through a write-ahead log, one sync for each; Close turns it back into
// one plain file.
func (c *Case) toWrite() error {
	ctx := context.Background()
	var mode string
	if err := c.conn.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return err
	}
	if mode != "wal" {
		return refuse(ErrMedium, "%s: this disk does not allow a write-ahead log; copy the case to a local disk and work there", c.path)
	}
	var err error
	c.insertStmt, err = c.conn.PrepareContext(ctx, insertEntry)
	return err
}

// Open opens a case. If somebody else has it open it is opened for reading, and
// Case.Holder says who has it; so it is on a medium that cannot be written. The whole
// journal is checked: one that does not hold together is a *BrokenError that says
// where it breaks.
func Open(path string, o Options) (*Case, error) {
	if err := looksLikeCase(path); err != nil {
		return nil, err
	}
	c := &Case{path: path, options: o, now: o.Now}
	if c.now == nil {
		c.now = time.Now
	}
	idle := o.Idle
	if idle <= 0 {
		idle = DefaultIdle
	}
	c.keys.keys, c.keys.idle, c.keys.now = map[PersonID]*unlocked{}, idle, c.now
	c.state = newState(c.blob)
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

// looksLikeCase reads the first bytes of a file before SQLite gets it.
func looksLikeCase(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("%s: the case cannot be opened: %w", path, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return fmt.Errorf("%s: the case cannot be opened: %w", path, err)
	}
	if !info.Mode().IsRegular() {
		return refuse(ErrNotCase, "%s: this is no file; a case is a file whose name ends in %s", path, Extension)
	}
	head := make([]byte, 100)
	if _, err := io.ReadFull(f, head); err != nil || !bytes.HasPrefix(head, []byte("SQLite format 3\x00")) ||
		binary.BigEndian.Uint32(head[68:]) != applicationID {
		return refuse(ErrNotCase, "%s: this is not a case file; a case is made with Create and its name ends in %s", path, Extension)
	}
	if v := binary.BigEndian.Uint32(head[60:]); v != userVersion {
		return refuse(ErrNotCase, "%s: this case is of layout %d and this version reads layout %d; use the version that wrote it, or a newer one", path, v, userVersion)
	}
	return nil
}

// openToWrite takes the lease and readies the file. Where that cannot be, it leaves
// the reason in readOnly.
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
		err = c.toWrite()
	}
	if err == nil {
		return nil
	}
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

// load checks the layout and folds the journal.
func (c *Case) load() error {
	if err := checkLayout(c.conn, c.path); err != nil {
		return err
	}
	ch := chain{}
	ctx := c.options.Context
	c.options.Context = nil // for this opening alone
	if ctx == nil {
		ctx = context.Background()
	}
	last, err := foldAll(ctx, c.conn, c.path, &ch, c.state, c.options.upto)
	if err != nil {
		return err
	}
	// One signature stands for the whole journal before it: if the last holds, the
	// entries before it are those that were signed over. Verify checks them all.
	if last != nil {
		if fault := c.state.holds(last); fault != "" {
			return &BrokenError{c.path, last.Seq, fault + ": it, or an entry before it, was changed"}
		}
	}
	if c.state.Seq == 0 {
		return &BrokenError{c.path, 0, "the journal is empty"}
	}
	return nil
}

// show makes the state as it stands the one that is shown. The caller holds view, or
// has the case alone.
func (c *Case) show() { c.shown.Store(c.state.snapshot()) }

// errEnough ends reading where no more is wanted.
var errEnough = errors.New("enough")

// foldAll folds entries after the state's last, as far as upto if that is not 0, and
// returns the last signed one.
func foldAll(ctx context.Context, conn *sql.Conn, path string, ch *chain, s *State, upto int64) (last *Entry, err error) {
	err = readEntries(conn, s.Seq, func(e *Entry) error {
		if upto > 0 && e.Seq > upto {
			return errEnough
		}
		if e.Seq%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if fault := ch.next(e); fault != "" {
			return &BrokenError{path, ch.seq + 1, fault}
		}
		if err := s.fold(e); err != nil {
			var broken *BrokenError
			if errors.As(err, &broken) {
				return &BrokenError{path, e.Seq, broken.Fault}
			}
			return &BrokenError{path, e.Seq, "it says what cannot have been recorded: " + err.Error()}
		}
		if s.SignedSeq == e.Seq {
			signed := *e
			last = &signed
		}
		return nil
	})
	if errors.Is(err, errEnough) {
		err = nil
	}
	return last, err
}

func checkLayout(conn *sql.Conn, path string) error {
	rows, err := conn.QueryContext(context.Background(), `SELECT name, coalesce(sql, '') FROM sqlite_schema WHERE name <> 'sqlite_autoindex_blob_1' ORDER BY rowid`)
	if err != nil {
		return err
	}
	defer rows.Close()
	found := map[string]string{}
	for rows.Next() {
		var name, statement string
		if err := rows.Scan(&name, &statement); err != nil {
			return err
		}
		found[name] = statement
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, l := range layout {
		if found[l.name] != l.sql {
			return &BrokenError{path, 0, fmt.Sprintf("its %s is not as the layout has it: the tables were changed with another program", l.name)}
		}
		delete(found, l.name)
	}
	for name := range found {
		return &BrokenError{path, 0, fmt.Sprintf("it holds %q, which the layout does not have: it was put in with another program", name)}
	}
	return nil
}

// Refresh reads what another program recorded since the case was opened here for
// reading, and reports whether there was anything.
func (c *Case) Refresh() (changed bool, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return false, ErrClosed
	}
	before := c.state.Seq
	if c.options.upto > 0 {
		return false, nil
	}
	c.view.Lock()
	defer c.view.Unlock()
	defer c.show()
	last, err := foldAll(context.Background(), c.conn, c.path, &chain{seq: c.state.Seq, head: c.state.Head}, c.state, 0)
	if err == nil && last != nil {
		if fault := c.state.holds(last); fault != "" {
			err = &BrokenError{c.path, last.Seq, fault}
		}
	}
	return c.state.Seq != before, storage(c.path, "reading on", err)
}

// Path returns the path by which the case was opened.
func (c *Case) Path() string { return c.path }

// Holder returns who has the case open for writing, where that is why it is open for
// reading here; else nil.
func (c *Case) Holder() *Lease { return c.holder }

// Broken returns where the journal breaks, in a case opened with
// Options.ReadBroken; nil where it holds together.
func (c *Case) Broken() *BrokenError { return c.broken }

// ReadOnly returns why the case can only be read; empty where it can be written.
func (c *Case) ReadOnly() string { return c.readOnly }

func (c *Case) writable() error {
	if c.closed {
		return ErrClosed
	}
	if c.readOnly != "" {
		return refuse(ErrReadOnly, "%s: the case is open for reading only: %s", c.path, c.readOnly)
	}
	return nil
}

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

// abandon lets go of the file without touching it.
func (c *Case) abandon() {
	c.view.Lock()
	c.closed = true
	c.view.Unlock()
	c.lock()
	c.disconnect()
	if c.lease != nil {
		_ = c.lease.release()
		c.lease = nil
	}
}

// Close locks all keys, folds the write-ahead log into the file, so that the case is
// complete in it, and gives up the lease. An error says what is left to do; nothing
// that was recorded is lost by it. Closing again does nothing.
func (c *Case) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return nil
	}
	var left error
	if c.readOnly == "" {
		ctx := context.Background()
		var busy, log, done int
		err := c.conn.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &log, &done)
		if err == nil && busy == 0 {
			// Back to a plain file, which any tool can read on any medium. While
			// another program reads it this has to wait for the next closing.
			var mode string
			_, _ = c.conn.ExecContext(ctx, "PRAGMA busy_timeout = 100")
			_ = c.conn.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode)
		}
		if err != nil {
			cause := storage(c.path, "closing the case", err)
			left = &problem{kind: ErrMedium, cause: cause, text: fmt.Sprintf(
				"%s: the last entries are safe, but still beside the case, in %s-wal: keep the two files together and open the case again when there is room (%v)",
				c.path, filepath.Base(c.path), err)}
		}
	}
	c.view.Lock()
	c.closed = true
	c.view.Unlock()
	c.lock()
	c.disconnect()
	if c.lease != nil {
		if err := c.lease.release(); err != nil && left == nil {
			left = fmt.Errorf("%s: the case is closed, but the note of who has it open could not be removed: %w", c.path, err)
		}
		c.lease = nil
	}
	return left
}
