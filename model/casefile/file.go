package casefile

import (
	"context"
	"database/sql"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"
)

// Extension is the end of a case file's name.
const Extension = ".counterproof"

const (
	// applicationID marks the file as a case: "Cprf" in ASCII (SQLite file format,
	// offset 68).
	applicationID = 0x43707266
	// userVersion is the layout that this program writes, and oldestVersion the first
	// that it reads and goes on with (SQLite file format, offset 60). A case begins in
	// layout 2, and one of layout 1 becomes one of layout 2 with the first entry that
	// layout 1 did not have; FORMAT.md says which.
	userVersion   = 2
	oldestVersion = 1
)

// layout is the whole of the database: its tables, and its triggers with the table that
// each is on. FORMAT.md documents it; a file that holds anything else is not opened.
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

	// TakeOver opens for writing though a lease says that another computer has the case
	// open, or had: see Case.Holder. A program that is running on this computer keeps
	// its lease.
	TakeOver bool

	// Context ends Open when it is done, with its error; nil never does.
	Context context.Context

	// vfs is the SQLite file layer, for tests that make it fail.
	vfs string
	// upto is the last entry that is read, 0 for all, and own says that this program has
	// the case open for writing; see Case.At.
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
	// mu is held by whoever uses the file, as long as the disk takes. view is held
	// too, and only for moments, while state or closed change; shown is the state as
	// it stood then. What shows the case takes view or shown alone, so that it never
	// waits for a disk.
	mu      sync.Mutex
	view    sync.RWMutex
	shown   atomic.Pointer[State]
	path    string // as it was named
	file    string // where it is, without links
	options Options
	now     func() time.Time

	db         *sql.DB
	conn       *sql.Conn
	insertStmt *sql.Stmt
	pending    map[Digest][]byte

	state  *State
	keys   keyring
	lease  *lease
	holder *Lease // who has it open for writing
	before *Lease // whose lease was taken over
	broken *BrokenError
	// snapshot is what a case that is open for reading is read from, nil for one that
	// can be written.
	snapshot *snapshot
	// expects is the head that the journal has to have once what lay beside the case is
	// taken in; zero where nothing did.
	expects Digest

	readOnly string // why, empty for a case that can be written
	closed   bool
}

// closedCase is a case of which nothing is open yet.
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

// resolved follows links: the database keeps its own files beside where the case is,
// not beside a link to it.
func resolved(path string) string {
	if file, err := filepath.EvalSymlinks(path); err == nil {
		return file
	}
	return path
}

// Path returns the path by which the case was opened.
func (c *Case) Path() string { return c.path }

// Holder returns who has the case open for writing, where that is why it is open for
// reading here; else nil.
func (c *Case) Holder() *Lease { return c.holder }

// TookOver returns whose lease was taken over when the case was opened, because their
// program had ended without closing it or Options.TakeOver was given; else nil.
func (c *Case) TookOver() *Lease { return c.before }

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
