package casefile

// At opens the case once more, for reading, as it stood after an entry of its journal:
// what was recorded later is not there. It is closed apart from the case itself.
func (c *Case) At(seq int64) (*Case, error) {
	c.mu.Lock()
	path, options, last := c.path, c.options, c.state.Seq
	c.mu.Unlock()
	if seq < 1 || seq > last {
		return nil, refuse(ErrRule, "the journal has no entry %d; its last is %d", seq, last)
	}
	options.ReadOnly, options.ReadBroken, options.upto = true, false, seq
	return Open(path, options)
}
