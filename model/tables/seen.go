package tables

// seen remembers the cells of which a row was made already. Tables repeat themselves: the next
// row is mostly like the one before, or like the one that followed that last time, so that few
// need a look in the index.
type seen struct {
	rows  [][]string
	next  []int32
	index map[string]int32
	last  int32
	cells []string // room for the row that is looked for
	key   []byte
}

// add reports whether the cells were seen before.
func (s *seen) add(cells []string) bool {
	if s.index == nil {
		s.index = map[string]int32{}
	}
	if len(s.rows) > 0 {
		for _, likely := range [2]int32{s.last, s.next[s.last]} {
			if equal(s.rows[likely], cells) {
				s.last = likely
				return true
			}
		}
	}
	s.key = s.key[:0]
	for _, cell := range cells {
		s.key = append(append(s.key, cell...), 0)
	}
	i, known := s.index[string(s.key)]
	if !known {
		i = int32(len(s.rows))
		s.index[string(s.key)] = i
		s.rows, s.next = append(s.rows, append([]string(nil), cells...)), append(s.next, 0)
	}
	s.next[s.last], s.last = i, i
	return known
}

func equal(a, b []string) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}
