package files

import (
	"errors"
	"os"
	"syscall"
	"time"
)

// Windows error codes, from Microsoft's "System Error Codes (0-499)".
const (
	writeProtected   syscall.Errno = 19
	sharingViolation syscall.Errno = 32
	lockViolation    syscall.Errno = 33
	handleDiskFull   syscall.Errno = 39
	diskFull         syscall.Errno = 112
)

// openAtOnce: the file system of Windows holds no pipes and no devices to wait for.
const openAtOnce = 0

// move gives a file or folder another name; a file that has it is replaced if asked. A
// virus scanner or an indexer may have the file open for a moment: that is waited for.
func move(from, to string, replace bool) error {
	var err error
	for wait := 10 * time.Millisecond; wait < 2*time.Second; wait *= 2 {
		if replace {
			err = os.Rename(from, to) // MoveFileEx with MOVEFILE_REPLACE_EXISTING
		} else {
			err = moveNew(from, to)
		}
		if !errors.Is(err, sharingViolation) && !errors.Is(err, lockViolation) &&
			!errors.Is(err, syscall.ERROR_ACCESS_DENIED) {
			return err
		}
		time.Sleep(wait)
	}
	return err
}

// moveNew moves unless there is something of that name.
func moveNew(from, to string) error {
	f, err := syscall.UTF16PtrFromString(from)
	if err != nil {
		return err
	}
	t, err := syscall.UTF16PtrFromString(to)
	if err != nil {
		return err
	}
	if err := syscall.MoveFile(f, t); err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return nil
}

// NoRoom reports whether the system refused something because a disk is full.
func NoRoom(err error) bool { return errors.Is(err, diskFull) || errors.Is(err, handleDiskFull) }

// Protected reports whether the system refused something because a disk is write-protected.
func Protected(err error) bool { return errors.Is(err, writeProtected) }
