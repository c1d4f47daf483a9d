package casefile

import "counterproof/model/sheets"

// ShownTables is ShownRows for all tables of a source, as tables of its own that the caller may
// change: a correction is prepared on them. New rows get the numbers that they would get in the case.
func (c *Case) ShownTables(source int) (*Tables, error) {
	out := newKeyed()
	for t := range tables {
		rows, err := c.ShownRows(source, t)
		if err != nil {
			return nil, err
		}
		out.tables[t].cells = make([]string, c.lastShown(source, t)*stride(t))
		for _, row := range rows {
			copy(out.rowCells(t, row.Row), row.Cells)
		}
	}
	return out, nil
}

// lastShown is the number of the last row of a table, as far as it may be known.
func (c *Case) lastShown(source int, t Table) int {
	c.view.RLock()
	defer c.view.RUnlock()
	s := c.state
	switch {
	case !s.Sealed(scopeOf(t, 0)):
		return 0
	case len(s.OpenAmendments()) > 0 && scopeOf(t, 0) == ScopeBallots:
		if source >= len(s.before) {
			return 0
		}
		return s.before[source].Last(t)
	}
	return s.entries[source].Last(t)
}

// RowAt returns the row of a table that Sheets says is at a place, 0 if none is.
func (c *Case) RowAt(source int, t Table, at sheets.Place) int {
	c.view.RLock()
	defer c.view.RUnlock()
	if source < 0 || source >= len(c.state.entries) || t >= tables || at.File == "" {
		return 0
	}
	k := c.state.entries[source]
	if a, ok := parseRow(at.File); ok && a.table == t && k.Has(t, int(a.row)) {
		return int(a.row)
	}
	for row := 1; row <= len(k.tables[t].lines); row++ {
		if at.Line > 0 && k.line(t, row) == at.Line && at.File == sheetOf[t] {
			return row
		}
	}
	return 0
}
