package casefile

import (
	"context"
	"database/sql"
	"errors"
)

// load checks the layout and folds the journal.
func (c *Case) load() error {
	if err := checkLayout(c.conn, c.path); err != nil {
		return err
	}
	ch := chain{}
	ctx := c.options.Context
	c.options.Context = nil // applies only to this opening
	if ctx == nil {
		ctx = context.Background()
	}
	last, err := foldAll(ctx, c.conn, c.path, &ch, c.state, c.options.upto)
	if err != nil {
		return err
	}
	// A signature covers the whole journal before it: if the last signature is valid, the earlier
	// entries are the ones that were signed. Verify checks all signatures.
	if last != nil {
		if fault := c.state.holds(last); fault != "" {
			return &BrokenError{c.path, last.Seq, fault + ": it, or an entry before it, was changed"}
		}
	}
	if c.state.Seq == 0 {
		return &BrokenError{c.path, 0, "the journal is empty"}
	}
	return nil
}

// show publishes the current state. The caller holds view, or has the only reference to the case.
func (c *Case) show() { c.shown.Store(c.state.snapshot()) }

// errEnough ends reading early, when no more is wanted.
var errEnough = errors.New("enough")

// foldAll folds the entries after the state's last one, up to upto if it is not 0, and returns the
// last signed entry.
func foldAll(ctx context.Context, conn *sql.Conn, path string, ch *chain, s *State, upto int64) (last *Entry,
	err error) {
	err = readEntries(conn, s.Seq, func(e *Entry) error {
		if upto > 0 && e.Seq > upto {
			return errEnough
		}
		if e.Seq%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if fault := ch.next(e); fault != "" {
			return &BrokenError{path, ch.seq + 1, fault}
		}
		if err := s.fold(e); err != nil {
			var broken *BrokenError
			if errors.As(err, &broken) {
				return &BrokenError{path, e.Seq, broken.Fault}
			}
			return &BrokenError{path, e.Seq, "it says what cannot have been recorded: " + err.Error()}
		}
		if s.SignedSeq == e.Seq {
			signed := *e
			last = &signed
		}
		return nil
	})
	if errors.Is(err, errEnough) {
		err = nil
	}
	return last, err
}
