// Package files reads and writes the files that people name.
//
// What is read is a regular file: a device, a pipe or a socket, which may never end or
// never begin, is refused by its kind before it is opened. What is written has its name
// only when every byte is on the disk, and takes the place of nothing that must not be
// lost: an input of the same command, a case, any other database, a device, a pipe.
//
// It is the one place of the program that does either. A case is written by SQLite; see
// package casefile.
package files

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// Error says in one line what is wrong with a file, and what would be right.
type Error struct {
	Path, Fault, Remedy string
	// Err is the cause; nil where Fault says all. Fault already says it.
	Err error
}

// Error says it in one line.
func (e *Error) Error() string {
	line := e.Fault
	if e.Path != "" {
		line = e.Path + ": " + line
	}
	if e.Remedy != "" {
		line += "; " + e.Remedy
	}
	return line
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// ErrThere is the cause where an ordinary file stands in the place of one that is to be
// written: it may be replaced, if that is asked for.
var ErrThere = errors.New("there is a file of this name already")

// ErrRefused is the cause where a place is never written to.
var ErrRefused = errors.New("this place is never written to")

// ErrChanged is the cause where a file did not stay as it was while it was read.
var ErrChanged = errors.New("the file changed while it was read")

// ErrTooLong is the cause where a file has more bytes than are read.
var ErrTooLong = errors.New("the file is too long")

// cause is what went wrong with a file, without its path, which is said before it.
func cause(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	var call *os.SyscallError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	case errors.As(err, &call):
		return call.Err
	}
	return err
}

// ofSystem reports whether the system refused something: other errors say themselves
// what to do.
func ofSystem(err error) bool {
	var errno syscall.Errno
	var path *fs.PathError
	var link *os.LinkError
	return errors.As(err, &errno) || errors.As(err, &path) || errors.As(err, &link)
}
