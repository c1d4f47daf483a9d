package casefile

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"
)

// A snapshot is what a case is read from. Reading never changes a byte: where nothing
// lies beside the file and nobody has it open, that is the file itself, opened as one
// that does not change (SQLite, "URI Filenames", immutable); else it is a private copy,
// into which the copy of what lies beside it was played back.
type snapshot struct {
	// file is what the database is read from; dir the folder of a private copy, empty
	// for the case itself.
	file, dir string
	// print is the case's as it was when reading began.
	print fingerprint
	// added is how many entries were in what lay beside the case, and not in the file;
	// beside says where.
	added  int64
	beside besides
	// head is that of the journal with what lay beside it, where that was played back.
	head Digest
	// unwatched says that nobody looks whether the case is written meanwhile.
	unwatched bool
	users     atomic.Int32
}

// fingerprint shows whether a case that is read from its own file was written meanwhile:
// every writer takes the lease, makes a write-ahead log and counts up in the header.
type fingerprint struct {
	size   int64
	at     time.Time
	beside besides
	lease  bool
	header [headerSize]byte
}

func takePrint(path string) (p fingerprint, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return p, unreadable(path, err)
	}
	if p.beside, err = lookBeside(path); err != nil {
		return p, err
	}
	p.size, p.at = info.Size(), info.ModTime()
	if _, err := os.Lstat(path + leaseExtension); err == nil {
		host, _ := os.Hostname()
		_, holds, err := readLease(path+leaseExtension, host)
		p.lease = err != nil || holds != leaseEnded
	}
	p.header, err = headOf(path)
	return p, err
}

// headOf reads the header of a database file.
func headOf(path string) (h [headerSize]byte, err error) {
	f, err := os.Open(path)
	if err != nil {
		return h, unreadable(path, err)
	}
	defer f.Close()
	_, err = io.ReadFull(f, h[:])
	return h, err
}

// tries is how often a case that is being written is copied until it stays the same
// meanwhile, wait how long apart.
const (
	tries = 40
	wait  = 25 * time.Millisecond
)

// takeSnapshot readies a case for reading. path is where the file is, without links.
// A case beside which lies what does not continue it is ErrBeside. own says that this
// program has the case open for writing, so that what lies beside it is its own.
func takeSnapshot(path, vfs string, own bool) (*snapshot, error) {
	for range tries {
		print, err := takePrint(path)
		if err != nil {
			return nil, err
		}
		if !print.beside.any() && !print.lease {
			return &snapshot{file: path, print: print}, nil
		}
		s, err := privateCopy(path, print.beside)
		if errors.Is(err, errMoved) {
			time.Sleep(wait)
			continue
		}
		if err != nil {
			return nil, err
		}
		if err := s.play(path, vfs, own); err != nil {
			s.remove()
			return nil, err
		}
		return s, nil
	}
	return nil, refuse(ErrReadOnly, "%s: another program writes to the case all the time; do it again when that has ended",
		path)
}

var errMoved = errors.New("the case was written while it was copied")

// privateCopy copies a case, and what lies beside it, to a folder that this account
// alone can read. If they changed meanwhile it is errMoved.
func privateCopy(path string, b besides) (_ *snapshot, err error) {
	dir, err := os.MkdirTemp("", "counterproof-reading-")
	if err != nil {
		return nil, noCopy(path, err)
	}
	s := &snapshot{dir: dir, file: filepath.Join(dir, "case"), beside: b}
	defer func() {
		if err != nil {
			s.remove()
		}
	}()
	ends := []string{""}
	if b.wal > 0 {
		ends = append(ends, walEnd)
	}
	if b.journal > 0 {
		ends = append(ends, journalEnd)
	}
	var digests []Digest
	for _, end := range ends {
		d, err := copyOnce(path+end, s.file+end)
		if err != nil {
			return nil, err
		}
		digests = append(digests, d)
	}
	// If each is now what was copied, all were so at the moment between.
	for i, end := range ends {
		d, err := copyOnce(path+end, "")
		if err != nil {
			return nil, err
		}
		if d != digests[i] {
			return nil, errMoved
		}
	}
	if now, err := lookBeside(path); err != nil {
		return nil, err
	} else if now != b {
		return nil, errMoved
	}
	return s, nil
}

// copyOnce copies a file, as long as it is now, and returns the digest of what it read.
// to may be empty.
func copyOnce(from, to string) (d Digest, err error) {
	in, err := os.Open(from)
	if errors.Is(err, os.ErrNotExist) {
		return d, errMoved
	}
	if err != nil {
		return d, unreadable(from, err)
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return d, unreadable(from, err)
	}
	sum := sha256.New()
	into := io.Writer(sum)
	if to != "" {
		out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if err != nil {
			return d, noCopy(from, err)
		}
		defer func() {
			if cerr := out.Close(); err == nil && cerr != nil {
				err = noCopy(from, cerr)
			}
		}()
		into = io.MultiWriter(sum, out)
	}
	if n, err := io.Copy(into, io.LimitReader(in, info.Size())); err != nil {
		return d, noCopy(from, err)
	} else if n < info.Size() {
		return d, errMoved
	}
	sum.Sum(d[:0])
	return d, nil
}

func noCopy(path string, err error) error {
	return &problem{kind: ErrNoRoom, cause: err, text: fmt.Sprintf("%s: the case is open elsewhere or was not closed, "+
		"and the copy of it from which it is read cannot be made (%v); "+
		"see that the folder for temporary files (%s) is there, can be written to and has room", path, causeOf(err),
		os.TempDir())}
}

// play plays what was copied beside the case back into the copy, as SQLite would into
// the case itself. If the result is not the journal in the file with more entries, or
// none, it is ErrBeside.
func (s *snapshot) play(path, vfs string, own bool) error {
	if !s.beside.any() {
		return nil
	}
	if s.beside.journal > 0 {
		if of, err := superJournal(s.file + journalEnd); err != nil {
			return noCopy(path, err)
		} else if of {
			return doesNotContinue(path, s.beside, "change a second database with it, which no case has")
		}
	}
	var before *journalChain
	var good bool
	if !own {
		before, good = chainOf(s.file, vfs), verifyFile(s.file, vfs).Good()
	}
	if err := fold(s.file, vfs); err != nil {
		return doesNotContinue(path, s.beside, fmt.Sprintf("damage it (%v)", err))
	}
	if own {
		return nil
	}
	after := chainOf(s.file, vfs)
	if would := after.continues(before); would != "" {
		return doesNotContinue(path, s.beside, would)
	}
	// Where the file alone does not hold together, loading it says so.
	if r := verifyFile(s.file, vfs); good && !r.Good() {
		return doesNotContinue(path, s.beside, fmt.Sprintf("damage it (%s)", r.Faults[0].Words()))
	}
	s.added = int64(len(after.hashes) - len(before.hashes))
	if n := len(after.hashes); n > 0 {
		s.head = after.hashes[n-1]
	}
	return nil
}

// fold plays back what lies beside a copy, and leaves one plain file.
func fold(file, vfs string) error {
	conn, closes, err := open(file, "rw", false, vfs)
	if err != nil {
		return err
	}
	defer closes()
	ctx := context.Background()
	for _, statement := range []string{"SELECT count(*) FROM sqlite_schema", "PRAGMA wal_checkpoint(TRUNCATE)",
		"PRAGMA journal_mode = DELETE"} {
		if _, err := conn.ExecContext(ctx, statement); err != nil {
			return err
		}
	}
	return nil
}

// open is connect with one function that closes both.
func open(file, mode string, immutable bool, vfs string) (*sql.Conn, func(), error) {
	db, conn, err := connect(file, mode, immutable, vfs)
	if err != nil {
		return nil, nil, err
	}
	return conn, func() { _ = conn.Close(); _ = db.Close() }, nil
}

// journalChain is what a database holds of a journal.
type journalChain struct {
	// hashes are those of the entries that hold together, from the first.
	hashes []Digest
	// whole says that there is nothing after them.
	whole bool
	// number is the case's, from its first entry.
	number string
}

// chainOf reads a database as it is in its file, without what lies beside it.
func chainOf(file, vfs string) *journalChain {
	j := &journalChain{}
	conn, closes, err := open(file, "ro", true, vfs)
	if err != nil {
		return j // no database: nothing of a journal
	}
	defer closes()
	var ch chain
	err = readEntries(conn, 0, func(e *Entry) error {
		if fault := ch.next(e); fault != "" {
			return errEnough
		}
		if e.Seq == 1 {
			var body caseBody
			if decode(e.Body, &body) == nil {
				j.number = body.Case
			}
		}
		j.hashes = append(j.hashes, e.Hash)
		return nil
	})
	j.whole = err == nil
	return j
}

// continues reports in words what a journal does to the one before it; nothing where it
// is that one with more entries, or none. What a program that was killed in the middle
// of a checkpoint leaves in the file may be a part of the journal only.
func (j *journalChain) continues(before *journalChain) string {
	for i, hash := range before.hashes {
		switch {
		case i >= len(j.hashes) && !j.whole:
			return fmt.Sprintf("damage it from entry %d on", i+1)
		case i >= len(j.hashes):
			return fmt.Sprintf("take it back from entry %d to entry %d", len(before.hashes), i)
		case j.hashes[i] != hash && i == 0 && j.number != before.number:
			return "turn it into another case"
		case j.hashes[i] != hash:
			return fmt.Sprintf("change its entry %d and what follows", i+1)
		}
	}
	if !j.whole {
		return fmt.Sprintf("damage it from entry %d on", len(j.hashes)+1)
	}
	return ""
}

// changed is an error where the case was written since it is read from its own file.
func (s *snapshot) changed(path string) error {
	if s == nil || s.dir != "" || s.unwatched {
		return nil
	}
	now, err := takePrint(path)
	if err != nil {
		return err
	}
	if now != s.print {
		return refuse(ErrReadOnly, "%s: another program opened or changed the case while it was read here; do it again, or "+
			"open it again", path)
	}
	return nil
}

// share lets one more case read from the snapshot.
func (s *snapshot) share() *snapshot {
	s.users.Add(1)
	return s
}

// release ends reading from it; the last removes a private copy.
func (s *snapshot) release() {
	if s != nil && s.users.Add(-1) < 0 {
		s.remove()
	}
}

func (s *snapshot) remove() {
	if s.dir != "" {
		_ = os.RemoveAll(s.dir)
	}
}
