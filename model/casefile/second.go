package casefile

import (
	"slices"

	"counterproof/model/sheets"
)

// Sheets returns the second entry of a source (Field.Source) as rows, with corrections. Rows that
// came in as sheets keep their place in the file. For rows keyed in the case, Place.File is the
// path of the row ("choice/12") and the line is 0.
func (c *Case) Sheets(source int) (*sheets.Sheets, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if source < 0 || source >= len(c.state.entries) {
		return nil, refuse(ErrRule, "the case has no source %d; it was keyed here (0) and %d cases were joined", source,
			len(c.state.entries)-1)
	}
	return c.state.entries[source].sheets(), nil
}

// SealedSheets returns the second entry of a source as it was at the last seal of the scope,
// without later corrections and amendments.
func (c *Case) SealedSheets(source int, scope Scope) (*sheets.Sheets, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	at := c.state.sealed[scope]
	if at == nil {
		return nil, refuse(ErrNotSealed, "%s are not sealed yet", scope)
	}
	if source < 0 || source >= len(at) {
		return nil, refuse(ErrRule, "the case had no source %d when %s were sealed", source, scope)
	}
	return at[source].sheets(), nil
}

// Value returns the current value of a field and its value at the seal. Empty means not keyed.
func (c *Case) Value(f Field) (now, sealed string, err error) {
	holds, _, _ := furtherField(f)
	a, ok := parseCell(holds.String())
	if !ok {
		return "", "", refuse(ErrRule, "%s is no field of the second entry", f)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if f.Source >= len(c.state.entries) {
		return "", "", refuse(ErrRule, "the case has no source %d", f.Source)
	}
	now = c.state.entries[f.Source].value(f)
	if at := c.state.sealed[scopeOf(a.table, a.column)]; f.Source < len(at) {
		sealed = at[f.Source].value(f)
	}
	return now, sealed, nil
}

// SheetsAt returns the second entry of a source as it was after an entry of the journal; nil if the
// source had not been joined yet. While an amendment is open, that is the entry as it was before the
// amendment: what is keyed again counts when it is sealed. It reads the journal again up to that
// entry.
func (c *Case) SheetsAt(seq int64, source int) (*sheets.Sheets, error) {
	var entries []Entry
	for e, err := range c.Entries(0) {
		if err != nil {
			return nil, err
		}
		if e.Seq > seq {
			break
		}
		entries = append(entries, e)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	s := newState(c.blob)
	for i := range entries {
		if err := s.fold(&entries[i]); err != nil {
			return nil, err
		}
	}
	of := s.entries
	if len(s.OpenAmendments()) > 0 {
		of = s.before
	}
	if source < 0 || source >= len(of) {
		return nil, nil
	}
	return of[source].sheets(), nil
}

// SheetsWith is like Sheets, as if the changes had been made. It records nothing.
func (c *Case) SheetsWith(source int, changes []Change) (*sheets.Sheets, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	k, err := c.with(source, changes)
	if err != nil {
		return nil, err
	}
	return k.sheets(), nil
}

// with returns the second entry of a source as if the changes had been made. If tables are named,
// it has only those.
func (c *Case) with(source int, changes []Change, only ...Table) (*Tables, error) {
	if source < 0 || source >= len(c.state.entries) {
		return nil, refuse(ErrRule, "the case has no source %d", source)
	}
	if len(changes) == 0 {
		return c.state.entries[source], nil
	}
	changes = c.state.stored(changes, nil)
	list, err := cells(changes)
	if err != nil {
		return nil, err
	}
	k := newKeyed()
	for t := range tables {
		if len(only) == 0 || slices.Contains(only, t) {
			k.tables[t] = c.state.entries[source].tables[t].clone()
		}
	}
	for i := range list {
		if err := c.state.inReach(&list[i], len(list), nil); err != nil {
			return nil, err
		}
		if int(list[i].source) == source {
			k.set(list[i], changes[i].Value)
		}
	}
	return k, nil
}

// Rows returns the nonempty rows of a table of a source, by number.
func (c *Case) Rows(source int, t Table) ([]KeyedRow, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if source < 0 || source >= len(c.state.entries) || t >= tables {
		return nil, refuse(ErrRule, "the case has no source %d", source)
	}
	return c.state.entries[source].list(t), nil
}

// ContestSheets returns, as if the changes had been made, only the rows that a correction of
// wording affects: the parties, and the contests of some rows (of tables Contests and Choices) with
// their choices. It records nothing.
func (c *Case) ContestSheets(source int, changes []Change, of ...Row) (*sheets.Sheets, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	entry, err := c.with(source, changes, Parties, Contests, Choices)
	if err != nil {
		return nil, err
	}
	contests := map[int]bool{}
	for _, r := range of {
		switch r.Table {
		case Contests:
			contests[r.Row] = true
		case Choices:
			contests[reference(entry.get(Choices, r.Row, 0))] = true
		}
	}
	return entry.contestSheets(contests), nil
}
