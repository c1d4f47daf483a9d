package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// reader reads rows of the second entry: for the keyer, everything that is keyed
// (casefile.Case.Rows); for others, without what is blind (casefile.Case.ShownRows).
type reader func(source int, t casefile.Table) ([]casefile.KeyedRow, error)

// parseChanges reads FIELD=VALUE. A field is TABLE/ROW/COLUMN as in the record
// (contest/17/vote_for, or 2:contest/17/vote_for in the second joined case). Instead of the row
// number, the user may give a name: the contest's code, the unit, the precinct, the party, the
// style, or CODE:POSITION for a choice.
func parseChanges(of reader, list []string) ([]casefile.Change, error) {
	changes := make([]casefile.Change, 0, len(list))
	for _, text := range list {
		path, value, given := strings.Cut(text, "=")
		if !given {
			return nil, fmt.Errorf("--set: %q gives no value; write FIELD=VALUE, as contest/judge/vote_for=2, and FIELD= for "+
				"a field that is not keyed", text)
		}
		field, err := fieldAt(of, path)
		if err != nil {
			return nil, err
		}
		changes = append(changes, casefile.Change{Field: field, Value: value})
	}
	return changes, nil
}

// fieldAt finds the field for a path.
func fieldAt(of reader, path string) (casefile.Field, error) {
	if field, err := casefile.ParseField(path); err == nil {
		return field, nil
	}
	source, rest := 0, path
	if before, after, found := strings.Cut(path, ":"); found {
		if n, err := strconv.Atoi(before); err == nil {
			source, rest = n, after
		}
	}
	first, last := strings.IndexByte(rest, '/'), strings.LastIndexByte(rest, '/')
	if first < 0 || first == last {
		return casefile.Field{},
			fmt.Errorf("--set: %q names no field; a field is TABLE/ROW/COLUMN, as contest/judge/vote_for or choice/judge:2/name",
				path)
	}
	table, name, column := rest[:first], rest[first+1:last], rest[last+1:]
	for t := casefile.Facts; t <= casefile.Headers; t++ {
		if t.String() != table {
			continue
		}
		row, err := rowNamed(of, source, t, name)
		if err != nil {
			return casefile.Field{}, err
		}
		stored := column
		if further, _, is := sheets.FurtherColumn(column); is {
			stored = further // "title[es]" is stored in "title[]"
		}
		if !slices.Contains(t.Columns(), stored) {
			return casefile.Field{}, fmt.Errorf("--set: a %s has no %q; it has %s", t, column, strings.Join(t.Columns(), ", "))
		}
		return casefile.Field{Source: source, Table: t, Row: row, Column: column}, nil
	}
	return casefile.Field{}, fmt.Errorf("--set: there is no table %q; the tables are facts, party, precinct, contest, "+
		"choice, face, place, give, unit and header", table)
}

// rowNamed finds the row of a table by name.
func rowNamed(of reader, source int, t casefile.Table, name string) (int, error) {
	if n, err := strconv.Atoi(name); err == nil && n > 0 && t != casefile.Precincts {
		return n, nil
	}
	rows, err := of(source, t)
	if err != nil {
		return 0, err
	}
	cell := func(r casefile.KeyedRow, column string) string {
		return r.Cells[slices.Index(t.Columns(), column)]
	}
	var is func(casefile.KeyedRow) bool
	switch t {
	case casefile.Contests:
		is = func(r casefile.KeyedRow) bool { return cell(r, "contest") == name || cell(r, "title") == name }
	case casefile.Choices:
		code, position, found := strings.Cut(name, ":")
		if !found {
			return 0, fmt.Errorf("--set: %q names no choice; write its contest's code and its position, as judge:2", name)
		}
		contest, err := rowNamed(of, source, casefile.Contests, code)
		if err != nil {
			return 0, err
		}
		is = func(r casefile.KeyedRow) bool {
			return cell(r, "contest") == strconv.Itoa(contest) && cell(r, "position") == position
		}
	case casefile.Parties:
		is = func(r casefile.KeyedRow) bool { return cell(r, "party") == name }
	case casefile.Precincts:
		is = func(r casefile.KeyedRow) bool { return cell(r, "precinct") == name }
	case casefile.Units:
		is = func(r casefile.KeyedRow) bool { return cell(r, "unit") == name }
	case casefile.Faces:
		is = func(r casefile.KeyedRow) bool { return cell(r, "style") == name }
	default:
		return 0, fmt.Errorf("--set: a row of the table %s goes by its number, not by %q", t, name)
	}
	var found []int
	for _, r := range rows {
		if is(r) {
			found = append(found, r.Row)
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return 0, fmt.Errorf("--set: %q means several rows of the table %s: %s; name one by its number", name,
			t, numbers(found))
	}
	return 0, fmt.Errorf("--set: the second entry has no %s %q; check how it was keyed; nothing is shown before its "+
		"seal", t, name)
}

func numbers(list []int) string {
	words := make([]string, len(list))
	for i, n := range list {
		words[i] = strconv.Itoa(n)
	}
	return strings.Join(words, ", ")
}

// changeWords describes a change: the field, the thing it belongs to, the current value and the new
// one. Nobody should have to sign for a row that is only a number.
func changeWords(of *casefile.Case, change casefile.Change) string {
	now, _, err := of.Value(change.Field)
	if err != nil {
		now = ""
	}
	show := func(value string) string {
		if value == "" {
			return "(not keyed)"
		}
		return strconv.Quote(value)
	}
	whose := thingOf(of, change.Source, change.Table, change.Row)
	if whose != "" {
		whose = " (" + whose + ")"
	}
	return fmt.Sprintf("%s%s: %s becomes %s", change.Field, whose, show(now), show(change.Value))
}

// thingOf names a row by its keyed values: a contest by its title, a choice by its position and
// contest, anything else by its own name. It is empty for a new row and for the election's facts.
func thingOf(of *casefile.Case, source int, t casefile.Table, row int) string {
	rows, err := of.ShownRows(source, t)
	if err != nil {
		return ""
	}
	at := slices.IndexFunc(rows, func(r casefile.KeyedRow) bool { return r.Row == row })
	if at < 0 {
		return ""
	}
	cell := func(column string) string { return rows[at].Cells[slices.Index(t.Columns(), column)] }
	other := func(in casefile.Table, column string) string {
		n, err := strconv.Atoi(cell(column))
		if err != nil {
			return ""
		}
		return thingOf(of, source, in, n)
	}
	switch t {
	case casefile.Contests:
		title := cell("title")
		if subtitle := cell("subtitle"); subtitle != "" && subtitle != "-" {
			title = strings.TrimSpace(title + " " + subtitle)
		}
		return title
	case casefile.Choices:
		return strings.TrimSuffix(fmt.Sprintf("position %s of %s", cell("position"), other(casefile.Contests, "contest")),
			" of ")
	case casefile.Placements:
		return strings.Trim(other(casefile.Faces, "face")+", "+other(casefile.Contests, "contest"), ", ")
	case casefile.Assignments:
		return other(casefile.Faces, "face")
	case casefile.Headers:
		return other(casefile.Units, "unit")
	case casefile.Parties, casefile.Precincts, casefile.Units:
		return cell(t.String())
	case casefile.Faces:
		return cell("style")
	}
	return ""
}
