package desk

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/casefile"
)

// entry is the second entry as the desk shows it: values on disk and values on their way there,
// with indexes.
type entry struct {
	*casefile.Tables

	choices map[int][]int // contest → choices, in ballot order
	places  map[int][]int // face → placements, in ballot order
	placed  map[int][]int // contest → placements, by number
	gives   map[int][]int // face → assignments, by number
	given   map[string][]int
	headers map[int][]int // unit → header rows, by number
	lines   map[string]int

	// headings counts the headings above contests. The lists of headings and faces are made on
	// demand.
	headings      map[string]int
	headingsKnown bool
	headingList   []string
	facesKnown    bool
	faceList      []int

	rosterKnown bool
	roster      []string
	rosterAt    map[string]int
	rosterFound *rosterIndex
	rosterSites map[string]bool
	leftKnown   bool
	left        []string

	// generation counts the changes to a contest and its choices.
	generation map[int]int
}

func newEntry(rows *casefile.Tables) *entry {
	e := &entry{Tables: rows, choices: map[int][]int{}, places: map[int][]int{}, placed: map[int][]int{},
		gives: map[int][]int{},
		given: map[string][]int{}, headers: map[int][]int{}, lines: map[string]int{}, headings: map[string]int{},
		generation: map[int]int{}}
	for _, t := range []casefile.Table{casefile.Choices, casefile.Placements, casefile.Assignments, casefile.Headers} {
		for row := 1; row < rows.Next(t); row++ {
			e.index(t, row, 1, false)
		}
	}
	for _, list := range e.choices {
		e.order(casefile.Choices, list)
	}
	for _, list := range e.places {
		e.order(casefile.Placements, list)
	}
	return e
}

// set changes a field and returns its former value.
func (e *entry) set(ch casefile.Change) (was string) {
	t := ch.Table
	e.index(t, ch.Row, -1, true)
	was = e.Change(ch)
	e.index(t, ch.Row, 1, true)
	if t == casefile.Faces || t == casefile.Placements || t == casefile.Assignments {
		e.facesKnown, e.leftKnown = false, false
	}
	if t == casefile.Contests {
		e.generation[ch.Row]++
	}
	return was
}

// index adds a row to the indexes (by is 1) or removes it (-1). ordered means that the other rows
// are already in order.
func (e *entry) index(t casefile.Table, row, by int, ordered bool) {
	numbered, placed := insert, func(list []int, row int) []int { return append(list, row) }
	if by < 0 {
		numbered, placed = without, without
	}
	inOrder := func(list []int) []int {
		if list = placed(list, row); ordered && by > 0 {
			e.order(t, list)
		}
		return list
	}
	switch t {
	case casefile.Precincts:
		e.rosterKnown, e.leftKnown = false, false
	case casefile.Choices:
		if c := e.Ref(t, row, "contest"); c > 0 {
			e.choices[c] = inOrder(e.choices[c])
			e.generation[c]++
			for _, line := range codes(e.Value(t, row, "party_lines")) {
				e.lines[line] += by
			}
		}
	case casefile.Placements:
		if h := e.Value(t, row, "heading"); h != "" {
			e.headings[h] += by
			e.headingsKnown = false
		}
		if f := e.Ref(t, row, "face"); f > 0 {
			e.places[f] = inOrder(e.places[f])
			if c := e.Ref(t, row, "contest"); c > 0 {
				e.placed[c] = numbered(e.placed[c], row)
			}
		}
	case casefile.Assignments:
		if f, p := e.Ref(t, row, "face"), e.Value(t, row, "precinct"); f > 0 && p != "" {
			e.gives[f], e.given[p] = numbered(e.gives[f], row), numbered(e.given[p], row)
			e.leftKnown = false
		}
	case casefile.Headers:
		if u := e.Ref(t, row, "unit"); u > 0 && e.Value(t, row, "precinct") != "" {
			e.headers[u] = numbered(e.headers[u], row)
		}
	}
}

func insert(list []int, row int) []int {
	at, found := slices.BinarySearch(list, row)
	if found {
		return list
	}
	return slices.Insert(list, at, row)
}

func without(list []int, row int) []int {
	return slices.DeleteFunc(list, func(r int) bool { return r == row })
}

func (e *entry) order(t casefile.Table, rows []int) {
	slices.SortFunc(rows, func(a, b int) int {
		return cmp.Or(cmp.Compare(e.Position(t, a), e.Position(t, b)), cmp.Compare(a, b))
	})
}

// between returns a position before rows[at], or after the last row.
func (e *entry) between(t casefile.Table, rows []int, at int) string {
	switch {
	case len(rows) == 0:
		return "1"
	case at >= len(rows):
		return number(float64(int(e.Position(t, rows[len(rows)-1]))) + 1)
	case at == 0:
		return number(e.Position(t, rows[0]) / 2)
	default:
		return number((e.Position(t, rows[at-1]) + e.Position(t, rows[at])) / 2)
	}
}

func number(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// codes returns the party codes in a party_lines cell.
func codes(cell string) []string {
	if cell == "" || cell == "-" {
		return nil
	}
	list := strings.Split(cell, "|")
	for i := range list {
		list[i] = strings.TrimSpace(list[i])
	}
	return slices.DeleteFunc(list, func(s string) bool { return s == "" })
}

// precincts returns the official roster, in order, without repetition.
func (e *entry) precincts() []string {
	if !e.rosterKnown {
		e.roster, e.rosterAt, e.rosterKnown = e.Roster(), map[string]int{}, true
		e.rosterFound, e.rosterSites = nil, nil
		for i, p := range e.roster {
			e.rosterAt[p] = i
		}
	}
	return e.roster
}

// rosterIndex finds precincts of the roster by name.
func (e *entry) rosterIndex() *rosterIndex {
	if roster := e.precincts(); e.rosterFound == nil {
		e.rosterFound = indexRoster(roster)
	}
	return e.rosterFound
}

// unassigned returns the precincts of the roster that have no face.
func (e *entry) unassigned() []string {
	if roster := e.precincts(); !e.leftKnown {
		e.left, e.leftKnown = nil, true
		own := map[string]bool{} // precincts with a face of their own
		for _, f := range e.faces() {
			if len(e.places[f]) > 0 {
				own[e.Value(casefile.Faces, f, "precinct")] = true
			}
		}
		for _, p := range roster {
			if len(e.given[p]) == 0 && !own[p] {
				e.left = append(e.left, p)
			}
		}
	}
	return e.left
}

// faces returns the faces that have content or a name, by number, which is the order in which they
// were first keyed.
func (e *entry) faces() []int {
	if !e.facesKnown {
		e.faceList, e.facesKnown = e.listFaces(), true
	}
	return e.faceList
}

func (e *entry) listFaces() []int {
	last := e.Last(casefile.Faces)
	for f, list := range e.places {
		if len(list) > 0 {
			last = max(last, f)
		}
	}
	for f, list := range e.gives {
		if len(list) > 0 {
			last = max(last, f)
		}
	}
	var out []int
	for f := 1; f <= last; f++ {
		if e.Has(casefile.Faces, f) || len(e.places[f]) > 0 || len(e.gives[f]) > 0 {
			out = append(out, f)
		}
	}
	return out
}

// on returns the precincts of a face, in roster order.
func (e *entry) on(face int) []string {
	return e.named(casefile.Assignments, e.gives[face])
}

// header returns the precincts of a unit's card header, in roster order.
func (e *entry) header(unit int) []string {
	return e.named(casefile.Headers, e.headers[unit])
}

func (e *entry) named(t casefile.Table, rows []int) []string {
	e.precincts()
	out := make([]string, 0, len(rows))
	for _, row := range rows {
		out = append(out, e.Value(t, row, "precinct"))
	}
	slices.SortStableFunc(out, func(a, b string) int {
		i, ok := e.rosterAt[a]
		j, also := e.rosterAt[b]
		if !ok || !also {
			return cmp.Or(-boolInt(ok)+boolInt(also), cmp.Compare(a, b))
		}
		return cmp.Compare(i, j)
	})
	return out
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sites are the polling sites that the official roster names.
func (e *entry) sites() map[string]bool {
	if e.precincts(); e.rosterSites == nil {
		e.rosterSites = map[string]bool{}
		e.Each(casefile.Precincts, func(row int, _ []string) {
			if site := e.Value(casefile.Precincts, row, "site"); site != "" {
				e.rosterSites[site] = true
			}
		})
	}
	return e.rosterSites
}

// atSite returns the precincts that vote at a site on election day, by the official roster.
func (e *entry) atSite(site string) []string {
	var out []string
	seen := map[string]bool{}
	e.Each(casefile.Precincts, func(row int, _ []string) {
		p := e.Value(casefile.Precincts, row, "precinct")
		if e.Value(casefile.Precincts, row, "site") == site && !seen[p] {
			seen[p] = true
			out = append(out, p)
		}
	})
	return out
}
