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

// A snapshot is the source from which a case is read. Reading never changes a byte. If nothing is
// beside the file and no program has it open, the snapshot is the file itself, opened as immutable
// (SQLite, "URI Filenames"). Otherwise it is a private copy, to which copies of the files beside it
// were applied.
type snapshot struct {
	// file is the database file to read; dir is the folder of a private copy, empty if the case
	// itself is read.
	file, dir string
	// print is the fingerprint of the case when reading began.
	print fingerprint
	// added is how many entries came from the files beside the case; beside names those files.
	added  int64
	beside besides
	// head is the journal's head with the entries from beside the case, if there were any.
	head Digest
	// unwatched means that nothing checks whether the case is written during the read.
	unwatched bool
	users     atomic.Int32
}

// fingerprint shows whether a case was written while its own file was read: every writer takes the
// lease, creates a write-ahead log and increments a counter in the header.
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

// tries is how often a case that is being written is copied before giving up, wait the pause
// between attempts.
const (
	tries = 40
	wait  = 25 * time.Millisecond
)

// takeSnapshot prepares a case for reading. path is the real file, without links. If files beside
// it do not continue the case, the error is ErrBeside. own means that this program has the case
// open for writing, so the files beside it are its own.
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

// privateCopy copies a case and the files beside it to a folder that only this account can read. If
// they changed during the copy, the error is errMoved.
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
	// If each file still equals its copy, all copies show the same moment.
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

// copyOnce copies a file up to its current length and returns the digest of what it read. to may be
// empty.
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

// play applies the copied files to the copied case, as SQLite would to the case itself. The result
// must be the journal of the file, possibly with more entries; otherwise the error is ErrBeside.
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
	// If the file alone is already broken, loading it reports that.
	if r := verifyFile(s.file, vfs); good && !r.Good() {
		return doesNotContinue(path, s.beside, fmt.Sprintf("damage it (%s)", r.Faults[0].Words()))
	}
	s.added = int64(len(after.hashes) - len(before.hashes))
	if n := len(after.hashes); n > 0 {
		s.head = after.hashes[n-1]
	}
	return nil
}

// fold applies the files beside a copy, and leaves one plain file.
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

// open is connect with a single function that closes both results.
func open(file, mode string, immutable bool, vfs string) (*sql.Conn, func(), error) {
	db, conn, err := connect(file, mode, immutable, vfs)
	if err != nil {
		return nil, nil, err
	}
	return conn, func() { _ = conn.Close(); _ = db.Close() }, nil
}

// journalChain is the journal that a database holds.
type journalChain struct {
	// hashes are the hashes of the intact entries, from the first.
	hashes []Digest
	// whole means that nothing follows them.
	whole bool
	// number is the case number, from its first entry.
	number string
}

// chainOf reads a database from its file alone, without the files beside it.
func chainOf(file, vfs string) *journalChain {
	j := &journalChain{}
	conn, closes, err := open(file, "ro", true, vfs)
	if err != nil {
		return j // not a database: an empty journal
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

// continues describes in words what a journal does to an earlier one; "" if it equals the earlier
// one, possibly with more entries. A program that was killed in the middle of a checkpoint may
// leave only part of the journal in the file.
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

// changed returns an error if the case was written after reading from its own file began.
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

// share lets another case read from the snapshot.
func (s *snapshot) share() *snapshot {
	s.users.Add(1)
	return s
}

// release ends one case's use of the snapshot; the last user removes a private copy.
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
