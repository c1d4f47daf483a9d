package review

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// Slip proposes a correction that would resolve a finding as a keying slip: the second entry would
// then say what the export says. Each proposal is tested by another comparison: the finding must be
// gone and no new one may appear. The result is empty if a person has to say what was printed, for
// example for a contest that was not keyed at all.
func (r *Review) Slip(finding string) ([]casefile.Change, error) {
	return r.SlipContext(context.Background(), finding)
}

// SlipContext is Slip with a context.
func (r *Review) SlipContext(ctx context.Context, finding string) ([]casefile.Change, error) {
	s, err := r.Now()
	if err != nil {
		return nil, err
	}
	item := s.Item(finding)
	if item == nil || item.Status == StatusCleared {
		return nil, nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	before := map[string]bool{}
	for _, i := range s.Items {
		before[i.ID] = true
	}
	for source := 0; source <= len(s.State.Joined); source++ {
		for _, change := range r.candidates(source, item) {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			after, err := r.try(s, change)
			if err != nil || slices.Contains(after, finding) {
				continue
			}
			if !slices.ContainsFunc(after, func(id string) bool { return !before[id] }) {
				return change, nil
			}
		}
	}
	return nil, nil
}

// candidates returns corrections that may resolve a finding by setting the keyed cells of its
// claims to the export's values. If several rows have the same name they are guesses, which Slip
// tests.
func (r *Review) candidates(source int, item *Item) [][]casefile.Change {
	rows := rowsOf{source, map[casefile.Table]map[int][]string{}}
	for _, t := range []casefile.Table{casefile.Parties, casefile.Contests, casefile.Choices, casefile.Faces,
		casefile.Units, casefile.Headers} {
		list, err := r.of.ShownRows(source, t)
		if err != nil {
			return nil
		}
		rows.cells[t] = map[int][]string{}
		for _, row := range list {
			rows.cells[t][row.Row] = row.Cells
		}
	}
	var out [][]casefile.Change
	for _, contest := range orNone(rows.contests(item)) {
		choices := rows.choices(contest, item.Choice)
		for _, one := range append(orNone(choices), 0) { // each row alone, then all of that name
			of := choices
			if one > 0 {
				of = []int{one}
			}
			for _, subtitle := range []bool{true, false} {
				var change []casefile.Change
				for _, claim := range item.Claims {
					for _, c := range rows.changes(item, claim, contest, of, subtitle) {
						if !slices.Contains(change, c) {
							change = append(change, c)
						}
					}
				}
				if len(change) > 0 && !slices.ContainsFunc(out, func(o []casefile.Change) bool { return slices.Equal(o, change) }) {
					out = append(out, change)
				}
			}
		}
	}
	const most = 64
	return out[:min(len(out), most)]
}

func orNone(rows []int) []int {
	if len(rows) == 0 {
		return []int{0}
	}
	return rows
}

// The columns that hold a field.
var (
	contestColumns = map[finding.Field]string{
		finding.Title: "title", finding.Kind: "kind", finding.VoteFor: "vote_for", finding.Text: "text",
		finding.PrimaryParties: "primary_party",
	}
	factColumns = map[finding.Field]string{finding.Name: "name", finding.Date: "date",
		finding.Jurisdiction: "jurisdiction"}
)

// changes sets the cells of one claim to the export's values, in a row of contests and in rows of
// its choices. A title may be in one cell, or in two with a subtitle.
func (r *rowsOf) changes(item *Item, claim finding.Claim, contest int, choices []int,
	subtitle bool) (out []casefile.Change) {
	set := func(t casefile.Table, row int, column, value string) {
		out = append(out, casefile.Change{Field: casefile.Field{Source: r.source, Table: t, Row: row, Column: column},
			Value: value})
	}
	says, keyed := item.Values[0], item.Values[1]
	in := "" // what the column of a further language ends with
	if claim.Language != "" {
		in = "[" + claim.Language + "]"
	}
	switch claim.Thing {
	case finding.Election:
		if column := factColumns[claim.Field]; column != "" {
			set(casefile.Facts, 1, column+in, says.Words)
		}
	case finding.Party:
		for _, row := range slices.Sorted(maps.Keys(r.cells[casefile.Parties])) {
			if further := r.cell(casefile.Parties, row, "name[]"); claim.Language != "" {
				if sheets.FurtherIn(further, claim.Language) == keyed.Words {
					set(casefile.Parties, row, "name"+in, says.Words)
				}
				continue
			}
			for _, column := range casefile.Parties.Columns() {
				if r.cell(casefile.Parties, row, column) == keyed.Words {
					set(casefile.Parties, row, column, says.Words)
				}
			}
		}
	case finding.Contest:
		if column := contestColumns[claim.Field]; contest > 0 && column != "" {
			set(casefile.Contests, contest, column+in, cellOf(says))
			if claim.Field == finding.Title && subtitle {
				set(casefile.Contests, contest, "subtitle"+in, "")
			}
		}
	case finding.Choice:
		for _, row := range choices {
			switch {
			case claim.Field == finding.Name:
				set(casefile.Choices, row, "name"+in, says.Words)
			case claim.Field == finding.Lines:
				set(casefile.Choices, row, "party_lines", cmp.Or(cellOf(says), "-"))
			case claim.Field == finding.Whole && claim.PrimaryPart == finding.None:
				for _, column := range casefile.Choices.Columns() {
					set(casefile.Choices, row, column, "")
				}
			}
		}
	case finding.Ballot:
		for _, row := range slices.Sorted(maps.Keys(r.cells[casefile.Faces])) {
			if claim.Field == finding.Label && r.cell(casefile.Faces, row, "style") == keyed.Words {
				set(casefile.Faces, row, "style", says.Words)
			}
		}
	case finding.Unit:
		for _, row := range slices.Sorted(maps.Keys(r.cells[casefile.Units])) {
			if item.Unit == "" || r.cell(casefile.Units, row, "unit") != item.Unit {
				continue
			}
			switch claim.Field {
			case finding.SiteOf:
				set(casefile.Units, row, "site", says.Words)
			case finding.Precincts:
				r.header(row, says.List, set)
			}
		}
	}
	return out
}

// header sets the precincts of a unit's card header.
func (r *rowsOf) header(unit int, precincts []string, set func(t casefile.Table, row int, column, value string)) {
	want := map[string]bool{}
	for _, p := range precincts {
		want[p] = true
	}
	last := 0
	for _, row := range slices.Sorted(maps.Keys(r.cells[casefile.Headers])) {
		last = max(last, row)
		if r.cell(casefile.Headers, row, "unit") != strconv.Itoa(unit) {
			continue
		}
		if p := r.cell(casefile.Headers, row, "precinct"); want[p] {
			delete(want, p)
		} else {
			set(casefile.Headers, row, "unit", "")
			set(casefile.Headers, row, "precinct", "")
		}
	}
	for _, p := range precincts {
		if want[p] {
			last++
			set(casefile.Headers, last, "unit", strconv.Itoa(unit))
			set(casefile.Headers, last, "precinct", p)
		}
	}
}

// cellOf writes a value as the text of a cell.
func cellOf(v finding.Value) string {
	if len(v.List) > 0 {
		return strings.Join(v.List, "|")
	}
	return v.Words
}

// rowsOf holds the rows of a source, by table and number.
type rowsOf struct {
	source int
	cells  map[casefile.Table]map[int][]string
}

func (r *rowsOf) cell(t casefile.Table, row int, column string) string {
	cells := r.cells[t][row]
	if i := slices.Index(t.Columns(), column); i >= 0 && i < len(cells) {
		return cells[i]
	}
	return ""
}

// contests returns the rows of contests that a finding may be about.
func (r *rowsOf) contests(item *Item) []int {
	var out []int
	for row := range r.cells[casefile.Contests] {
		title := strings.TrimSpace(r.cell(casefile.Contests, row, "title") + " " + r.cell(casefile.Contests, row, "subtitle"))
		if title == item.Contest && item.Contest != "" {
			out = append(out, row)
		}
	}
	slices.Sort(out)
	return out
}

// choices returns the rows of a contest's choices that have the name.
func (r *rowsOf) choices(contest int, name string) []int {
	var out []int
	for row := range r.cells[casefile.Choices] {
		if r.cell(casefile.Choices, row, "contest") == strconv.Itoa(contest) &&
			r.cell(casefile.Choices, row, "name") == name && name != "" {
			out = append(out, row)
		}
	}
	slices.Sort(out)
	return out
}
