package report

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

func (m *maker) findings() []Finding {
	list := []Finding{}
	m.numbers = map[string]int{}
	for _, items := range [][]review.Item{m.standing.Items, m.standing.Cleared} {
		for i := range items {
			x := &items[i]
			f := Finding{
				Number: len(list) + 1, ID: x.ID, Check: x.Check, Grade: string(x.Grade), Contest: x.Contest, Party: x.Party, Choice: x.Choice,
				Precincts: nonNil(slices.Clone(x.Precincts)), Unit: x.Unit, Site: x.Site, Style: x.Style, Primary: x.Primary, Second: x.Second,
				Message: x.Message, Cause: x.Cause, Status: string(x.Status), Decisions: []Decision{},
			}
			for _, d := range x.Decisions {
				f.Decisions = append(f.Decisions, Decision{
					Entry: d.Seq, At: d.At, Outcome: string(d.Terms.Outcome), Reason: d.Terms.Reason, Document: d.Terms.Document,
					Correction: d.Terms.Correction, By: m.all(d.Signers()),
				})
			}
			m.numbers[f.ID] = f.Number
			list = append(list, f)
		}
	}
	return list
}

func (m *maker) causes() []Cause {
	list := []Cause{}
	for _, c := range m.standing.Result.Causes {
		list = append(list, Cause{c.ID, c.Message, nonNil(slices.Clone(c.Findings))})
	}
	return list
}

func (m *maker) corrections() ([]Correction, error) {
	list := []Correction{}
	things := m.things()
	for _, a := range m.state.Corrections {
		c := Correction{Entry: a.Seq, At: a.At, Reason: a.Terms.Reason, Document: a.Terms.Document, By: m.all(a.Signers()), Changes: []Change{}}
		for _, f := range a.Terms.Fields() {
			path := f.String()
			what, err := things.words(f)
			if err != nil {
				return nil, err
			}
			c.Changes = append(c.Changes, Change{path, what, a.Terms.Was[path], a.Terms.Set[path]})
		}
		list = append(list, c)
	}
	return list, nil
}

func (m *maker) amendments() ([]Amendment, error) {
	list := []Amendment{}
	things := m.things()
	for _, a := range m.state.Amendments {
		x := Amendment{
			Entry: a.Seq, At: a.At, Date: a.Terms.Date, Document: a.Terms.Document, Reason: a.Terms.Reason,
			Contests: []string{}, MailedStand: a.Terms.MailedStand, By: m.all(a.Signers()),
		}
		for _, row := range a.Terms.Contests {
			name, err := things.name(row)
			if err != nil {
				return nil, err
			}
			x.Contests = append(x.Contests, name)
		}
		list = append(list, x)
	}
	return list, nil
}

func (m *maker) mappings() []Mapping {
	list := []Mapping{}
	for _, a := range m.state.Mappings {
		list = append(list, Mapping{a.Seq, a.At, a.Terms.Kind, a.Terms.Primary, a.Terms.Second, a.Terms.Reason, m.all(a.Signers())})
	}
	return list
}

func (m *maker) compared() []Compared {
	list := []Compared{}
	for _, a := range m.state.ComparedAs {
		list = append(list, Compared{
			a.Seq, a.At, nonNil(slices.Clone(a.Terms.Elections)), a.Terms.Language, a.Terms.UnitLimit, a.Terms.Reason, m.all(a.Signers()),
		})
	}
	return list
}

func (m *maker) exports(rounds []review.Round) []Export {
	list := []Export{}
	for _, x := range rounds {
		e := Export{Entry: x.Seq, Name: x.Name(), At: x.At, Files: m.files(x.Files...), Cards: []File{}, Asked: []string{}, Unasked: []string{}}
		if x.Cards != nil {
			e.Cards = m.files(*x.Cards)
		}
		for _, f := range x.Asked {
			e.Asked = append(e.Asked, review.Changed(f))
		}
		for _, f := range x.Unasked {
			e.Unasked = append(e.Unasked, review.Changed(f))
		}
		list = append(list, e)
	}
	return list
}

// things names rows of the second entry for people.
type things struct {
	of   *casefile.Case
	rows map[string]map[int][]string
}

func (m *maker) things() *things {
	return &things{m.review.Case(), map[string]map[int][]string{}}
}

// naming are the columns that say most about a row.
var naming = map[casefile.Table][]string{
	casefile.Parties: {"name", "party"}, casefile.Precincts: {"precinct"}, casefile.Contests: {"title", "subtitle"},
	casefile.Choices: {"name"}, casefile.Faces: {"style"}, casefile.Units: {"unit"},
}

// parents are the columns that point at another row.
var parents = map[casefile.Table]struct {
	column string
	table  casefile.Table
}{
	casefile.Choices: {"contest", casefile.Contests}, casefile.Placements: {"face", casefile.Faces},
	casefile.Assignments: {"face", casefile.Faces}, casefile.Headers: {"unit", casefile.Units},
}

func (t *things) cells(source int, table casefile.Table, row int) ([]string, error) {
	key := fmt.Sprint(source, " ", table)
	if t.rows[key] == nil {
		list, err := t.of.Rows(source, table)
		if err != nil {
			return nil, err
		}
		t.rows[key] = map[int][]string{}
		for _, r := range list {
			t.rows[key][r.Row] = r.Cells
		}
	}
	return t.rows[key][row], nil
}

// name names a row: "contest County Judge", "choice 3 (Ines Carrasquel) of contest …".
func (t *things) name(r casefile.Row) (string, error) {
	cells, err := t.cells(r.Source, r.Table, r.Row)
	if err != nil {
		return "", err
	}
	var words []string
	parent := ""
	for i, column := range r.Table.Columns() {
		if i >= len(cells) || cells[i] == "" {
			continue
		}
		if slices.Contains(naming[r.Table], column) {
			words = append(words, cells[i])
		}
		if p, ok := parents[r.Table]; ok && p.column == column {
			n := 0
			if _, err := fmt.Sscan(cells[i], &n); err == nil {
				if parent, err = t.name(casefile.Row{Source: r.Source, Table: p.table, Row: n}); err != nil {
					return "", err
				}
			}
		}
	}
	out := fmt.Sprintf("%s %d", r.Table, r.Row)
	if len(words) > 0 {
		out = fmt.Sprintf("%s %q", r.Table, strings.Join(words, " "))
	}
	if parent != "" {
		out += " of " + parent
	}
	if r.Source > 0 {
		out += fmt.Sprintf(" (joined case %d)", r.Source)
	}
	return out, nil
}

// words names a field: "vote for of contest "County Judge"".
func (t *things) words(f casefile.Field) (string, error) {
	name, err := t.name(casefile.Row{Source: f.Source, Table: f.Table, Row: f.Row})
	return strings.ReplaceAll(f.Column, "_", " ") + " of " + name, err
}
