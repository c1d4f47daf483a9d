package session

import (
	"context"
	"time"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Background does work on another goroutine, and shows internal errors of the program.
type Background interface {
	// Told returns a context that tells the share of a long act that is done, on the main goroutine.
	Told(tell func(done float64)) context.Context
	Away(what string, do func() error, then func(error))
	Fault(err error)
}

// Comparing describes the work while the state of the case is computed.
const Comparing = "Comparing the two entries"

// Comparison computes the state of the case in the background, once for each head of the journal.
// The zero Comparison has computed nothing.
type Comparison struct {
	of     casefile.Digest
	asking bool
	// Tell, if set, shows the share of the work that is done.
	Tell func(done float64)
}

// Of returns the journal head that the last result belongs to.
func (c *Comparison) Of() casefile.Digest { return c.of }

// Forget makes the next Ask compute again.
func (c *Comparison) Forget() { c.of = casefile.Digest{} }

// Ask computes the state unless it already did for this head of the journal, and calls then with
// the result. If something was recorded in the meantime, it computes again. It drops a result for a
// case that is no longer open.
func (c *Comparison) Ask(s *Session, w Background, then func(*review.Snapshot, error)) {
	r, state := s.Review(), s.State()
	if r == nil || c.asking || c.of == state.Head {
		return
	}
	head := state.Head
	c.asking = true
	var snapshot *review.Snapshot
	ctx := context.Background()
	if c.Tell != nil {
		ctx = w.Told(c.Tell)
	}
	w.Away(Comparing, func() (err error) {
		snapshot, err = r.NowContext(ctx)
		return err
	}, func(err error) {
		c.asking = false
		if r != s.Review() {
			return
		}
		c.of = head
		then(snapshot, err)
		w.Fault(err)
		c.Ask(s, w, then)
	})
}

// Local returns a time of the record in this machine's time zone.
func Local(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Local().Format("2 January 2006, 15:04:05 MST")
}
