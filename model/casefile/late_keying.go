package casefile

import "slices"

// Late says that something was keyed while an export was in the file, so the keyer could have
// looked at the export first, with this program or another. No rule forbids this; reports say it on
// their front page.
type Late struct {
	Scope Scope
	// Amendment is the entry of the amendment that reopened the contests; Correction that of the
	// correction that added things which were not keyed before the seal. Both are 0 for units that
	// were keyed.
	Amendment, Correction int64
	// Added are the rows that the correction added: parties, precincts, contests, choices of other
	// contests, faces, units.
	Added []Row
	// First and Last are the first and the last entry that keyed it, At and Until
	// their times.
	First, Last int64
	At, Until   string
	// By are the people who keyed it, in order.
	By []PersonID
}

// touched are the scopes in which an entry keys.
type touched struct{ ballots, units bool }

func touchedBy(cs []cell) (t touched) {
	for i := range cs {
		if scopeOf(cs[i].table, cs[i].column) == ScopeUnits {
			t.units = true
		} else {
			t.ballots = true
		}
	}
	return t
}

// touchedBySheets returns the scopes of the tables that sheets replace. A roster is in both scopes:
// its sites belong to the units, unless it has none.
func touchedBySheets(replaced [tables]bool, loaded *Tables) (t touched) {
	for table, is := range replaced {
		for column := range schema[table].columns {
			switch scope := scopeOf(Table(table), uint8(column)); {
			case !is:
			case scope == ScopeBallots:
				t.ballots = true
			case Table(table) != Precincts || !loaded.empty(ScopeUnits):
				t.units = true
			}
		}
	}
	return t
}

// noteKeyed records who keyed, and whether an export was in the file at that time. The caller has
// checked that the scopes may be keyed.
func (s *State) noteKeyed(e *Entry, t touched) {
	s.unitsKeyed = s.unitsKeyed || t.units
	if len(s.Exports) == 0 {
		return
	}
	note := func(scope Scope, amendment int64) {
		i := slices.IndexFunc(s.Late,
			func(l Late) bool { return l.Scope == scope && l.Amendment == amendment && l.Correction == 0 })
		if i < 0 {
			i = len(s.Late)
			s.Late = append(s.Late, Late{Scope: scope, Amendment: amendment, First: e.Seq, At: e.At})
		}
		l := &s.Late[i]
		l.Last, l.Until = e.Seq, e.At
		if !slices.Contains(l.By, e.Who) {
			l.By = append(slices.Clip(l.By), e.Who)
		}
	}
	if t.units && !s.Sealed(ScopeUnits) {
		note(ScopeUnits, 0)
	}
	if open := s.OpenAmendments(); t.ballots && len(open) > 0 {
		note(ScopeBallots, open[0].Seq)
	}
}

// noteAdded records what a correction adds to the second entry. It is called before the correction is
// made.
func (s *State) noteAdded(e *Entry, list []cell, values []string, by []PersonID) {
	var added []Row
	for i, a := range list {
		r := Row{int(a.source), a.table, int(a.row)}
		if values[i] == "" || slices.Contains(added, r) || s.entries[a.source].Has(a.table, int(a.row)) {
			continue
		}
		switch a.table {
		case Contests:
			k := s.entries[a.source]
			k.tables[Contests].amended = put(k.tables[Contests].amended, int(a.row))
			added = append(added, r)
		case Parties, Precincts, Choices, Faces, Units:
			added = append(added, r)
		}
	}
	for i, a := range list {
		if contest := (Row{int(a.source), Contests, reference(values[i])}); a.table == Choices && a.column == 0 &&
			slices.Contains(added, contest) {
			added = slices.DeleteFunc(added, func(r Row) bool { return r == Row{int(a.source), Choices, int(a.row)} })
		}
	}
	if len(added) > 0 && len(s.Exports) > 0 {
		s.Late = append(s.Late, Late{Scope: scopeOf(added[0].Table, 0), Correction: e.Seq, Added: added, First: e.Seq,
			Last: e.Seq, At: e.At, Until: e.At, By: by})
	}
}

// noteJoined records the keying of units in a joined case.
func (s *State) noteJoined(e *Entry, other *State) {
	if other.unitsKeyed {
		s.noteKeyed(e, touched{units: true})
	}
}
