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
	c.options.Context = nil // for this opening alone
	if ctx == nil {
		ctx = context.Background()
	}
	last, err := foldAll(ctx, c.conn, c.path, &ch, c.state, c.options.upto)
	if err != nil {
		return err
	}
	// One signature stands for the whole journal before it: if the last holds, the
	// entries before it are those that were signed over. Verify checks them all.
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

// show makes the state as it stands the one that is shown. The caller holds view, or
// has the case alone.
func (c *Case) show() { c.shown.Store(c.state.snapshot()) }

// errEnough ends reading where no more is wanted.
var errEnough = errors.New("enough")

// foldAll folds entries after the state's last, as far as upto if that is not 0, and
// returns the last signed one.
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
