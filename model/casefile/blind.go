package casefile

import "fmt"

// Blind is a part of the case file that only its keyer may see yet.
type Blind struct {
	// What names the part, and Ends the event that ends its blindness, in words that fit into a
	// sentence.
	What, Ends string
}

// Blind lists the parts of the file that are still blind. Only a backup copies them. An evidence
// folder contains the whole file, so it cannot be made until they are no longer blind.
func (c *Case) Blind() []Blind {
	c.view.RLock()
	defer c.view.RUnlock()
	s := c.state
	var list []Blind
	if !s.Sealed(ScopeBallots) {
		list = append(list, Blind{"the ballots, which are not sealed", "seal the ballots"})
	}
	for _, a := range s.OpenAmendments() {
		list = append(list, Blind{fmt.Sprintf("what is keyed for the amendment of entry %d, which is open", a.Seq),
			"seal the ballots again"})
	}
	if !s.Sealed(ScopeUnits) && s.unitsKeyed {
		list = append(list, Blind{"the voting units and polling sites, which are keyed and not sealed", "seal the units"})
	}
	return list
}

// ShownRows is Rows for everybody but the keyer: it leaves out what is still blind. Nothing is
// shown before its seal. While an amendment is open, the ballots are shown as they were before it.
func (c *Case) ShownRows(source int, t Table) ([]KeyedRow, error) {
	c.view.RLock()
	defer c.view.RUnlock()
	s := c.state
	if source < 0 || source >= len(s.entries) || t >= tables {
		return nil, refuse(ErrRule, "the case has no source %d", source)
	}
	from := s.entries[source]
	if len(s.OpenAmendments()) > 0 {
		if source >= len(s.before) {
			return nil, nil
		}
		if t != Units && t != Headers {
			from = s.before[source]
		}
	}
	list := from.list(t)
	var out []KeyedRow
	for _, row := range list {
		holds := false
		for column := range row.Cells {
			scope := scopeOf(t, uint8(column))
			switch {
			case !s.Sealed(scope):
				row.Cells[column] = ""
			case scope == ScopeUnits:
				row.Cells[column] = s.entries[source].get(t, row.Row, column)
			}
			holds = holds || row.Cells[column] != ""
		}
		if holds {
			out = append(out, row)
		}
	}
	return out, nil
}

// MayCorrect returns why the changes cannot be made as a correction now: what is not sealed is
// keyed instead, and what an amendment reopened is keyed again, blind. The error reveals nothing of
// what is keyed.
func (c *Case) MayCorrect(changes []Change) error {
	c.view.RLock()
	defer c.view.RUnlock()
	changes = c.state.stored(changes, nil)
	list, err := cells(changes)
	if err != nil {
		return err
	}
	values := make([]string, len(changes))
	for i, ch := range changes {
		values[i] = ch.Value
	}
	return c.state.mayCorrect(list, values, nil)
}

// mayCorrect checks that a correction may set fields, after the entries before in the same commit.
func (s *State) mayCorrect(list []cell, values []string, before *ahead) error {
	open := s.OpenAmendments()
	for i := range list {
		a := &list[i]
		// The number of rows must not be revealed either.
		scope := scopeOf(a.table, a.column)
		if s.sealed[scope] == nil {
			return refuse(ErrNotSealed, "%s is not sealed; key it, no correction is needed", a.field())
		}
		blind := scope == ScopeBallots && len(open) > 0
		if blind && int(a.source) < len(s.before) && int(a.row) > s.before[a.source].Last(a.table) {
			return refuse(ErrSealed, "%s was not there when the ballots were sealed; while the amendment of entry %d is "+
				"open nothing is added by a correction", a.field(), open[0].Seq)
		}
		if err := s.inReach(a, len(list), before); err != nil {
			return err
		}
		if blind && s.reopened(a, list, values) {
			return refuse(ErrSealed, "%s is opened by the amendment of entry %d: the second party keys it again, and it is "+
				"not shown or corrected until the ballots are sealed again", a.field(), open[0].Seq)
		}
	}
	for i := range list {
		if s.valueOf(list[i], before) != values[i] {
			return nil
		}
	}
	if len(list) == 0 {
		return nil
	}
	return refuse(ErrRule, "%s holds %q already; the correction changes nothing", list[0].field(), values[0])
}
