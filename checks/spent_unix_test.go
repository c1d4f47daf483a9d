//go:build unix

package checks

import (
	"syscall"
	"time"
)

// spent is the processor time of this process so far, of all its threads. A busy machine
// makes a test wait and not work, so that costs are compared in this and not by the clock.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
