package casefile

// At opens the case a second time, for reading, in its state after an entry of the journal, without
// everything recorded later. The result is closed separately from the case itself.
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
