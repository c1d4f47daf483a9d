package casefile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Names of the files that SQLite keeps beside a database while it is written (SQLite, "Temporary
// Files Used By SQLite"). A killed program leaves them behind, and SQLite applies them to the
// database when it is next opened for writing. They may also be left from another state of the
// case, or be planted.
const (
	walEnd     = "-wal"
	sharedEnd  = "-shm"
	journalEnd = "-journal"
)

// maxBeside limits a write-ahead log or rollback journal, in bytes. The largest genuine one holds
// the largest blob, the largest entry, and the pages around them.
const maxBeside = 2 << 30

// ErrBeside: the files beside the case do not continue it. Nothing was changed.
var ErrBeside = errors.New("what lies beside the case does not continue it")

// besides describes the files beside a case file.
type besides struct {
	// wal and journal are the sizes of a write-ahead log and of a rollback journal,
	// in bytes; 0 for none.
	wal, journal int64
}

func (b besides) any() bool { return b.wal > 0 || b.journal > 0 }

// names lists the names of these files: "tarnwick.counterproof-wal".
func (b besides) names(path string) string {
	switch base := filepath.Base(path); {
	case b.wal > 0 && b.journal > 0:
		return base + walEnd + " and " + base + journalEnd
	case b.journal > 0:
		return base + journalEnd
	default:
		return base + walEnd
	}
}

// lookBeside examines the files beside a case, without opening anything that could block. Anything
// there that is not a regular file must have been planted.
func lookBeside(path string) (besides, error) {
	var b besides
	for end, size := range map[string]*int64{walEnd: &b.wal, journalEnd: &b.journal, sharedEnd: nil} {
		info, err := os.Lstat(path + end)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return b, unreadable(path+end, err)
		case !info.Mode().IsRegular():
			return b, refuse(ErrBeside, "%s: this is %s where only a file of the database may lie; nothing was changed; "+
				"move it away and open the case again", path+end, kindOfFile(info.Mode()))
		case info.Size() > maxBeside:
			return b, refuse(ErrBeside, "%s: it has %d bytes, and this program leaves at most %d; nothing was changed; "+
				"move it away and open the case again", path+end, info.Size(), int64(maxBeside))
		case size != nil:
			*size = info.Size()
		}
	}
	return b, nil
}

// kindOfFile names the kind of something that is not a regular file.
func kindOfFile(mode fs.FileMode) string {
	switch {
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeSymlink != 0:
		return "a link"
	case mode&fs.ModeNamedPipe != 0:
		return "a pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	case mode&fs.ModeDevice != 0:
		return "a device"
	}
	return "no ordinary file"
}

// superJournal reports whether a rollback journal belongs to several databases; such a journal ends
// with a mark (SQLite file format, section 3, "The Rollback Journal", and pager.c: the journal's
// magic is at its end too). A case is a single database. Applying such a journal may delete the
// file that it names.
func superJournal(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.Size() < 8 {
		return false, err
	}
	end := make([]byte, 8)
	if _, err := f.ReadAt(end, info.Size()-8); err != nil && !errors.Is(err, io.EOF) {
		return false, err
	}
	return string(end) == "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7", nil
}

// doesNotContinue describes the files beside a case, their effect, and how to keep both.
func doesNotContinue(path string, b besides, would string) error {
	names := b.names(path)
	it, them := "it", "it"
	if b.wal > 0 && b.journal > 0 {
		it, them = "they", "them"
	}
	return refuse(ErrBeside, "%s: %s beside it would %s; nothing was changed. To keep both, copy the case and %s to "+
		"another folder. "+
		"To go on with the case as it is in the file, move %s out of this folder. (%s may be left from a newer or older "+
		"copy of the case.)",
		path, names, would, names, them, upperFirst(it))
}

func upperFirst(s string) string { return fmt.Sprintf("%c%s", s[0]-'a'+'A', s[1:]) }
