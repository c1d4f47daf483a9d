//go:build unix

package casefile

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"syscall"
)

// processStart distinguishes a process from a later one with the same number; empty if the system
// does not say.
func processStart(pid int) string {
	start, _ := processStat(pid)
	return start
}

// processStat returns when a process started and its state; empty if the system does not say
// (proc(5), /proc/PID/stat, fields 22 and 3).
func processStat(pid int) (start, state string) {
	b, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return "", ""
	}
	// The second field is a name in parentheses that may contain anything.
	s := string(b)
	fields := strings.Fields(s[strings.LastIndexByte(s, ')')+1:])
	const first = 3
	if len(fields) <= 22-first {
		return "", ""
	}
	return fields[22-first], fields[0]
}

// processGone reports whether a process of this machine has ended; known is false if the system
// cannot be asked.
func processGone(pid int, start string) (gone, known bool) {
	if pid <= 0 {
		return false, false
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return false, false
	}
	err = p.Signal(syscall.Signal(0))
	switch {
	case errors.Is(err, os.ErrProcessDone) || errors.Is(err, syscall.ESRCH):
		return true, true
	case err != nil && !errors.Is(err, syscall.EPERM):
		return false, false
	}
	now, state := processStat(pid)
	if state == "Z" || state == "X" || state == "x" {
		return true, true // it ended, and its parent has not collected its exit status
	}
	return start != "" && now != "" && now != start, true
}
