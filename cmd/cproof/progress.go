package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"github.com/clipperhouse/displaywidth"

	"counterproof/model/guard"
)

// progress shows on a terminal what the program is doing, if it takes longer than a second. If the
// output is not a terminal, it is silent: a log has no use for it.
type progress struct {
	out  io.Writer
	stop chan struct{}
	done sync.WaitGroup

	mu   sync.Mutex
	what string
}

// startProgress shows progress on out if show is true. The caller must call finish before anything
// else is written to the terminal.
func startProgress(out io.Writer, show bool, what string) *progress {
	p := &progress{out: out, what: what, stop: make(chan struct{})}
	if show {
		p.done.Go(func() {
			// A failure to show progress must not end the program.
			_ = guard.Run("showing what is being done", func() error { p.run(); return nil })
		})
	}
	return p
}

// now sets the current activity.
func (p *progress) now(what string) {
	p.mu.Lock()
	p.what = what
	p.mu.Unlock()
}

// finish removes the line.
func (p *progress) finish() {
	select {
	case <-p.stop:
		return
	default:
	}
	close(p.stop)
	p.done.Wait()
}

func (p *progress) run() {
	began := time.Now()
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	last := 0
	for {
		select {
		case <-p.stop:
			p.erase(last)
			return
		case <-tick.C:
			p.mu.Lock()
			what := p.what
			p.mu.Unlock()
			p.erase(last)
			line := fmt.Sprintf("%s … %d s", what, int(time.Since(began).Seconds()))
			fmt.Fprint(p.out, line)
			last = displaywidth.String(line)
		}
	}
}

// erase removes a line of so many columns, without escape sequences, which a console may not obey.
func (p *progress) erase(columns int) {
	if columns > 0 {
		fmt.Fprint(p.out, "\r"+strings.Repeat(" ", columns)+"\r")
	}
}
