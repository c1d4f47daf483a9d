package casefile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	sqlite "modernc.org/sqlite"
	sqlitelib "modernc.org/sqlite/lib"

	"counterproof/model/files"
)

// The kinds of errors of a case or an act, for errors.Is. The error's own text is the sentence for
// people.
var (
	// ErrReadOnly: the case is open for reading only.
	ErrReadOnly = errors.New("open for reading only")
	// ErrNoRoom: the disk is full or a size limit is reached. Nothing was written; the act can be
	// repeated when there is room.
	ErrNoRoom = errors.New("no room on the disk")
	// ErrMedium: writing to the disk or stick fails, or it is gone. Nothing was recorded.
	ErrMedium = errors.New("the disk or stick fails")
	// ErrTampered: the file is not intact.
	ErrTampered = errors.New("the record does not hold together")
	// ErrNotCase: the file is not a case file.
	ErrNotCase = errors.New("not a case file")
	// ErrSealed: the value is sealed.
	ErrSealed = errors.New("sealed")
	// ErrNotSealed: the act is possible only after a seal.
	ErrNotSealed = errors.New("not sealed")
	// ErrLocked: the act needs a key that is locked.
	ErrLocked = errors.New("key is locked")
	// ErrPassphrase: the passphrase is wrong.
	ErrPassphrase = errors.New("wrong passphrase")
	// ErrRule: the act breaks a rule of the record.
	ErrRule = errors.New("against the rules of the record")
	// ErrClosed: the case was closed.
	ErrClosed = errors.New("case is closed")
)

// problem is an error with a sentence for people. It wraps one of the kinds above, if it has one.
type problem struct {
	kind  error
	text  string
	cause error
}

func (p *problem) Error() string { return oneLine(p.text) }

// oneLine escapes unprintable characters, which may come from a damaged or hostile file: an error
// is one line and must not control a terminal.
func oneLine(text string) string {
	var b strings.Builder
	for _, r := range text {
		if strconv.IsPrint(r) {
			b.WriteRune(r)
		} else {
			b.WriteString(strings.Trim(strconv.QuoteRune(r), "'"))
		}
	}
	return b.String()
}

func (p *problem) Unwrap() []error {
	var out []error
	for _, err := range []error{p.kind, p.cause} {
		if err != nil {
			out = append(out, err)
		}
	}
	return out
}

func refuse(kind error, format string, values ...any) error {
	return &problem{kind: kind, text: fmt.Sprintf(format, values...)}
}

// BrokenError says where a journal stops being intact.
type BrokenError struct {
	// Path is the file, Entry the first entry that does not fit (0: the file as a whole), Fault the
	// problem, in words.
	Path  string
	Entry int64
	Fault string
}

// Error is one sentence with place, fault and remedy.
func (e *BrokenError) Error() string {
	where := e.Path
	if e.Entry > 0 {
		where = fmt.Sprintf("%s, entry %d", e.Path, e.Entry)
	}
	return oneLine(where+": "+e.Fault) + "; keep this file as it is and go on from the last good copy"
}

// Unwrap makes errors.Is(err, ErrTampered) true.
func (e *BrokenError) Unwrap() error { return ErrTampered }

// storage turns a database error into a sentence. doing says what the program was doing ("recording
// entry 12").
func storage(path, doing string, err error) error {
	if err == nil {
		return nil
	}
	var p *problem
	var broken *BrokenError
	if errors.As(err, &p) || errors.As(err, &broken) {
		return err
	}
	wrap := func(kind error, sentence string) error {
		// SQLite appends its last message, which may be that there was no error.
		said := strings.Replace(err.Error(), ": not an error", "", 1)
		return &problem{kind: kind, text: fmt.Sprintf("%s: %s: %s (%s)", path, doing, sentence, said), cause: err}
	}
	var lite *sqlite.Error
	if !errors.As(err, &lite) {
		if files.NoRoom(err) {
			return &problem{kind: ErrNoRoom, cause: err,
				text: fmt.Sprintf("%s: %s: the disk is full, nothing was recorded; make room and do it again", path, doing)}
		}
		if files.Protected(err) {
			return &problem{kind: ErrReadOnly, cause: err,
				text: fmt.Sprintf("%s: %s: the disk is write-protected; copy the case to a disk that can be written", path, doing)}
		}
		return &problem{text: fmt.Sprintf("%s: %s: %v", path, doing, err), cause: err}
	}
	switch lite.Code() & 0xff {
	case sqlitelib.SQLITE_FULL:
		return wrap(ErrNoRoom, "the disk is full, nothing was recorded; make room and do it again")
	case sqlitelib.SQLITE_IOERR, sqlitelib.SQLITE_PROTOCOL:
		return wrap(ErrMedium, "the disk or stick did not take it, nothing was recorded; check that it is plugged in, not "+
			"full and writable, and do it again")
	case sqlitelib.SQLITE_CANTOPEN:
		return wrap(ErrMedium, "the file or its folder cannot be opened; check that it is there, plugged in and writable")
	case sqlitelib.SQLITE_READONLY, sqlitelib.SQLITE_PERM:
		return wrap(ErrReadOnly, "the file or its disk is write-protected; copy the case to a disk that can be written")
	case sqlitelib.SQLITE_BUSY, sqlitelib.SQLITE_LOCKED:
		return wrap(ErrReadOnly, "another program is using the file; close it there and do it again")
	case sqlitelib.SQLITE_NOTADB:
		return wrap(ErrNotCase, "this is not a case file")
	case sqlitelib.SQLITE_TOOBIG:
		return wrap(ErrTampered, "the file holds something longer than any version of this program writes; keep it as it "+
			"is and go on from the last good copy")
	case sqlitelib.SQLITE_CORRUPT:
		return wrap(ErrTampered, "the file is damaged; keep it as it is and go on from the last good copy")
	}
	return wrap(ErrMedium, "the database failed")
}
