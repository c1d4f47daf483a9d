//go:build unix

package files

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// openAtOnce: a pipe without a writer is opened without waiting for one, and no terminal
// becomes the program's.
const openAtOnce = syscall.O_NONBLOCK | syscall.O_NOCTTY

// move gives a file or folder another name; a file that has it is replaced if asked.
func move(from, to string, replace bool) error {
	if replace {
		return os.Rename(from, to)
	}
	// A link is made only where nothing is, whoever else makes a file meanwhile.
	err := os.Link(from, to)
	switch {
	case err == nil:
		return os.Remove(from)
	case errors.Is(err, fs.ErrExist):
		return err
	}
	// Sticks are often formatted without links.
	if _, err := os.Lstat(to); err == nil {
		return &fs.PathError{Op: "rename", Path: to, Err: fs.ErrExist}
	}
	return os.Rename(from, to)
}

// NoRoom reports whether the system refused something because a disk is full.
func NoRoom(err error) bool { return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) }

// Protected reports whether the system refused something because a disk is write-protected.
func Protected(err error) bool { return errors.Is(err, syscall.EROFS) }
