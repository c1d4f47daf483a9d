package casefile

import (
	"context"
	"database/sql"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"
)

// Extension is the extension of a case file's name.
const Extension = ".counterproof"

const (
	// applicationID marks the file as a case: "Cprf" in ASCII (SQLite file format,
	// offset 68).
	applicationID = 0x43707266
	// userVersion is the layout that this program writes, oldestVersion the oldest that it can read
	// and continue (SQLite file format, offset 60). A new case has the newest. An older case
	// changes its layout with the first entry that its layout lacks; FORMAT.md lists those.
	userVersion   = 4
	oldestVersion = 1
)

// layout is the entire database schema: its tables, and its triggers, each with its table.
// FORMAT.md documents it. A file with anything else is not opened.
var layout = []struct{ name, on, sql string }{
	{"journal", "", `CREATE TABLE journal (seq INTEGER PRIMARY KEY, at INTEGER NOT NULL, who TEXT NOT NULL, kind TEXT ` +
		`NOT NULL, body TEXT NOT NULL, hash BLOB NOT NULL) STRICT`},
	{"blob", "", `CREATE TABLE blob (sha256 BLOB PRIMARY KEY, bytes BLOB NOT NULL) STRICT`},
	{"journal_next", "journal", `CREATE TRIGGER journal_next BEFORE INSERT ON journal WHEN NEW.seq <> (SELECT ` +
		`coalesce(max(seq), 0) + 1 FROM journal) BEGIN SELECT raise(ABORT, 'the journal is append only'); END`},
	{"journal_kept", "journal", `CREATE TRIGGER journal_kept BEFORE UPDATE ON journal BEGIN SELECT raise(ABORT, 'the ` +
		`journal is append only'); END`},
	{"journal_whole", "journal", `CREATE TRIGGER journal_whole BEFORE DELETE ON journal BEGIN SELECT raise(ABORT, 'the ` +
		`journal is append only'); END`},
	{"blob_once", "blob", `CREATE TRIGGER blob_once BEFORE INSERT ON blob WHEN EXISTS (SELECT 1 FROM blob WHERE sha256 ` +
		`= NEW.sha256) BEGIN SELECT raise(ABORT, 'what is kept is not replaced'); END`},
	{"blob_kept", "blob", `CREATE TRIGGER blob_kept BEFORE UPDATE ON blob BEGIN SELECT raise(ABORT, 'what is kept is ` +
		`not changed'); END`},
	{"blob_whole", "blob", `CREATE TRIGGER blob_whole BEFORE DELETE ON blob BEGIN SELECT raise(ABORT, 'what is kept is ` +
		`not removed'); END`},
}

// Start is the initial content of a new case.
type Start struct {
	Election Election
	// Parties are those that may hold the two seats of the pair; the office names two or more.
	Parties []string
}

// Options change how a case is opened. The zero Options are right for most.
type Options struct {
	// ReadOnly opens for reading even if nobody else has the case open for writing.
	ReadOnly bool
	// ReadBroken opens a case with a broken journal for reading, up to the break; see Case.Broken.
	ReadBroken bool
	// Now is the clock; nil means the machine's.
	Now func() time.Time
	// Idle is how long an unused key stays unlocked; 0 for DefaultIdle.
	Idle time.Duration
	// Person is the name that other users see while this program has the case open.
	Person string
	// WorkFactor is the scrypt work factor (base 2 logarithm) for locking new keys; 0 for 18. Lower
	// values are for tests.
	WorkFactor int

	// TakeOver opens for writing although a lease says that another computer has or had the case
	// open; see Case.Holder. The lease of a program that is running on this computer cannot be
	// taken over.
	TakeOver bool

	// Context aborts Open with the context's error; nil never aborts.
	Context context.Context

	// vfs is the SQLite file layer, for tests that make it fail.
	vfs string
	// upto is the last entry to read, 0 for all. own means that this program has the case open for
	// writing; see Case.At.
	upto int64
	own  bool
}

func (o Options) workFactor() int {
	if o.WorkFactor == 0 {
		return keyWorkFactor
	}
	return min(max(o.WorkFactor, 1), maxWorkFactor)
}

// Case is an open case file.
type Case struct {
	// mu protects the file, and is held for as long as the disk takes. view is held as well, only
	// for moments, while state or closed changes. shown is a copy of the state at that moment. Code
	// that displays the case takes only view or shown, so it never waits for a disk.
	mu      sync.Mutex
	view    sync.RWMutex
	shown   atomic.Pointer[State]
	path    string // as the caller named it
	file    string // with links resolved
	options Options
	now     func() time.Time

	db         *sql.DB
	conn       *sql.Conn
	insertStmt *sql.Stmt
	pending    map[Digest][]byte

	state *State
	keys  keyring
	// signings counts the signings that go on; attempts are the failed ones to unlock meanwhile.
	signings int
	attempts []PersonID
	lease    *lease
	holder   *Lease // the program that has it open for writing
	before   *Lease // the lease that was taken over
	broken   *BrokenError
	// snapshot is the source of a case that is open for reading, nil for one that can be written.
	snapshot *snapshot
	// expects is the head that the journal must have after the files beside the case were taken in;
	// zero if there were none.
	expects Digest

	readOnly string // the reason; empty for a case that can be written
	closed   bool
}

// closedCase returns a case that has nothing open yet.
func closedCase(path string, o Options) *Case {
	c := &Case{path: path, file: resolved(path), options: o, now: o.Now}
	if c.now == nil {
		c.now = time.Now
	}
	idle := o.Idle
	if idle <= 0 {
		idle = DefaultIdle
	}
	c.keys.keys, c.keys.idle, c.keys.now = map[PersonID]*unlocked{}, idle, c.now
	c.state = newState(c.blob)
	return c
}

// resolved follows links: the database keeps its own files beside the real file, not beside a link
// to it.
func resolved(path string) string {
	if file, err := filepath.EvalSymlinks(path); err == nil {
		return file
	}
	return path
}

// Path returns the path by which the case was opened.
func (c *Case) Path() string { return c.path }

// Holder returns the program that has the case open for writing, if the case is open for reading
// for that reason; else nil.
func (c *Case) Holder() *Lease { return c.holder }

// TookOver returns the lease that was taken over when the case was opened, because its program had
// ended without closing the case or because of Options.TakeOver; else nil.
func (c *Case) TookOver() *Lease { return c.before }

// Broken returns where the journal breaks, for a case opened with Options.ReadBroken; nil if the
// journal is intact.
func (c *Case) Broken() *BrokenError { return c.broken }

// ReadOnly returns the reason why the case can only be read; empty if it can be written.
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
