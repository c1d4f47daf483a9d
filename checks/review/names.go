package review

import (
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

// parents lists the columns that refer to another row.
var parents = map[casefile.Table]struct {
	column string
	table  casefile.Table
}{
	casefile.Choices: {"contest", casefile.Contests}, casefile.Placements: {"face", casefile.Faces},
	casefile.Assignments: {"face", casefile.Faces}, casefile.Headers: {"unit", casefile.Units},
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

// Row names a row: `contest "County Judge"`, `choice "Ines Carrasquel" of contest "County Judge"`.
// If no keyed value names the row, it returns the row's number.
func (n *Names) Row(r casefile.Row) (string, error) {
	cells, err := n.cells(r)
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
			if number, err := strconv.Atoi(cells[i]); err == nil {
				if parent, err = n.Row(casefile.Row{Source: r.Source, Table: p.table, Row: number}); err != nil {
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

// Field names a field: `vote for of contest "County Judge"`.
func (n *Names) Field(f casefile.Field) (string, error) {
	name, err := n.Row(casefile.Row{Source: f.Source, Table: f.Table, Row: f.Row})
	return strings.ReplaceAll(f.Column, "_", " ") + " of " + name, err
}
