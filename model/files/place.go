package files

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// CaseExtension is the end of the name of a case.
const CaseExtension = ".counterproof"

// beside are the ends of names of what lies beside a database that is in use (SQLite,
// "Temporary Files Used By SQLite"), and the lease of a case.
var beside = []string{"-wal", "-shm", "-journal", ".lease"}

// Place is where a file is to be written.
type Place struct {
	Path string
	// Replace: an ordinary file of that name may be replaced.
	Replace bool
	// Inputs are the files and folders that what is written is made from. Neither they
	// nor what is in the folders is ever replaced, under whatever name.
	Inputs []string
	// Case: a case is written; no other file may be called like one.
	Case bool
	// Private: it is for its owner alone. Else a file that is replaced hands its
	// permissions down.
	Private bool
}

// Check says whether the file may be written there. It is an error that wraps ErrThere
// where an ordinary file is there, which Replace would allow, and one that wraps
// ErrRefused where Replace changes nothing. Errors are of type *Error.
func (p Place) Check() error {
	_, err := p.look()
	return err
}

// target is a place that may be written to.
type target struct {
	path string      // without links
	info fs.FileInfo // what is replaced; nil for nothing
}

func (p Place) look() (target, error) {
	t := target{path: p.Path}
	if p.Path == "" {
		return t, p.refused("no name is given", "name the file to write")
	}
	at, err := os.Stat(p.Path)
	link, errLink := os.Lstat(p.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && errLink == nil:
		return t, p.refused("is a link that leads nowhere", "name the file itself")
	case errors.Is(err, fs.ErrNotExist):
		at = nil
	case err != nil:
		return t, unwritten(p.Path, "", err)
	case errLink == nil && link.Mode()&fs.ModeSymlink != 0 && at.Mode().IsRegular():
		if t.path, err = filepath.EvalSymlinks(p.Path); err != nil {
			return t, p.refused("is a link that leads nowhere", "name the file itself")
		}
	}
	if err := p.mayBe(at, t.path); err != nil {
		return t, err
	}
	if at != nil && !p.Replace {
		return t, &Error{p.Path, ErrThere.Error(), "choose another name", ErrThere}
	}
	t.info = at
	return t, nil
}

// mayBe refuses what Replace changes nothing about. at is what is there, or nil.
func (p Place) mayBe(at fs.FileInfo, path string) error {
	const other = "choose another place"
	switch {
	case misnamed(p.Path) != "":
		return p.refused(misnamed(p.Path), other)
	case at == nil, at.Mode().IsRegular():
	case at.IsDir():
		return p.refused("is a folder", "give the name of a file to write")
	default:
		return p.refused(kind(at.Mode()), other+"; what goes to the screen or a pipe needs no file")
	}
	if err := p.notInput(at, path); err != nil {
		return err
	}
	for _, name := range []string{p.Path, path} {
		if of, ok := besideCase(name); ok {
			return p.refused("is for the program's own use beside the case "+of, other)
		}
		called := strings.EqualFold(filepath.Ext(name), CaseExtension)
		if called && at != nil {
			return p.refused("is there already and has the name of a case, over which nothing is ever written",
				"choose another name")
		}
		if called && !p.Case {
			return p.refused("is the name of a case, which is not what is written", "choose another name")
		}
	}
	for _, end := range beside {
		if _, err := os.Lstat(path + end); p.Case && err == nil {
			return p.refused("there is "+filepath.Base(path)+end+" beside it, which a case of this name would take for its own",
				"choose another name")
		}
	}
	if at == nil {
		return nil
	}
	for _, stream := range []*os.File{os.Stdin, os.Stdout, os.Stderr} {
		if info, err := stream.Stat(); err == nil && os.SameFile(at, info) {
			return p.refused("is what this program reads from or writes to already, by < or >", other)
		}
	}
	what, err := database(path)
	if err != nil {
		return p.refused(fmt.Sprintf("cannot be looked at before it is replaced (%v)", cause(err)), other)
	}
	if what != "" {
		return p.refused(what, "choose another name; move it away yourself if it is not needed")
	}
	return nil
}

func (p Place) refused(fault, remedy string) error { return &Error{p.Path, fault, remedy, ErrRefused} }

func kind(mode fs.FileMode) string {
	switch {
	case mode&fs.ModeNamedPipe != 0:
		return "is a pipe"
	case mode&fs.ModeSocket != 0:
		return "is a socket"
	case mode&fs.ModeDevice != 0:
		return "is a device"
	}
	return "is no ordinary file"
}

// besideCase reports whether a name is that of a file beside a case or another database,
// and of which.
func besideCase(name string) (of string, ok bool) {
	for _, end := range beside {
		if len(name) <= len(end) || !strings.EqualFold(name[len(name)-len(end):], end) {
			continue
		}
		of = name[:len(name)-len(end)]
		if strings.EqualFold(filepath.Ext(of), CaseExtension) {
			return of, true
		}
		if what, err := database(of); err == nil && what != "" {
			return of, true
		}
	}
	return "", false
}

// notInput refuses a place that is an input, by whatever name, or in a folder of inputs.
func (p Place) notInput(at fs.FileInfo, path string) error {
	const remedy = "choose another place"
	for _, input := range p.Inputs {
		in, err := os.Stat(input)
		if err != nil {
			continue // reading it will say so
		}
		if at != nil && os.SameFile(at, in) {
			return p.refused("is what this command reads, and is never written over", remedy)
		}
		if !in.IsDir() {
			continue
		}
		if within(path, in) {
			return p.refused(fmt.Sprintf("is in the folder %s, which this command reads", input), remedy)
		}
		if at == nil {
			continue
		}
		held, err := os.ReadDir(input)
		if err != nil {
			continue
		}
		for _, h := range held {
			if info, err := os.Stat(filepath.Join(input, h.Name())); err == nil && os.SameFile(at, info) {
				return p.refused("is the same file as "+filepath.Join(input, h.Name())+", which this command reads", remedy)
			}
		}
	}
	return nil
}

// within reports whether a path is below a folder.
func within(path string, folder fs.FileInfo) bool {
	up, err := filepath.Abs(path)
	if err != nil {
		return false
	}
	if real, err := filepath.EvalSymlinks(filepath.Dir(up)); err == nil {
		up = filepath.Join(real, filepath.Base(up))
	}
	for dir := filepath.Dir(up); ; dir = filepath.Dir(dir) {
		if info, err := os.Stat(dir); err == nil && os.SameFile(info, folder) {
			return true
		}
		if dir == filepath.Dir(dir) {
			return false
		}
	}
}

// database says what an SQLite file is (SQLite file format, sections 1.2, 3 and 4.1: the
// magic numbers of a database, a rollback journal and a write-ahead log); "" for any
// other file. A case that this program has open is to be refused before, as an input:
// where it is closed here, its database loses its locks (POSIX, fcntl).
func database(path string) (what string, err error) {
	f, err := Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close() // it is read alone
	first := make([]byte, 16)
	n, err := io.ReadFull(f, first)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return "", err
	}
	first = first[:n]
	switch {
	case bytes.HasPrefix(first, []byte("SQLite format 3\x00")):
		return "is a case or another database already, which is never written over", nil
	case bytes.HasPrefix(first, []byte{0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7}):
		return "is the journal of a database, which is never written over", nil
	case bytes.HasPrefix(first, []byte{0x37, 0x7f, 0x06, 0x82}), bytes.HasPrefix(first, []byte{0x37, 0x7f, 0x06, 0x83}):
		return "is the log of a database, which is never written over", nil
	}
	return "", nil
}

// Unused returns a name with the ending that no file has yet: "report.pdf", "report 2.pdf".
func Unused(base, ending string) string {
	path := base + "." + ending
	for n := 2; n < 1000; n++ {
		if _, err := os.Lstat(path); err != nil {
			return path
		}
		path = fmt.Sprintf("%s %d.%s", base, n, ending)
	}
	return path
}
