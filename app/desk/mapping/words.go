package mapping

import (
	"fmt"
	"strings"

	"counterproof/model/tables"
)

// NotCompared is what a column is called that is not compared.
const NotCompared = "not compared"

// ColumnWords says what a column is taken for, and whether that is compared.
func ColumnWords(c tables.ProposedColumn) (words string, compared bool) {
	switch {
	case c.Role == "" && len(c.As) > 0:
		return c.As[0], true // a column for each contest, precinct or style
	case c.Role == "":
		return NotCompared, false
	case len(c.As) == 0:
		return RoleWords(c.Role) + "; not needed here, so " + NotCompared, false
	}
	return RoleWords(c.Role), true
}

// RoleWords is what a role is called.
func RoleWords(role tables.Role) string {
	for _, r := range tables.Roles() {
		if r.Role == role {
			return r.Words
		}
	}
	return string(role)
}

// HeaderWords says which row names the columns of a table.
func HeaderWords(t tables.ProposedTable) string {
	switch {
	case t.Header > 0:
		return fmt.Sprintf("Row %d names the columns.", t.Header)
	case len(t.Columns) > 0:
		return "No row names the columns; they are called A, B, C."
	}
	return "No row is known to name the columns, and the table is left out."
}

// RowWords is a row of a table in one line.
func RowWords(r tables.TopRow) string {
	words := strings.Join(r.Cells, " | ")
	for strings.HasSuffix(words, " | ") {
		words = strings.TrimSuffix(words, " | ")
	}
	return words
}

// Line is a line of the ballots that come of a mapping.
type Line struct {
	Text string
	// Level is 0 for a ballot, 1 for a contest and 2 for a choice.
	Level int
}

// Lines are ballots line by line.
func Lines(ballots []tables.Ballot) (out []Line) {
	for _, b := range ballots {
		name := strings.TrimSpace("Ballot " + b.Label)
		if b.Parties != "" {
			name += ", for voters of " + b.Parties
		}
		out = append(out, Line{name + ", in " + strings.Join(b.Precincts, ", "), 0})
		for _, c := range b.Contests {
			for _, h := range c.Headings {
				out = append(out, Line{"[" + h + "]", 1})
			}
			out = append(out, Line{c.Title, 1})
			for _, name := range c.Choices {
				out = append(out, Line{name, 2})
			}
		}
	}
	return out
}

// Meanings are what values of columns of codes can mean, by role.
func Meanings(role tables.Role) []string {
	switch role {
	case "kind":
		return []string{"candidate", "measure", "retention", "party"}
	case "write_in":
		return []string{"yes", ""}
	}
	return nil
}
