package tables

import (
	"errors"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// sampled is how many rows of a table a proposal looks at.
const sampled = 5000

// errEnough ends the walk over a table that was looked at.
var errEnough = errors.New("enough rows")

// sample is a table as a proposal sees it.
type sample struct {
	grid   *grid
	header header
	rows   [][]string
	// at are the columns by role; numbered the first words of columns that end with a number.
	at       map[role]int
	numbered map[role]string
}

// find finds the header: the row of the first ones whose cells name most that is known.
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
		if known > best {
			best, at = known, i
		}
	}
	if best < 3 {
		return false
	}
	s.header = newHeader(top[at])
	for _, l := range top[at+1:] {
		s.rows = append(s.rows, l.cells)
	}
	sure := map[role]int{}
	for i, name := range s.header.names {
		stem := strings.TrimRight(name, "0123456789")
		r, n := roleOf(name)
		if stem != name && strings.TrimSpace(stem) != "" {
			if other := slices.IndexFunc(s.header.names, func(h string) bool {
				return h != name && strings.TrimRight(h, "0123456789") == stem
			}); other >= 0 && r != "" {
				s.numbered[r] = stem
				continue
			}
		}
		if n > sure[r] && r != "" {
			sure[r], s.at[r] = n, i
		}
	}
	return true
}

// has reports whether all of the roles have columns.
func (s *sample) has(list ...role) bool {
	for _, r := range list {
		if _, ok := s.at[r]; !ok {
			return false
		}
	}
	return true
}

// of is the template of the column of a role; a numbered one is beside the repeated column.
func (s *sample) of(r role) string {
	if i, ok := s.at[r]; ok {
		return "{" + s.header.names[i] + "}"
	}
	if stem, ok := s.numbered[r]; ok {
		return "{" + stem + "*}"
	}
	return ""
}

// values are the distinct values of a role, sorted.
func (s *sample) values(r role) []string {
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

// contest is how the table tells contests apart, and what it calls them. Where one title stands
// with several districts or primaries, both are needed.
func (s *sample) contest() (key, title string) {
	if title = s.of("title"); !s.has("title") {
		return "", ""
	}
	if s.tells("district") {
		title += "[, " + s.of("district") + "]"
	}
	if key = s.of("contest"); key == "" {
		if key = title; s.tells("primary_party") {
			key += "[, " + s.of("primary_party") + "]"
		}
	}
	return key, title
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
		for _, r := range []role{"contest", "title", "district", "primary_party"} {
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
		s.rows[i] = append(slices.Clip(row), make([]string, max(0, len(s.header.names)-len(row)))...)
		fillDown(s.rows[i], fill, above)
	}
}

// answers are choices that answer a question, as the table writes them.
func (s *sample) answers() (out []string) {
	for _, v := range s.values("name") {
		if slices.Contains([]string{"yes", "no", "for", "against", "approve", "reject"}, strings.ToLower(v)) {
			out = append(out, v)
		}
	}
	return out
}

// writeIns are choices that are write-in lines by their name.
func (s *sample) writeIns() (out []string) {
	for _, v := range s.values("name") {
		if writeInName.MatchString(v) {
			out = append(out, v)
		}
	}
	return out
}

var writeInName = regexp.MustCompile(`(?i)^[\s(]*write[\s-]?in`)

// tells reports whether one title stands with several values of a role.
func (s *sample) tells(r role) bool {
	if !s.has(r) {
		return false
	}
	with := map[string]string{}
	for _, row := range s.rows {
		c := current{cells: row}
		t, v := c.cell(s.at["title"]), c.cell(s.at[r])
		if first, ok := with[t]; ok && first != v {
			return true
		}
		with[t] = v
	}
	return false
}

// ordersContests reports whether positions are those of contests on ballots: choices of one
// contest share them.
func (s *sample) ordersContests() bool {
	if !s.has("title", "name", "position") {
		return false
	}
	first := map[[2]string]string{}
	for _, row := range s.rows {
		c := current{cells: row}
		at, name := [2]string{c.cell(s.at["title"]), c.cell(s.at["position"])}, c.cell(s.at["name"])
		if other, ok := first[at]; ok && other != name {
			return true
		}
		first[at] = name
	}
	return false
}

// separator is what seems to join several values in the cells of a role; empty if nothing.
func (s *sample) separator(r role) string {
	list := []string{"|", ";", "/", ","}
	if r == "name" {
		list = []string{"&", "/"}
	}
	for _, by := range list {
		for _, v := range s.values(r) {
			if strings.Contains(v, by) {
				return by
			}
		}
	}
	return ""
}
