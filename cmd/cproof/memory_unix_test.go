//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
)

// peakMemory is the largest resident set of a process that has ended. The system
// counts in it the moment before the program replaced its parent's image, so the
// parent must be small.
func peakMemory(state *os.ProcessState) int64 {
	usage, ok := state.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	peak := int64(usage.Maxrss)
	if runtime.GOOS == "linux" || runtime.GOOS == "freebsd" {
		peak *= 1024 // there counted in kilobytes
	}
	return peak
}
