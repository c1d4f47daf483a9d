package files

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// File is a regular file that is open for reading. It ends where it ended when it was
// opened: one that grows or shrinks meanwhile gives an error that wraps ErrChanged.
type File struct {
	file *os.File
	path string
	info fs.FileInfo
	at   int64
}

// Open opens a regular file for reading, also through a link. What is none is refused
// by its kind before it is opened: opening a pipe waits for a writer, and opening some
// devices acts on them. Errors are of type *Error.
func Open(path string) (*File, error) { return open(path, os.Stat) }

// OpenPlain is Open, and refuses a link: it may lead elsewhere.
func OpenPlain(path string) (*File, error) { return open(path, os.Lstat) }

func open(path string, stat func(string) (fs.FileInfo, error)) (*File, error) {
	seen, err := stat(path)
	if err != nil {
		return nil, unread(path, err)
	}
	if err := Plain(path, seen.Mode()); err != nil {
		return nil, err
	}
	// Whatever takes its place between the two: opening it waits for nobody.
	file, err := os.OpenFile(path, os.O_RDONLY|openAtOnce, 0)
	if err != nil {
		return nil, unread(path, err)
	}
	opened, err := file.Stat()
	if err != nil {
		_ = file.Close()
		return nil, unread(path, err)
	}
	if !opened.Mode().IsRegular() || !os.SameFile(seen, opened) {
		_ = file.Close()
		return nil, &Error{path, "the file was exchanged while it was being opened", "try again", ErrChanged}
	}
	return &File{file: file, path: path, info: opened}, nil
}

// Size is its size in bytes, as it was when the file was opened.
func (f *File) Size() int64 { return f.info.Size() }

// AtMost is an ErrTooLong where the file has more bytes, of type *Error.
func (f *File) AtMost(most int64) error {
	if f.Size() <= most {
		return nil
	}
	return &Error{f.path, fmt.Sprintf("the file has %d bytes, and %d are the most here", f.Size(), most),
		"check that it is the right file", ErrTooLong}
}

// Stat returns what the file was when it was opened.
func (f *File) Stat() (fs.FileInfo, error) { return f.info, nil }

// Close closes the file.
func (f *File) Close() error { return f.file.Close() }

// Read reads on. See File.
func (f *File) Read(p []byte) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	rest := f.Size() - f.at
	if rest <= 0 {
		var more [1]byte
		n, err := f.file.Read(more[:])
		if n > 0 {
			return 0, f.changed("it grew")
		}
		return 0, f.failed(err)
	}
	n, err := f.file.Read(p[:min(int64(len(p)), rest)])
	f.at += int64(n)
	if err == io.EOF && f.at < f.Size() {
		return n, f.changed("it became shorter")
	}
	return n, f.failed(err)
}

// failed is an error of reading in words; the end of the file stays io.EOF.
func (f *File) failed(err error) error {
	if err == nil || err == io.EOF {
		return err
	}
	return unread(f.path, err)
}

func (f *File) changed(how string) error {
	return &Error{f.path, "the file changed while it was read: " + how,
		"wait until whatever writes it is done, and do it again", ErrChanged}
}

// Read reads a regular file of at most so many bytes; a longer one is an ErrTooLong. Errors are of type *Error.
func Read(path string, most int64) ([]byte, error) {
	f, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() // it is read alone
	if err := f.AtMost(most); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.Grow(int(f.Size()) + bytes.MinRead)
	if _, err := b.ReadFrom(f); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Plain says what stands in the place of a regular file; nil for one.
func Plain(path string, mode fs.FileMode) error {
	e := &Error{Path: path, Err: fs.ErrInvalid}
	switch {
	case misnamed(path) != "":
		e.Fault, e.Remedy = misnamed(path), "give a file"
	case mode.IsRegular():
		return nil
	case mode&fs.ModeSymlink != 0:
		e.Fault, e.Remedy = "is a link, where a plain file has to be", "copy it again from where it was kept"
	case mode.IsDir():
		e.Fault, e.Remedy = "is a folder, not a file", "name the file in it"
	case mode&fs.ModeNamedPipe != 0:
		e.Fault, e.Remedy = "is a pipe, not a file", "save it to a file first, and give that file"
	case mode&fs.ModeSocket != 0:
		e.Fault, e.Remedy = "is a socket, not a file", "save it to a file first, and give that file"
	case mode&fs.ModeDevice != 0:
		e.Fault, e.Remedy = "is a device, not a file", "save it to a file first, and give that file"
	default:
		e.Fault, e.Remedy = "is no ordinary file", "save it to a file first, and give that file"
	}
	return e
}

// unread says why a file cannot be read.
func unread(path string, err error) error {
	e := &Error{path, fmt.Sprintf("cannot be read (%v)", cause(err)), "check the file and its place", err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Fault, e.Remedy = "there is no such file", "check the name"
	case errors.Is(err, fs.ErrPermission):
		e.Remedy = "ask for the right to read it, or give another file"
	}
	return e
}

// Folder is a folder of files to read, whose files Open opens: a pipe or a device among
// them is refused. Its errors of opening are of type *Error.
func Folder(dir string) fs.FS { return folder(dir) }

type folder string

// Open opens a file of the folder, or the folder itself as ".".
func (d folder) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	path := filepath.Join(string(d), filepath.FromSlash(name))
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return os.DirFS(string(d)).Open(name)
	}
	f, err := Open(path)
	if err != nil {
		return nil, err // no typed nil
	}
	return f, nil
}

// ReadDir lists the folder.
func (d folder) ReadDir(name string) ([]fs.DirEntry, error) {
	return fs.ReadDir(os.DirFS(string(d)), name)
}
