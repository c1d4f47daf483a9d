package main

import (
	"fmt"
	"io"
	"sync"
	"time"

	"counterproof/model/guard"
)

// progress shows on a terminal what the program is doing, once it takes longer
// than a second. Elsewhere it is silent: a log has no use for it.
type progress struct {
	out  io.Writer
	stop chan struct{}
	done sync.WaitGroup

	mu   sync.Mutex
	what string
}

// startProgress starts showing progress on out when show is true. The caller
// must call finish before anything else is written to the terminal.
func startProgress(out io.Writer, show bool, what string) *progress {
	p := &progress{out: out, what: what, stop: make(chan struct{})}
	if show {
		p.done.Go(func() {
			// What cannot be shown ends nothing.
			_ = guard.Run("showing what is being done", func() error { p.run(); return nil })
		})
	}
	return p
}

// now says what is being done from here on.
func (p *progress) now(what string) {
	p.mu.Lock()
	p.what = what
	p.mu.Unlock()
}

// finish takes the line away.
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
	shown := false
	for {
		select {
		case <-p.stop:
			if shown {
				fmt.Fprint(p.out, "\r\x1b[K")
			}
			return
		case <-tick.C:
			p.mu.Lock()
			what := p.what
			p.mu.Unlock()
			fmt.Fprintf(p.out, "\r\x1b[K%s … %d s", what, int(time.Since(began).Seconds()))
			shown = true
		}
	}
}
