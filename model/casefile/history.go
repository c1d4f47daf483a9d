package casefile

// At opens the case once more, for reading, as it was after an entry of its journal:
// what was recorded later is not there. It is closed apart from the case itself.
func (c *Case) At(seq int64) (*Case, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return nil, ErrClosed
	}
	if seq < 1 || seq > c.state.Seq {
		return nil, refuse(ErrRule, "the journal has no entry %d; its last is %d", seq, c.state.Seq)
	}
	o := c.options
	o.ReadOnly, o.ReadBroken, o.upto, o.own = true, false, seq, c.lease != nil
	at := closedCase(c.path, o)
	at.readOnly = "it is shown as it was after an entry"
	if c.snapshot != nil {
		at.snapshot = c.snapshot.share()
	}
	if err := at.loaded(); err != nil {
		at.abandon()
		return nil, storage(c.path, "opening the case", err)
	}
	at.show()
	return at, nil
}
