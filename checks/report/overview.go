package report

import (
	"fmt"
	"slices"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// touched finds the ballots and contests of the export that findings are about.
type touched struct {
	// stylesOf lists the styles of precincts by the precinct's name, labelled the styles by label,
	// contests the contests by title, and holding the styles that have a contest.
	stylesOf, labelled, contests map[string][]int
	holding                      [][]int
}

func (m *maker) touched() *touched {
	p := m.standing.Primary
	t := &touched{map[string][]int{}, map[string][]int{}, map[string][]int{}, make([][]int, len(p.Contests))}
	for i := range p.Styles {
		s := &p.Styles[i]
		for _, x := range s.Precincts {
			t.stylesOf[m.precinct[x]] = append(t.stylesOf[m.precinct[x]], i)
		}
		if s.Label.Value != "" {
			t.labelled[s.Label.Value] = append(t.labelled[s.Label.Value], i)
		}
		for _, x := range s.Content {
			if list := t.holding[x.Contest]; len(list) == 0 || list[len(list)-1] != i {
				t.holding[x.Contest] = append(list, i)
			}
		}
	}
	for i, name := range m.contest {
		t.contests[name] = append(t.contests[name], i)
	}
	return t
}

// contestsOf returns the contests of the export that a finding is about.
func (t *touched) contestsOf(f *Finding) []int {
	if f.Contest == "" {
		return nil
	}
	if f.Party != "" {
		if list := t.contests[f.Contest+" ("+f.Party+")"]; list != nil {
			return list
		}
	}
	return t.contests[f.Contest]
}

// styles returns the styles whose ballots a finding is about, in order.
func (t *touched) styles(f *Finding) []int {
	if f.Unit != "" || checks.Of(finding.Code(f.Check)).OfUnits() {
		return nil
	}
	var list []int
	for _, x := range f.Precincts {
		list = append(list, t.stylesOf[x]...)
	}
	if len(f.Precincts) == 0 {
		list = append(list, t.labelled[f.Style]...)
		for _, c := range t.contestsOf(f) {
			list = append(list, t.holding[c]...)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// The largest picture: more columns are more than two pages wide, more rows more than a page high.
const mostColumns, mostRows = 64, 60

// overview makes the county at a glance. order has the contests in ballot order.
func (m *maker) overview(findings []Finding, order []int) Overview {
	cells, whole, keyed := m.cells(findings)
	out := Overview{Contests: []string{}, Rows: []OverviewRow{}}
	var columns []int
	for _, c := range order {
		differs := slices.ContainsFunc(cells, func(row []byte) bool { return differing(row[c]) })
		switch {
		case !differs && keyed[c] == CellAgreed:
			out.SameContests++
		case !differs:
			out.PartContests++
		case len(columns) == mostColumns:
			out.MoreContests++
		default:
			columns = append(columns, c)
			out.Contests = append(out.Contests, m.contestName(c))
		}
	}
	at := map[string]int{} // by cells: the row, -1 if it is not shown
	var styles []int       // how many each row stands for
	for i, all := range cells {
		if !differing(whole[i]) && !slices.ContainsFunc(all, differing) {
			if whole[i] == CellAgreed && !slices.ContainsFunc(all, unkeyed) {
				out.SameStyles++
			} else {
				out.PartStyles++
			}
			continue
		}
		row := OverviewRow{Style: m.styleName(i), Precincts: len(m.standing.Primary.Styles[i].Precincts),
			Ballot: string(whole[i])}
		shown := make([]byte, len(columns))
		for k, c := range columns {
			shown[k] = all[c]
		}
		row.Cells = string(shown)
		key := row.Ballot + row.Cells
		k, known := at[key]
		if !known {
			k = len(out.Rows)
			if k == mostRows || !differing(whole[i]) && !slices.ContainsFunc(shown, differing) {
				k = -1
			} else {
				out.Rows, styles = append(out.Rows, row), append(styles, 0)
			}
			at[key] = k
		}
		if k < 0 {
			out.MoreStyles++
			continue
		}
		if styles[k]++; styles[k] > 1 {
			out.Rows[k].Precincts += row.Precincts
		}
	}
	for k, n := range styles {
		if n > 1 {
			out.Rows[k].Style += fmt.Sprintf(" and %s more", count(n-1))
		}
	}
	return out
}

func differing(cell byte) bool { return cell == CellOpen || cell == CellSettled }
func unkeyed(cell byte) bool   { return cell == CellPart || cell == CellUnkeyed }

// cells says for each style and contest of the export, and for each ballot as a whole, what was
// keyed and what differed, and for each contest what was keyed.
func (m *maker) cells(findings []Finding) (cells [][]byte, whole, keyed []byte) {
	p := m.standing.Primary
	keyed = make([]byte, len(p.Contests))
	for _, c := range m.standing.Result.Coverage.Contests {
		if c.Index >= 0 && c.Index < len(keyed) {
			keyed[c.Index] = howKeyed(c)
		}
	}
	ballots := make([]byte, len(p.Precincts))
	for _, c := range m.standing.Result.Coverage.Precincts {
		if c.Index >= 0 && c.Index < len(ballots) {
			ballots[c.Index] = howKeyed(c)
		}
	}
	cells, whole = make([][]byte, len(p.Styles)), make([]byte, len(p.Styles))
	for i := range p.Styles {
		cells[i] = slices.Repeat([]byte{CellNone}, len(p.Contests))
		for _, place := range p.Styles[i].Content {
			cells[i][place.Contest] = keyed[place.Contest]
		}
		whole[i] = CellAgreed
		for _, precinct := range p.Styles[i].Precincts {
			whole[i] = worse(whole[i], ballots[precinct])
		}
	}
	t := m.touched()
	for k := range findings {
		f := &findings[k]
		mark := byte(CellOpen)
		switch review.Status(f.Status) {
		case review.StatusSettled, review.StatusCleared:
			mark = CellSettled
		case review.StatusNoted:
			continue
		}
		contests := t.contestsOf(f)
		for _, s := range t.styles(f) {
			if len(contests) == 0 {
				whole[s] = worse(whole[s], mark)
			}
			for _, c := range contests {
				cells[s][c] = worse(cells[s][c], mark)
			}
		}
	}
	return cells, whole, keyed
}

func howKeyed(c checks.Covered) byte {
	switch {
	case len(c.NotKeyed) == 0:
		return CellAgreed
	case len(c.Keyed) == 0:
		return CellUnkeyed
	}
	return CellPart
}

// severity orders the kinds of cells: the one that a reader must notice wins.
const severity = string(CellNone) + string(CellAgreed) + string(CellSettled) + string(CellPart) + string(CellUnkeyed) +
	string(CellOpen)

func worse(a, b byte) byte {
	for i := len(severity) - 1; i >= 0; i-- {
		if severity[i] == a || severity[i] == b {
			return severity[i]
		}
	}
	return a
}
