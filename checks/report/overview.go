package report

import (
	"slices"

	"counterproof/checks"
	"counterproof/checks/review"
)

// touched tells which ballots and contests of the primary findings speak of.
type touched struct {
	m *maker
	// stylesOf lists the styles of the precincts that are called so, on the list of
	// the contests that are called so.
	stylesOf map[string][]int
	contests map[string][]int
}

func (m *maker) touched(findings []Finding) *touched {
	t := &touched{m, map[string][]int{}, map[string][]int{}}
	for i := range m.standing.Primary.Styles {
		for _, p := range m.standing.Primary.Styles[i].Precincts {
			name := m.precinct[p]
			t.stylesOf[name] = append(t.stylesOf[name], i)
		}
	}
	for i, name := range m.contest {
		t.contests[name] = append(t.contests[name], i)
	}
	return t
}

// contestsOf are the contests of the primary that a finding is about.
func (t *touched) contestsOf(f *Finding) []int {
	if f.Contest == "" {
		return nil
	}
	name := f.Contest
	if f.Party != "" {
		name += " (" + f.Party + ")"
	}
	if list := t.contests[name]; list != nil {
		return list
	}
	return t.contests[f.Contest]
}

// styles are those whose ballots a finding is on.
func (t *touched) styles(f *Finding) []int {
	if f.Unit != "" || f.Check == "unit-site" || f.Check == "precinct-unserved" || f.Check == "unit-load" {
		return nil
	}
	var list []int
	for _, p := range f.Precincts {
		for _, s := range t.stylesOf[p] {
			if !slices.Contains(list, s) {
				list = append(list, s)
			}
		}
	}
	if len(f.Precincts) > 0 {
		return list
	}
	contests := t.contestsOf(f)
	for i := range t.m.standing.Primary.Styles {
		s := &t.m.standing.Primary.Styles[i]
		if f.Style != "" && f.Style == s.Label.Value {
			list = append(list, i)
			continue
		}
		for _, p := range s.Content {
			if slices.Contains(contests, p.Contest) {
				list = append(list, i)
				break
			}
		}
	}
	return list
}

func (t *touched) style(i int, f *Finding) bool { return slices.Contains(t.styles(f), i) }

// overview is the county at a glance.
func (m *maker) overview(findings []Finding) Overview {
	p := m.standing.Primary
	keyed := make([]byte, len(p.Contests))
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
	cells, whole := make([][]byte, len(p.Styles)), make([]byte, len(p.Styles))
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
	t := m.touched(findings)
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
	out := Overview{Rows: []OverviewRow{}}
	for i := range p.Styles {
		out.Rows = append(out.Rows, OverviewRow{m.styleName(i), len(p.Styles[i].Precincts), string(whole[i]), string(cells[i])})
	}
	return out
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

// severity orders the cells: what a reader must see wins.
const severity = string(CellNone) + string(CellAgreed) + string(CellSettled) + string(CellPart) + string(CellUnkeyed) + string(CellOpen)

func worse(a, b byte) byte {
	for i := len(severity) - 1; i >= 0; i-- {
		if severity[i] == a || severity[i] == b {
			return severity[i]
		}
	}
	return a
}
