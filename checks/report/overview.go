package report

import (
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

// overview makes the county at a glance.
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
	out := Overview{Rows: []OverviewRow{}}
	for i := range p.Styles {
		out.Rows = append(out.Rows, OverviewRow{m.styleName(i), len(p.Styles[i].Precincts), string(whole[i]),
			string(cells[i])})
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
