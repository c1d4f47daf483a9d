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

// Record is where the second entry is kept: a *casefile.Keying, and in tests one
// whose disk fails.
type Record interface {
	Set(changes ...casefile.Change) error
	May(changes ...casefile.Change) error
	Undo() (bool, error)
	Redo() (bool, error)
	Can() (undo, redo bool)
	Tables() *casefile.Tables
	Sealed(scope casefile.Scope) bool
	Reopened() []casefile.Row
}

// retryEvery is how long the worker waits before it tries again what the disk did
// not take.
const retryEvery = 2 * time.Second

// closeWait is how long closing the desk waits for the disk.
const closeWait = 3 * time.Second

// ErrSlowDisk: the disk had not taken everything when the wait for it ended.
var ErrSlowDisk = errors.New("wait for it, look at its cable, or work on another disk")

// act is one entry for the record, in the order of keying.
type act struct {
	kind actKind
	// changes are what the act sets as this desk shows it; an undo that reaches
	// back before this sitting does not know them.
	changes []casefile.Change
	// rows and the rest are read back after an act that ends with reading.
	seen *reading
}

type actKind uint8

const (
	actKey actKind = iota
	actUndo
	actRedo
	// The same for what was keyed in an earlier sitting: what stands is read again.
	actUndoEarlier
	actRedoEarlier
	actRead
)

// reading is what stands in the record.
type reading struct {
	tables         *casefile.Tables
	ballots, units bool // sealed
	reopened       map[int]bool
	undo, redo     bool
}

func read(r Record) *reading {
	s := &reading{tables: r.Tables(), ballots: r.Sealed(casefile.ScopeBallots), units: r.Sealed(casefile.ScopeUnits), reopened: map[int]bool{}}
	s.undo, s.redo = r.Can()
	for _, row := range r.Reopened() {
		if row.Source == 0 {
			s.reopened[row.Row] = true
		}
	}
	return s
}

// committer puts acts on disk, one after the other, away from the screen. What the
// disk does not take stays first in the queue and is tried again; nothing that was
// typed is lost or overtaken.
type committer struct {
	record Record
	// post runs a function on the goroutine that owns the desk; nil commits at
	// once, within push.
	post func(func())
	// done is called, through post, for each act that left the queue, with why the
	// record refused it; stuck when the disk begins to fail or works again.
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

// keeping is what the committer does, for a panic's error.
const keeping = "putting what was keyed on the disk"

func (c *committer) push(a act) {
	c.mu.Lock()
	c.queue = append(c.queue, a)
	c.mu.Unlock()
	c.nudge()
}

// nudge starts the work, or starts it again after a fault.
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

// step does the first act of the queue and reports whether to go on.
func (c *committer) step() bool {
	c.mu.Lock()
	if len(c.queue) == 0 {
		c.idle.Broadcast()
		c.mu.Unlock()
		return false
	}
	a := c.queue[0]
	c.mu.Unlock()

	// A panic is like a disk that fails: the act stays first, and is tried again.
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
	case actUndo, actUndoEarlier:
		_, err = c.record.Undo()
	case actRedo, actRedoEarlier:
		_, err = c.record.Redo()
	}
	if a.kind >= actUndoEarlier || errors.Is(err, casefile.ErrSealed) || errors.Is(err, casefile.ErrRule) {
		a.seen = read(c.record)
	}
	return err
}

// flush waits until everything is on disk, the disk fails, or the context is done. A
// disk may hang: what waits here is never the screen's goroutine, but for a moment.
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

// close ends the work. What is still on its way to the disk goes on its way.
func (c *committer) close() error {
	c.mu.Lock()
	c.fault = nil // one more try
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
