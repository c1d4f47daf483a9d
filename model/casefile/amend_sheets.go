package casefile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/sheets"
)

// amended returns what sheets that came in after the seal change in the sealed ballots. An
// amendment allows only this: the same sheets as before, with the changes that its document orders.
// Any other difference is refused and named, so that nothing else gets in with an amendment.
func (s *State) amended(rows *sheets.Sheets) ([]Change, error) {
	d := &amendedSheets{
		s: s, now: s.entries[0], sheets: fromSheets(rows), contest: map[int]int{}, title: map[int]string{},
	}
	for t := range tables {
		d.next[t] = d.now.Last(t) + 1
	}
	replaced := sheetTables(rows)
	steps := []func() error{}
	if replaced[Facts] {
		steps = append(steps, d.facts)
	}
	if replaced[Parties] {
		steps = append(steps, d.parties)
	}
	if replaced[Contests] {
		steps = append(steps, d.contests, d.choices, d.faces)
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return d.changes, nil
}

type amendedSheets struct {
	s           *State
	now, sheets *Tables
	next        [tables]int
	contest     map[int]int    // row of a contest in the sheets → row in the case
	title       map[int]string // of contests by row in the case, for people
	changes     []Change
}

func (d *amendedSheets) outside(format string, args ...any) error {
	what := fmt.Sprintf(format, args...)
	if len(d.s.OpenAmendments()) == 0 {
		return refuse(ErrSealed, "%s; the ballots are sealed. A mistake in them is changed by a correction that both of "+
			"the pair sign, and an order of a court by an amendment", what)
	}
	return refuse(ErrSealed, "%s; the open amendment does not reopen it. Bring in the same sheets as before with only "+
		"that changed which the amendment names; other mistakes are changed by a correction", what)
}

func (d *amendedSheets) set(t Table, row, column int, value string) {
	if value = strings.TrimSpace(value); strings.TrimSpace(d.now.get(t, row, column)) != value {
		d.changes = append(d.changes, Change{Field: Field{0, t, row, schema[t].columns[column]}, Value: value})
	}
}

// row sets the cells of a row, starting at a column.
func (d *amendedSheets) row(t Table, row, from int, cells ...string) {
	for i, value := range cells {
		d.set(t, row, from+i, value)
	}
}

func (d *amendedSheets) clear(t Table, row int) {
	d.row(t, row, 0, make([]string, stride(t))...)
}

func (d *amendedSheets) fresh(t Table) int {
	d.next[t]++
	return d.next[t] - 1
}

// open reports whether a contest of the case may be keyed again.
func (d *amendedSheets) open(contest int) bool {
	return contest > d.s.atSeal[Contests] || slices.ContainsFunc(d.s.OpenAmendments(), func(a Act[Amendment]) bool {
		return slices.Contains(a.Terms.Contests, Row{0, Contests, contest})
	})
}

// differs names the first column in which two rows differ; "" if there is none.
func (d *amendedSheets) differs(t Table, row int, cells []string) string {
	for column, value := range cells {
		if was := strings.TrimSpace(d.now.get(t, row, column)); was != strings.TrimSpace(value) {
			return fmt.Sprintf("%s is %q in the sheets and %q as sealed", schema[t].columns[column], strings.TrimSpace(value),
				was)
		}
	}
	return ""
}

func (d *amendedSheets) facts() error {
	if what := d.differs(Facts, 1, d.sheets.rowCells(Facts, 1)); what != "" {
		return d.outside("the election's %s", what)
	}
	return nil
}

func (d *amendedSheets) parties() error {
	known := map[string]int{}
	d.now.Each(Parties, func(row int, c []string) { known[partyKey(c)] = row })
	var fault error
	d.sheets.Each(Parties, func(_ int, c []string) {
		row, found := known[partyKey(c)]
		if !found {
			row = d.fresh(Parties)
		} else if what := d.differs(Parties, row, c); what != "" && row <= d.s.atSeal[Parties] && fault == nil {
			fault = d.outside("party %s: %s", partyKey(c), what)
		}
		delete(known, partyKey(c))
		d.row(Parties, row, 0, c...)
	})
	for _, key := range sortedNames(known) {
		if fault == nil && known[key] <= d.s.atSeal[Parties] {
			fault = d.outside("party %s is not in the sheets", key)
		}
		d.clear(Parties, known[key])
	}
	return fault
}

func partyKey(cells []string) string {
	if code := strings.TrimSpace(cells[0]); code != "" {
		return code
	}
	return strings.TrimSpace(cells[1])
}

func sortedNames(m map[string]int) []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func (d *amendedSheets) contests() error {
	known := map[string]int{}
	for row, code := range d.now.contestCodes(len(d.now.group(Choices, 0, Contests)) - 1) {
		if code != "" {
			known[code] = row
			d.title[row] = strings.TrimSpace(d.now.get(Contests, row, 1))
		}
	}
	var fault error
	d.sheets.Each(Contests, func(from int, c []string) {
		code := strings.TrimSpace(c[0])
		row, found := known[code]
		if !found {
			row = d.fresh(Contests)
			d.title[row] = strings.TrimSpace(c[1])
			d.row(Contests, row, 0, c...)
		} else if what := d.differs(Contests, row, append([]string{d.now.get(Contests, row, 0)}, c[1:]...)); what != "" {
			if !d.open(row) && fault == nil {
				fault = d.outside("%q (%s): %s", d.title[row], code, what)
			}
			d.row(Contests, row, 1, c[1:]...)
		}
		d.contest[from] = row
		delete(known, code)
	})
	for _, code := range sortedNames(known) {
		if fault == nil && !d.open(known[code]) {
			fault = d.outside("%q (%s) is not in the sheets", d.title[known[code]], code)
		}
		d.clear(Contests, known[code])
	}
	return fault
}

func (d *amendedSheets) choices() error {
	was, is := d.now.group(Choices, 0, Contests), d.sheets.group(Choices, 0, Contests)
	done := map[int]bool{}
	change := func(contest int, from []int32) error {
		done[contest] = true
		var rows []int32
		var at []string
		if contest < len(was) {
			rows, at = d.now.ordered(Choices, was[contest], 1)
		}
		if len(rows) == 0 && d.open(contest) && len(d.s.before) > 0 {
			// The amendment emptied the contest: what is keyed again keeps its rows.
			if old := d.s.before[0].group(Choices, 0, Contests); contest < len(old) {
				rows, at = d.s.before[0].ordered(Choices, old[contest], 1)
			}
		}
		order, positions := d.sheets.ordered(Choices, from, 1)
		var cells [][]string
		same := len(rows) == len(order)
		for i, row := range order {
			c := append([]string{strconv.Itoa(contest), positions[i]}, d.sheets.rowCells(Choices, int(row))[2:]...)
			cells = append(cells, c)
			same = same && at[i] == positions[i] && d.differs(Choices, int(rows[i]),
				append([]string{c[0], d.now.get(Choices, int(rows[i]), 1)}, c[2:]...)) == ""
		}
		switch {
		case same:
			return nil
		case !d.open(contest):
			return d.outside("the choices of %q are others in the sheets than those that are sealed", d.title[contest])
		}
		for i := range max(len(rows), len(cells)) {
			switch {
			case i >= len(cells):
				d.clear(Choices, int(rows[i]))
			case i >= len(rows):
				d.row(Choices, d.fresh(Choices), 0, cells[i]...)
			default:
				d.row(Choices, int(rows[i]), 0, cells[i]...)
			}
		}
		return nil
	}
	for from := 1; from < len(is); from++ {
		if contest := d.contest[from]; contest > 0 {
			if err := change(contest, is[from]); err != nil {
				return err
			}
		}
	}
	for contest := 1; contest < len(was); contest++ {
		if !done[contest] && len(was[contest]) > 0 {
			if err := change(contest, nil); err != nil {
				return err
			}
		}
	}
	return nil
}

// faceKey identifies a ballot in the sheets.
type faceKey struct{ style, party, precinct string }

func keyOfFace(k *Tables, face int) faceKey {
	cell := func(column int) string { return strings.TrimSpace(k.get(Faces, face, column)) }
	return faceKey{cell(0), cell(1), cell(2)}
}

func (f faceKey) String() string {
	name := "the ballot " + strconv.Quote(f.style)
	if f.precinct != "" {
		name = "the ballot of precinct " + f.precinct
	}
	if f.party != "" {
		name += " for " + f.party
	}
	return name
}

// onFace is a contest on a ballot.
type onFace struct {
	row            int // 0 for a new one
	contest        int
	at             float64
	heading, order string
	further        string // the heading in further languages
}

func (d *amendedSheets) onFace(k *Tables, rows []int32, contest func(int) int) []onFace {
	order, _ := k.ordered(Placements, rows, 1)
	list := make([]onFace, len(order))
	for i, row := range order {
		c := k.rowCells(Placements, int(row))
		list[i] = onFace{int(row), contest(reference(c[2])), k.Position(Placements, int(row)), strings.TrimSpace(c[3]),
			strings.TrimSpace(c[4]), c[5]}
	}
	return list
}

func (d *amendedSheets) faces() error {
	content, sheetContent := d.now.group(Placements, 0, Faces), d.sheets.group(Placements, 0, Faces)
	gives, sheetGives := d.now.group(Assignments, 0, Faces), d.sheets.group(Assignments, 0, Faces)
	at := func(list [][]int32, face int) []int32 {
		if face < len(list) {
			return list[face]
		}
		return nil
	}
	precincts := func(k *Tables, rows []int32) []string {
		var list []string
		for _, row := range rows {
			list = append(list, strings.TrimSpace(k.get(Assignments, int(row), 1)))
		}
		slices.Sort(list)
		return list
	}
	known := map[faceKey]int{}
	for face := 1; face < max(len(content), len(gives)); face++ {
		if len(at(content, face))+len(at(gives, face)) == 0 {
			continue
		}
		key := keyOfFace(d.now, face)
		if _, twice := known[key]; twice {
			return refuse(ErrRule, "%s was keyed more than once, so that sheets cannot tell which is meant; key the change on "+
				"the desktop, or field by field", key)
		}
		known[key] = face
	}
	for from := 1; from < max(len(sheetContent), len(sheetGives)); from++ {
		key := keyOfFace(d.sheets, from)
		is := d.onFace(d.sheets, at(sheetContent, from), func(n int) int { return d.contest[n] })
		face, found := known[key]
		delete(known, key)
		if !found {
			face = d.fresh(Faces)
			d.row(Faces, face, 0, key.style, key.party, key.precinct)
			for i, p := range is {
				d.row(Placements, d.fresh(Placements), 0, strconv.Itoa(face), strconv.Itoa(i+1), strconv.Itoa(p.contest), p.heading,
					p.order, p.further)
			}
			for _, precinct := range precincts(d.sheets, at(sheetGives, from)) {
				d.row(Assignments, d.fresh(Assignments), 0, strconv.Itoa(face), precinct)
			}
			continue
		}
		if was, now := precincts(d.now, at(gives, face)), precincts(d.sheets, at(sheetGives, from)); !slices.Equal(was, now) {
			return d.outside("%s is given to other precincts in the sheets", key)
		}
		if err := d.face(key, face, d.onFace(d.now, at(content, face), func(n int) int { return n }), is); err != nil {
			return err
		}
	}
	for key, face := range known {
		if face <= d.s.atSeal[Faces] {
			return d.outside("%s is not in the sheets", key)
		}
	}
	return nil
}

// face changes the open contests on a sealed ballot. All other contests must stay as they are.
func (d *amendedSheets) face(key faceKey, face int, was, is []onFace) error {
	fixed := func(list []onFace) []onFace {
		return slices.DeleteFunc(slices.Clone(list), func(p onFace) bool { return d.open(p.contest) })
	}
	stays, comes := fixed(was), fixed(is)
	for i := range max(len(stays), len(comes)) {
		switch {
		case i >= len(stays), i < len(comes) && stays[i].contest != comes[i].contest:
			return d.outside("%s has %q at another place in the sheets, or where it was not", key, d.title[comes[i].contest])
		case i >= len(comes):
			return d.outside("%s lacks %q in the sheets", key, d.title[stays[i].contest])
		case stays[i].heading != comes[i].heading:
			return d.outside("on %s the heading above %q is %q in the sheets and %q as sealed", key, d.title[stays[i].contest],
				comes[i].heading, stays[i].heading)
		case stays[i].further != comes[i].further:
			return d.outside("on %s the heading above %q is another in a further language", key, d.title[stays[i].contest])
		case stays[i].order != comes[i].order:
			return d.outside("on %s the order of the choices of %q is another in the sheets", key, d.title[stays[i].contest])
		}
	}
	sameOrder := slices.EqualFunc(was, is, func(a, b onFace) bool { return a.contest == b.contest })
	before := 0.0
	n := 0 // how many of the contests that stay have been found
	for i := 0; i < len(is); i++ {
		if !d.open(is[i].contest) {
			before = stays[n].at
			n++
			continue
		}
		run := i
		for run < len(is) && d.open(is[run].contest) {
			run++
		}
		after := before + float64(run-i+1)
		if n < len(stays) {
			after = stays[n].at
		}
		if after <= before {
			return refuse(ErrRule, "%s has two contests at one position, so that none can be put between them; correct the "+
				"positions first", key)
		}
		step := (after - before) / float64(run-i+1)
		for k := i; k < run; k++ {
			row, position := 0, strconv.FormatFloat(before+step*float64(k-i+1), 'f', -1, 64)
			if j := slices.IndexFunc(was, func(p onFace) bool { return p.contest == is[k].contest && p.row > 0 }); j >= 0 {
				row = was[j].row
				was[j].row = 0 // already used
				if sameOrder {
					position = d.now.get(Placements, row, 1)
				}
			} else {
				row = d.fresh(Placements)
			}
			d.row(Placements, row, 0, strconv.Itoa(face), position, strconv.Itoa(is[k].contest), is[k].heading, is[k].order,
				is[k].further)
		}
		i = run - 1
	}
	for _, p := range was {
		if p.row > 0 && d.open(p.contest) {
			d.clear(Placements, p.row)
		}
	}
	return nil
}
