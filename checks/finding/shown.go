package finding

import "strconv"

// MostShown is how many findings of one check a list for people shows; files for machines,
// cases and sign-offs hold all.
const MostShown = 5_000

// Shown counts the findings of each check that a list shows. The zero value shows nothing
// yet.
type Shown struct {
	count map[Code]int
	order []Code // of the checks with findings that are not shown
}

// Shows reports whether the next finding of a check is to be shown.
func (s *Shown) Shows(check Code) bool {
	if s.count == nil {
		s.count = map[Code]int{}
	}
	s.count[check]++
	if s.count[check] == MostShown+1 {
		s.order = append(s.order, check)
	}
	return s.count[check] <= MostShown
}

// Rest says, for each check with more findings than are shown, how many are not.
func (s *Shown) Rest() []string {
	var out []string
	for _, c := range s.order {
		n := s.count[c] - MostShown
		of := strconv.Itoa(n) + " further findings"
		if n == 1 {
			of = "1 further finding"
		}
		out = append(out, of+" of "+string(c)+", not shown here; the first "+strconv.Itoa(MostShown)+" are above.")
	}
	return out
}
