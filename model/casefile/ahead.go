package casefile

// ahead is what the entries of one commit do before it is on disk. Later entries of the same commit
// are checked against it, as they will be when the case is opened again.
type ahead struct {
	corrections []int64
	values      map[cell]string
	rows        map[tableOf]int
}

type tableOf struct {
	source uint16
	table  Table
}

// corrects notes the fields of a correction, whose entry is seq.
func (a *ahead) corrects(seq int64, list []cell, values []string) {
	if a == nil {
		return
	}
	if a.values == nil {
		a.values, a.rows = map[cell]string{}, map[tableOf]int{}
	}
	a.corrections = append(a.corrections, seq)
	for i, c := range list {
		a.values[c] = values[i]
		of := tableOf{c.source, c.table}
		a.rows[of] = max(a.rows[of], int(c.row))
	}
}

// takes notes a correction before it is an entry.
func (a *ahead) takes(seq int64, c Correction) {
	var list []cell
	var values []string
	for path, value := range c.Set {
		if f, ok := parseCell(path); ok {
			list, values = append(list, f), append(values, value)
		}
	}
	a.corrects(seq, list, values)
}

// valueOf returns the value of a cell after the entries before in the same commit, nil for none.
func (s *State) valueOf(c cell, before *ahead) string {
	if before != nil {
		if v, ok := before.values[c]; ok {
			return v
		}
	}
	return s.entries[c.source].get(c.table, int(c.row), int(c.column))
}

// lastRow returns the highest row number in use after the entries before in the same commit.
func (s *State) lastRow(source uint16, t Table, before *ahead) int {
	last := s.entries[source].Last(t)
	if before != nil {
		last = max(last, before.rows[tableOf{source, t}])
	}
	return last
}

func (s *State) valueOfField(f Field, before *ahead) string {
	if a, ok := parseCell(f.String()); ok && int(a.source) < len(s.entries) {
		return s.valueOf(a, before)
	}
	return s.entries[f.Source].value(f)
}
