package session

import (
	"time"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Background does work away from the window, and shows a fault of the program itself.
type Background interface {
	Away(what string, do func() error, then func(error))
	Fault(err error)
}

// Comparing is what is done where somebody asks how the case stands.
const Comparing = "Comparing the two entries"

// Comparison asks how the case stands, away from the window, once for each head of the
// journal. The zero Comparison has asked nothing.
type Comparison struct {
	of     casefile.Digest
	asking bool
}

// Of is the journal's head that the last answer is of.
func (c *Comparison) Of() casefile.Digest { return c.of }

// Forget has the next Ask ask again.
func (c *Comparison) Forget() { c.of = casefile.Digest{} }

// Ask asks, unless it was asked for this head of the journal before, and calls then with
// the answer. What was recorded meanwhile is asked for in its turn; an answer about
// another case than the open one is dropped.
func (c *Comparison) Ask(s *Session, w Background, then func(*review.Snapshot, error)) {
	r, state := s.Review(), s.State()
	if r == nil || c.asking || c.of == state.Head {
		return
	}
	head := state.Head
	c.asking = true
	var snapshot *review.Snapshot
	w.Away(Comparing, func() (err error) {
		snapshot, err = r.Now()
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

// Local is a time of the record on the clock of this machine.
func Local(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Local().Format("2 January 2006, 15:04:05 MST")
}
