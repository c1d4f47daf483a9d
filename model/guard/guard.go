// Package guard turns a panic into an error. A panic in a goroutine ends the program,
// whatever the others hold: so whatever is read, compared or written away from the main
// goroutine runs in Run.
//
// It cannot hold what Go does not let anybody recover from: two goroutines in one map, a
// stack or a machine without room.
package guard

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"sync/atomic"
)

// Fault is a panic as an error. It is a fault of the program, and its text says so.
type Fault struct {
	// While says what was being done, such as "reading the export".
	While string
	// Value is what was panicked with.
	Value any
	// Where are the calls that led there, the innermost first, each with file and line.
	Where []string
}

// TraceVariable is the environment variable with which a Fault's text says where it was.
const TraceVariable = "CPROOF_TRACE"

// Error says on one line what happened and what to do; with TraceVariable set, where.
func (f *Fault) Error() string {
	where := ""
	if os.Getenv(TraceVariable) != "" {
		where = "; " + strings.Join(f.Where, " < ")
	}
	return fmt.Sprintf("a fault in this program, not in your files, while %s: %v; "+
		"keep the files and report it, and do not rely on this run%s", f.While, f.Value, where)
}

// Unwrap returns the error that was panicked with, if it was one.
func (f *Fault) Unwrap() error {
	err, _ := f.Value.(error)
	return err
}

// Run runs f. While says what f does, for a Fault: a panic in f becomes one.
func Run(while string, f func() error) (err error) {
	defer func() {
		if value := recover(); value != nil {
			err = &Fault{While: while, Value: value, Where: calls()}
		}
	}()
	if test := inTest.Load(); test != nil && *test == while {
		panic("on fire in a test")
	}
	return f()
}

// calls are the calls of a goroutine that panics, without those of the panic itself.
func calls() (list []string) {
	const most = 12
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(3, pcs)])
	for {
		frame, more := frames.Next()
		if !strings.HasPrefix(frame.Function, "runtime.") && frame.Function != "" && len(list) < most {
			list = append(list, fmt.Sprintf("%s (%s:%d)", frame.Function[strings.LastIndexByte(frame.Function, '/')+1:],
				frame.File[strings.LastIndexByte(frame.File, '/')+1:], frame.Line))
		}
		if !more {
			return list
		}
	}
}

var inTest atomic.Pointer[string]

// PanicIn lets every Run of that name panic until it is told to end, or the test ends. It
// is for tests, which give their *testing.T.
func PanicIn(t interface{ Cleanup(func()) }, while string) (end func()) {
	inTest.Store(&while)
	end = func() { inTest.CompareAndSwap(&while, nil) }
	t.Cleanup(end)
	return end
}
