package desk

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"counterproof/model/casefile"
	"counterproof/model/guard"
)

// Record stores the second entry: a *casefile.Keying or, in tests, one with a failing disk.
type Record interface {
	Set(changes ...casefile.Change) error
	May(changes ...casefile.Change) error
	Undo() (bool, error)
	Redo() (bool, error)
	Tables() *casefile.Tables
	Sealed(scope casefile.Scope) bool
	Reopened() []casefile.Row
	Again(contest int, name string) []int
}

// retryEvery is the pause before another attempt to write what the disk did not accept.
const retryEvery = 2 * time.Second

// closeWait is how long closing the desk waits for the disk.
const closeWait = 3 * time.Second

// ErrSlowDisk: the disk had not accepted everything when the wait ended.
var ErrSlowDisk = errors.New("wait for it, look at its cable, or work on another disk")

// act is one entry for the record; acts are in the order of keying.
type act struct {
	kind actKind
	// changes are the changes that this desk already shows.
	changes []casefile.Change
	// seen is read back after an act that ends with reading the record.
	seen *reading
}

type actKind uint8

const (
	actKey actKind = iota
	actUndo
	actRedo
	actRead // reads the record again
)

// reading is the current content of the record.
type reading struct {
	tables         *casefile.Tables
	ballots, units bool // whether sealed
	reopened       map[int]bool
}

func read(r Record) *reading {
	s := &reading{tables: r.Tables(), ballots: r.Sealed(casefile.ScopeBallots), units: r.Sealed(casefile.ScopeUnits),
		reopened: map[int]bool{}}
	for _, row := range r.Reopened() {
		if row.Source == 0 {
			s.reopened[row.Row] = true
		}
	}
	return s
}

// committer writes acts to disk, one after the other, in the background. An act that the disk does
// not accept stays first in the queue and is tried again. No act is lost, and none overtakes
// another.
type committer struct {
	record Record
	// post runs a function on the goroutine that owns the desk; nil means that push commits at
	// once.
	post func(func())
	// done is called, through post, for each act that left the queue, with the record's reason if
	// it was refused. stuck is called when the disk begins to fail or works again.
	done  func(act, error)
	stuck func(error)

	mu     sync.Mutex
	queue  []act
	fault  error
	closed bool
	wake   chan struct{}
	idle   sync.Cond
}

func newCommitter(r Record, post func(func()), done func(act, error), stuck func(error)) *committer {
	c := &committer{record: r, post: post, done: done, stuck: stuck, wake: make(chan struct{}, 1)}
	c.idle.L = &c.mu
	if post != nil {
		go c.work()
	}
	return c
}

// keeping describes the committer's work in the error of a panic.
const keeping = "putting what was keyed on the disk"

func (c *committer) push(a act) {
	c.mu.Lock()
	c.queue = append(c.queue, a)
	c.mu.Unlock()
	c.nudge()
}

// nudge starts the work, or restarts it after a fault.
func (c *committer) nudge() {
	if c.post == nil {
		for c.step() {
		}
		return
	}
	select {
	case c.wake <- struct{}{}:
	default:
	}
}

func (c *committer) work() {
	for {
		for c.step() {
		}
		c.mu.Lock()
		wait := time.Duration(-1)
		if c.fault != nil && len(c.queue) > 0 {
			wait = retryEvery
		}
		closed := c.closed
		c.mu.Unlock()
		if closed {
			return
		}
		var timer <-chan time.Time
		if wait >= 0 {
			timer = time.After(wait)
		}
		select {
		case <-c.wake:
		case <-timer:
		}
	}
}

// step performs the first act of the queue and reports whether to continue.
func (c *committer) step() bool {
	c.mu.Lock()
	if len(c.queue) == 0 {
		c.idle.Broadcast()
		c.mu.Unlock()
		return false
	}
	a := c.queue[0]
	c.mu.Unlock()

	// A panic is treated like a failing disk: the act stays first and is tried again.
	err := guard.Run(keeping, func() error { return c.run(&a) })
	if err != nil && !errors.Is(err, casefile.ErrSealed) && !errors.Is(err, casefile.ErrRule) {
		c.mu.Lock()
		c.fault = err
		c.idle.Broadcast()
		c.mu.Unlock()
		c.tell(func() { c.stuck(err) })
		return false
	}
	c.mu.Lock()
	c.queue = c.queue[1:]
	was := c.fault
	c.fault = nil
	c.mu.Unlock()
	c.tell(func() {
		if was != nil {
			c.stuck(nil)
		}
		c.done(a, err)
	})
	return true
}

func (c *committer) tell(f func()) {
	if c.post == nil {
		f()
		return
	}
	c.post(f)
}

func (c *committer) run(a *act) (err error) {
	switch a.kind {
	case actKey:
		err = c.record.Set(a.changes...)
		if errors.Is(err, casefile.ErrSealed) || errors.Is(err, casefile.ErrRule) {
			a.seen = read(c.record)
		}
		return err
	case actUndo:
		_, err = c.record.Undo()
	case actRedo:
		_, err = c.record.Redo()
	}
	if a.kind == actRead || errors.Is(err, casefile.ErrSealed) || errors.Is(err, casefile.ErrRule) {
		a.seen = read(c.record)
	}
	return err
}

// flush waits until everything is on disk, the disk fails, or the context is done. A disk may hang,
// so the screen's goroutine must not wait here for more than a moment.
func (c *committer) flush(ctx context.Context) error {
	c.nudge()
	c.mu.Lock()
	defer c.mu.Unlock()
	defer context.AfterFunc(ctx, func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		c.idle.Broadcast()
	})()
	for len(c.queue) > 0 && c.fault == nil && c.post != nil && ctx.Err() == nil {
		c.idle.Wait()
	}
	switch {
	case len(c.queue) == 0:
		return nil
	case c.fault != nil:
		return fmt.Errorf("%d entries are not on the disk: %w", len(c.queue), c.fault)
	case ctx.Err() != nil:
		return fmt.Errorf("%d entries are not on the disk yet, which does not answer: %w", len(c.queue), ErrSlowDisk)
	}
	return nil
}

// close ends the work. Acts that are already being written continue.
func (c *committer) close() error {
	c.mu.Lock()
	c.fault = nil // one more attempt
	c.mu.Unlock()
	ctx, cancel := context.WithTimeout(context.Background(), closeWait)
	defer cancel()
	err := c.flush(ctx)
	c.mu.Lock()
	c.closed = true
	c.mu.Unlock()
	c.nudge()
	return err
}
