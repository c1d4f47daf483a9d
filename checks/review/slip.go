package review

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/casefile"
)

// Slip proposes the correction that would mend a finding as a keying slip: the second
// entry then says what the primary says. A proposal is proven by comparing again: the
// finding would be gone and no new one there. It is empty where a person has to say
// what was printed, as for a contest that was not keyed at all.
func (r *Review) Slip(finding string) ([]casefile.Change, error) {
	return r.SlipContext(context.Background(), finding)
}

// SlipContext is Slip until the context is done.
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

// candidates are changes that may mend a finding. They are guesses: Slip proves them.
func (r *Review) candidates(source int, item *Item) [][]casefile.Change {
	rows := rowsOf{}
	for _, t := range []casefile.Table{casefile.Parties, casefile.Contests, casefile.Choices, casefile.Faces, casefile.Units, casefile.Headers} {
		list, err := r.of.ShownRows(source, t)
		if err != nil {
			return nil
		}
		rows[t] = map[int][]string{}
		for _, row := range list {
			rows[t][row.Row] = row.Cells
		}
	}
	var out [][]casefile.Change
	set := func(t casefile.Table, row int, column, value string) casefile.Change {
		return casefile.Change{Field: casefile.Field{Source: source, Table: t, Row: row, Column: column}, Value: value}
	}
	contests := rows.contests(item)
	for _, c := range contests {
		switch item.Check {
		case "contest-title", "lookalike":
			out = append(out, []casefile.Change{set(casefile.Contests, c, "title", item.Primary), set(casefile.Contests, c, "subtitle", "")},
				[]casefile.Change{set(casefile.Contests, c, "title", item.Primary)})
		case "vote-for":
			out = append(out, []casefile.Change{set(casefile.Contests, c, "vote_for", item.Primary)})
		case "contest-kind":
			out = append(out, []casefile.Change{set(casefile.Contests, c, "kind", item.Primary)})
		case "measure-text":
			out = append(out, []casefile.Change{set(casefile.Contests, c, "text", item.Primary)})
		case "primary-party":
			out = append(out, []casefile.Change{set(casefile.Contests, c, "primary_party", item.Primary)})
		}
		for _, choice := range rows.choices(c, item.Choice) {
			switch item.Check {
			case "choice-name", "lookalike":
				out = append(out, []casefile.Change{set(casefile.Choices, choice, "name", item.Primary)})
			case "party-line":
				for _, lines := range partyCells(item.Primary) {
					out = append(out, []casefile.Change{set(casefile.Choices, choice, "party_lines", lines)})
				}
			case "choice-missing":
				gone := []casefile.Change{}
				for _, column := range casefile.Choices.Columns() {
					gone = append(gone, set(casefile.Choices, choice, column, ""))
				}
				out = append(out, gone)
			}
		}
		if item.Check == "choice-name" {
			// One person on several lines: all their rows at once.
			var all []casefile.Change
			for _, choice := range rows.choices(c, item.Choice) {
				all = append(all, set(casefile.Choices, choice, "name", item.Primary))
			}
			out = append(out, all)
		}
	}
	switch item.Check {
	case "unit-site":
		for row := range rows[casefile.Units] {
			if rows.cell(casefile.Units, row, "unit") == item.Unit && item.Unit != "" {
				out = append(out, []casefile.Change{set(casefile.Units, row, "site", item.Primary)})
			}
		}
	case "unit-header":
		out = append(out, rows.headers(item, set)...)
	case "election":
		for _, column := range casefile.Facts.Columns() {
			out = append(out, []casefile.Change{set(casefile.Facts, 1, column, item.Primary)})
		}
	case "style-label":
		for row := range rows[casefile.Faces] {
			if rows.cell(casefile.Faces, row, "style") == item.Second {
				out = append(out, []casefile.Change{set(casefile.Faces, row, "style", item.Primary)})
			}
		}
	case "party-name":
		for row := range rows[casefile.Parties] {
			for _, column := range casefile.Parties.Columns() {
				if rows.cell(casefile.Parties, row, column) == item.Second {
					out = append(out, []casefile.Change{set(casefile.Parties, row, column, item.Primary)})
				}
			}
		}
	}
	const most = 64
	return out[:min(len(out), most)]
}

// partyCells are ways to write what a finding shows of party lines as a cell.
func partyCells(shown string) []string {
	if shown == "" || shown == "none" || shown == "-" {
		return []string{"-"}
	}
	cells := []string{shown, strings.ReplaceAll(shown, ", ", "|"), strings.ReplaceAll(strings.ReplaceAll(shown, " and ", "|"), ", ", "|"), strings.ReplaceAll(shown, " ", "")}
	return slices.Compact(cells)
}

// rowsOf are the rows of a source, by table and number.
type rowsOf map[casefile.Table]map[int][]string

func (r rowsOf) cell(t casefile.Table, row int, column string) string {
	cells := r[t][row]
	if i := slices.Index(t.Columns(), column); i >= 0 && i < len(cells) {
		return cells[i]
	}
	return ""
}

// contests are the rows of contests that a finding may be about.
func (r rowsOf) contests(item *Item) []int {
	var out []int
	for row := range r[casefile.Contests] {
		title := strings.TrimSpace(r.cell(casefile.Contests, row, "title") + " " + r.cell(casefile.Contests, row, "subtitle"))
		if title == item.Contest && item.Contest != "" {
			out = append(out, row)
		}
	}
	slices.Sort(out)
	return out
}

// choices are the rows of a contest's choices of that name.
func (r rowsOf) choices(contest int, name string) []int {
	var out []int
	for row := range r[casefile.Choices] {
		if r.cell(casefile.Choices, row, "contest") == strconv.Itoa(contest) && r.cell(casefile.Choices, row, "name") == name && name != "" {
			out = append(out, row)
		}
	}
	slices.Sort(out)
	return out
}

// headers are changes that make a unit's card header name what the primary's does.
func (r rowsOf) headers(item *Item, set func(casefile.Table, int, string, string) casefile.Change) [][]casefile.Change {
	unit := 0
	for row := range r[casefile.Units] {
		if r.cell(casefile.Units, row, "unit") == item.Unit {
			unit = row
		}
	}
	if unit == 0 {
		return nil
	}
	want := map[string]bool{}
	for _, p := range strings.Split(item.Primary, ", ") {
		want[p] = true
	}
	var change []casefile.Change
	last := 0
	for row := range r[casefile.Headers] {
		last = max(last, row)
		if r.cell(casefile.Headers, row, "unit") != strconv.Itoa(unit) {
			continue
		}
		if p := r.cell(casefile.Headers, row, "precinct"); want[p] {
			delete(want, p)
		} else {
			change = append(change, set(casefile.Headers, row, "unit", ""), set(casefile.Headers, row, "precinct", ""))
		}
	}
	for _, p := range strings.Split(item.Primary, ", ") {
		if want[p] {
			last++
			change = append(change, set(casefile.Headers, last, "unit", strconv.Itoa(unit)), set(casefile.Headers, last, "precinct", p))
		}
	}
	slices.SortFunc(change, func(a, b casefile.Change) int { return strings.Compare(a.String(), b.String()) })
	return [][]casefile.Change{change}
}
