package casefile

import (
	"errors"
	"strconv"
	"syscall"
)

// From Microsoft's "Process Security and Access Rights" and "System Error Codes (0-499)".
const (
	queryLimitedInformation               = 0x1000
	errorInvalidParameter   syscall.Errno = 87
)

// processStart distinguishes a process from a later one with the same number; empty if the system
// does not say.
func processStart(pid int) string {
	p, err := openProcess(pid)
	if err != nil {
		return ""
	}
	defer syscall.CloseHandle(p)
	return startOf(p)
}

func openProcess(pid int) (syscall.Handle, error) {
	return syscall.OpenProcess(queryLimitedInformation|syscall.SYNCHRONIZE, false, uint32(pid))
}

// startOf returns when a process was created, in nanoseconds.
func startOf(p syscall.Handle) string {
	var created, ended, kernel, user syscall.Filetime
	if syscall.GetProcessTimes(p, &created, &ended, &kernel, &user) != nil {
		return ""
	}
	return strconv.FormatInt(created.Nanoseconds(), 10)
}

// processGone reports whether a process of this machine has ended; known is false if the system
// cannot be asked, as about a process of another account.
func processGone(pid int, start string) (gone, known bool) {
	if pid <= 0 {
		return false, false
	}
	p, err := openProcess(pid)
	switch {
	case errors.Is(err, errorInvalidParameter):
		return true, true // no process has this number
	case err != nil:
		return false, false
	}
	defer syscall.CloseHandle(p)
	// A process that ended keeps its number while another program has a handle to it.
	if waited, err := syscall.WaitForSingleObject(p, 0); err == nil && waited == syscall.WAIT_OBJECT_0 {
		return true, true
	}
	now := startOf(p)
	return start != "" && now != "" && now != start, true
}
