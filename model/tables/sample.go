package tables

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
)

// sampled is how many rows of a table a proposal looks at.
const sampled = 5000

// errEnough ends the walk over a table that was looked at.
var errEnough = errors.New("enough rows")

// Samples are the first rows of tables, of which mappings are proposed.
type Samples struct {
	files  []string // their names
	tables []sampledTable
	notes  []string // how they were read
}

type sampledTable struct {
	grid *grid
	top  []line
}

// rows are those that are shown.
func (t *sampledTable) rows() (out []TopRow) {
	for _, l := range t.top[:min(len(t.top), topRows)] {
		out = append(out, TopRow{l.row, l.cells})
	}
	return out
}

// Sample reads the first rows of tables. An error is one line. Data of files may be changed.
func Sample(list []File) (*Samples, error) {
	all := &Samples{}
	g := newGathered(false)
	for _, f := range list {
		all.files = append(all.files, printable(filepath.Base(f.Name)))
		opened, _, err := open(f, g)
		if err != nil {
			return nil, err
		}
		for _, grid := range opened.grids() {
			t := sampledTable{grid: grid}
			err := opened.walk(grid, func(l line) error {
				t.top = append(t.top, line{l.row, slices.Clone(l.cells)})
				if len(t.top) > sampled {
					return errEnough
				}
				return nil
			})
			if err != nil && !errors.Is(err, errEnough) {
				return nil, err
			}
			all.tables = append(all.tables, t)
		}
	}
	all.notes = g.notes
	return all, nil
}

// sample is a table as a proposal sees it.
type sample struct {
	grid     *grid
	given    Given
	proposed *ProposedTable
	header   header
	rows     [][]string
	above    map[string]string // names of the file, the sheet and the cells above the header, with what they hold
	plain    [][]string        // the rows before empty cells were filled
	crosses  []int             // columns that are precincts or styles, with marks for the contests that they have
	// at are the columns by role; numbered the first words of columns that end with a number.
	at       map[Role]int
	numbered map[Role]string
}

// find finds the header: the row that a person named, or that of the first ones whose cells name most
// that is known.
func (s *sample) find(top []line) bool {
	best, at := 0, -1
	for i, l := range top[:min(len(top), topRows)] {
		known := 0
		for _, cell := range l.cells {
			if _, sure := roleOf(cell); sure >= 100 {
				known += 2
			} else if sure > 0 {
				known++
			}
		}
		if l.row == s.given.Header {
			known = 1000
		}
		if known > best {
			best, at = known, i
		}
	}
	few := best < 3
	switch {
	case s.given.Header == NoHeader && len(top) > 0:
		// As many columns as reading will find.
		first := slices.IndexFunc(top, func(l line) bool { return l.row > topRows })
		if first < 0 {
			first = len(top)
		}
		s.header, at, few = lettered(top[:first]), -1, false
	case best < 2:
		return false
	default:
		s.header = newHeader(top[at])
		few = few && len(top[at].cells) > 3
	}
	for _, l := range top[at+1:] {
		s.rows = append(s.rows, l.cells)
	}
	s.plain = slices.Clone(s.rows)
	s.above = map[string]string{atSheet: s.grid.sheet, atFile: strings.TrimSuffix(s.grid.file, filepath.Ext(s.grid.file))}
	for _, l := range top[:max(at, 0)] {
		for c, v := range l.cells {
			s.above[fmt.Sprintf("@%s%d", columnName(c), l.row)] = v
		}
	}
	if s.assign(); few && len(s.crossed()) == 0 {
		s.header, s.rows, s.at, s.numbered = header{}, nil, map[Role]int{}, map[Role]string{}
		return false
	}
	return true
}

// assign finds out what each column holds.
func (s *sample) assign() {
	sure := map[Role]int{}
	for i, name := range s.header.names {
		r, n := roleOf(name)
		if given, ok := s.given.Roles[name]; ok {
			r, n = given, 1000
		} else if s.given.Header == NoHeader {
			continue // letters name nothing
		}
		stem := strings.TrimRight(name, "0123456789")
		if stem != name && strings.TrimSpace(stem) != "" {
			if other := slices.IndexFunc(s.header.names, func(h string) bool {
				return h != name && strings.TrimRight(h, "0123456789") == stem
			}); other >= 0 && r != "" {
				s.numbered[r] = stem
				continue
			}
		}
		if n < 1000 && slices.Contains(numeric, r) && !s.numbers(i) {
			if r = ""; strings.Contains(strings.ToLower(name), "line") {
				r = "party_lines" // "Line" is the number of a line, or the party whose line it is
			}
		}
		if n > sure[r] && r != "" {
			sure[r], s.at[r] = n, i
		}
	}
	s.settle(sure)
}

// column says of a column what it is taken for.
func (s *sample) column(i int, as []string) ProposedColumn {
	name := s.header.names[i]
	c := ProposedColumn{Name: name, As: as}
	for r, at := range s.at {
		if at == i {
			c.Role = r
		}
	}
	for r, stem := range s.numbered {
		if strings.TrimRight(name, "0123456789") == stem {
			c.Role = r
		}
	}
	for _, row := range s.rows[:min(len(s.rows), topRows)] {
		if i < len(row) && row[i] != "" && !slices.Contains(c.Samples, row[i]) && len(c.Samples) < 3 {
			c.Samples = append(c.Samples, row[i])
		}
	}
	return c
}

// has reports whether all of the roles have columns.
func (s *sample) has(list ...Role) bool {
	for _, r := range list {
		if _, ok := s.at[r]; !ok {
			return false
		}
	}
	return true
}

// of is the template of the column of a role; a numbered one is beside the repeated column.
func (s *sample) of(r Role) string {
	if i, ok := s.at[r]; ok {
		return "{" + s.header.names[i] + "}"
	}
	if stem, ok := s.numbered[r]; ok {
		return "{" + stem + "*}"
	}
	return ""
}

// name is the name of the column of a role; empty if there is none.
func (s *sample) name(r Role) string {
	if i, ok := s.at[r]; ok {
		return s.header.names[i]
	}
	return ""
}

// values are the distinct values of a role, sorted.
func (s *sample) values(r Role) []string {
	seen := map[string]bool{}
	for i, name := range s.header.names {
		at, one := s.at[r]
		stem, many := s.numbered[r]
		if one && at == i || many && strings.HasPrefix(name, stem) {
			for _, row := range s.rows {
				if i < len(row) {
					seen[row[i]] = true
				} else {
					seen[""] = true
				}
			}
		}
	}
	return slices.Sorted(maps.Keys(seen))
}

// fillDown finds out whether a contest is named in the first of its rows alone.
func (s *sample) fillDown(t *Table) {
	if !s.has("title", "name") {
		return
	}
	var fill []int
	for _, row := range s.rows {
		c := current{cells: row}
		if c.cell(s.at["title"]) != "" || c.cell(s.at["name"]) == "" {
			continue
		}
		for _, r := range []Role{"contest", "title", "district", "primary_party"} {
			if s.has(r) {
				fill = append(fill, s.at[r])
			}
		}
		break
	}
	slices.Sort(fill) // what stands further left is about more rows
	for _, at := range fill {
		t.Fill = append(t.Fill, s.header.names[at])
	}
	above := make([]string, len(fill))
	for i, row := range s.rows {
		s.rows[i] = append(slices.Clone(row), make([]string, max(0, len(s.header.names)-len(row)))...)
		fillDown(s.rows[i], fill, above)
	}
}
