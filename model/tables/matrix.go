package tables

import "slices"

// What columns are taken for of which there is one for each contest, precinct or style.
const (
	matrixWords = "ballots.contest, a column for each"
	crossWords  = "ballots, a column for each precinct or style"
)

// matrix proposes for a table with a row for each precinct or style and a column for each contest.
func (p *Proposal) matrix(s *sample, contests map[string]bool) bool {
	for i, cells := range s.rows[:min(len(s.rows), topRows)] {
		named, known := "", 0
		for _, cell := range cells {
			if contests[headerName(cell)] {
				known++
			} else if r, sure := roleOf(cell); sure >= 100 && (r == "precinct" || r == "style") && named == "" {
				named, s.at[r] = headerName(cell), 0
			}
		}
		if known == 0 || named == "" {
			continue
		}
		source := Source{Repeat: "*", Columns: map[string]string{"contest": "{@header}"}}
		for _, cell := range cells {
			if s.leftOut(headerName(cell)) {
				source.Where = map[string][]string{"{@header}": append(source.Where["{@header}"], "!"+headerName(cell))}
			}
		}
		var marks []string
		for _, row := range s.rows[i+1:] {
			for _, cell := range row[1:] {
				if cell != "" && !slices.Contains(marks, cell) {
					marks = append(marks, cell)
				}
			}
		}
		if areOrders(marks) {
			source.Columns["position"] = "{@value}"
		}
		t := Table{File: p.glob(s.grid.file), Sheet: s.grid.sheet, Rows: map[string][]Source{}}
		s.proposed.Header = s.proposed.Rows[i].Row
		if s.has("style") {
			source.Columns["style"] = "{" + named + "}"
		} else {
			source.Columns["precinct"] = "{" + named + "}"
			t.Rows["precincts"] = []Source{{Columns: map[string]string{"precinct": "{" + named + "}"}}}
		}
		t.Rows["ballots"] = []Source{source}
		for _, cell := range cells {
			as := matrixWords
			if headerName(cell) == named {
				as = "ballots.precinct"
				if s.has("style") {
					as = "ballots.style"
				}
			}
			column := ProposedColumn{Name: headerName(cell), As: []string{as}}
			if s.leftOut(column.Name) {
				column.As = nil
			}
			s.proposed.Columns = append(s.proposed.Columns, column)
		}
		p.Mapping.Tables = append(p.Mapping.Tables, t)
		return true
	}
	return false
}

// leftOut reports whether a person said that a column is not compared, or it counts.
func (s *sample) leftOut(column string) bool {
	role, given := s.given.Roles[column]
	return given && role == "" || !given && inAll.MatchString(column)
}
