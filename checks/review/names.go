package review

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/casefile"
)

// Names gives rows and fields of the second entry their names for people. It reads each table of
// the case once, on first use.
type Names struct {
	of   *casefile.Case
	rows map[casefile.Row][]string
	read map[casefile.Row]bool // by source and table
}

// NamesIn returns the names of what is keyed in a case. A row that is still blind has only its
// number.
func NamesIn(of *casefile.Case) *Names {
	return &Names{of, map[casefile.Row][]string{}, map[casefile.Row]bool{}}
}

// naming lists the columns that describe a row best.
var naming = map[casefile.Table][]string{
	casefile.Parties: {"name", "party"}, casefile.Precincts: {"precinct"}, casefile.Contests: {"title", "subtitle"},
	casefile.Choices: {"name"}, casefile.Faces: {"style"}, casefile.Units: {"unit"},
}

// references are the columns that hold the row number of another thing.
var references = map[string]casefile.Table{"contest": casefile.Contests, "face": casefile.Faces, "unit": casefile.Units}

// refers returns the table that a column refers to.
func refers(table casefile.Table, column string) (casefile.Table, bool) {
	to, ok := references[column]
	return to, ok && to != table // the column contest of contests is their own code
}

func (n *Names) cells(row casefile.Row) ([]string, error) {
	table := casefile.Row{Source: row.Source, Table: row.Table}
	if !n.read[table] {
		list, err := n.of.ShownRows(row.Source, row.Table)
		if err != nil {
			return nil, err
		}
		for _, r := range list {
			n.rows[casefile.Row{Source: row.Source, Table: row.Table, Row: r.Row}] = r.Cells
		}
		n.read[table] = true
	}
	return n.rows[row], nil
}

// Row names a row: `contest "County Judge"`, `choice "Ines Carrasquel" of contest "County Judge"`,
// `contest "County Judge" on face "BS-03"`. If no keyed value names the row, it returns the row's number.
func (n *Names) Row(r casefile.Row) (string, error) {
	name, err := n.row(r)
	if r.Source > 0 && err == nil {
		name += fmt.Sprintf(" (joined case %d)", r.Source)
	}
	return name, err
}

func (n *Names) row(r casefile.Row) (string, error) {
	cells, err := n.cells(r)
	if err != nil {
		return "", err
	}
	values, other := map[string]string{}, map[string]string{}
	var words []string
	for i, column := range r.Table.Columns() {
		if i >= len(cells) || cells[i] == "" {
			continue
		}
		values[column] = cells[i]
		if slices.Contains(naming[r.Table], column) {
			words = append(words, cells[i])
		}
		if _, ok := refers(r.Table, column); ok {
			if other[column], err = n.refer(r, column, cells[i]); err != nil {
				return "", err
			}
		}
	}
	out := fmt.Sprintf("%s %d", r.Table, r.Row)
	if len(words) > 0 {
		out = fmt.Sprintf("%s %q", r.Table, strings.Join(words, " "))
	}
	switch r.Table {
	case casefile.Choices:
		return joined(out, " of ", other["contest"]), nil
	case casefile.Placements:
		return joined(cmp.Or(other["contest"], out), " on ", other["face"]), nil
	case casefile.Assignments:
		return joined(precinct(values, out), " on ", other["face"]), nil
	case casefile.Headers:
		return joined(precinct(values, out), " on the card header of ", other["unit"]), nil
	}
	return out, nil
}

func precinct(values map[string]string, otherwise string) string {
	if values["precinct"] == "" {
		return otherwise
	}
	return fmt.Sprintf("precinct %q", values["precinct"])
}

func joined(thing, word, parent string) string {
	if parent == "" {
		return thing
	}
	return thing + word + parent
}

// refer names the row that a column of r refers to; empty for a value that is no row number.
func (n *Names) refer(r casefile.Row, column, value string) (string, error) {
	to, _ := refers(r.Table, column)
	number, err := strconv.Atoi(value)
	if err != nil {
		return "", nil // what is keyed there is no row number, so it names nothing
	}
	return n.row(casefile.Row{Source: r.Source, Table: to, Row: number})
}

// Value says what a value of a field means: the name of the row that it refers to, or the value itself.
func (n *Names) Value(f casefile.Field, value string) (string, error) {
	if _, ok := refers(f.Table, f.Column); !ok || value == "" {
		return value, nil
	}
	name, err := n.refer(casefile.Row{Source: f.Source, Table: f.Table, Row: f.Row}, f.Column, value)
	return cmp.Or(name, value), err
}

// Field names a field: `vote for of contest "County Judge"`.
func (n *Names) Field(f casefile.Field) (string, error) {
	name, err := n.Row(casefile.Row{Source: f.Source, Table: f.Table, Row: f.Row})
	return strings.ReplaceAll(f.Column, "_", " ") + " of " + name, err
}
