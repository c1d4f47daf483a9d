package findings

import (
	"fmt"
	"strings"

	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// Outcome is one of the four outcomes, for people.
type Outcome struct {
	Outcome casefile.Outcome
	// Key decides so; Label and Words say what it means.
	Key          rune
	Label, Words string
	// Document: the pair has to name what it looked at.
	Document bool
}

// Outcomes are the four, in the order in which they are offered.
var Outcomes = []Outcome{
	{casefile.OutcomeFixConfiguration, '1', "Fix the configuration", "The export is wrong. The finding waits for an export that puts it right.", false},
	{casefile.OutcomeKeyingSlip, '2', "Keying slip", "The second entry is wrong. A correction that both sign mends it.", true},
	{casefile.OutcomeAsCertified, '3', "As certified", "Both looked at the certified document, and it stays as it is.", true},
	{casefile.OutcomeRefer, '4', "Refer", "The supervisor is to decide.", false},
}

// Signers returns who has to sign a decision on the items: the pair, and a
// supervisor where one of them was referred.
func Signers(state *casefile.State, items []*review.Item, o casefile.Outcome) (out []casefile.Person) {
	seats := []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond}
	for _, i := range items {
		if i.Status == review.StatusReferred && o != casefile.OutcomeRefer {
			seats = append(seats, casefile.SeatSupervisor)
			break
		}
	}
	for _, seat := range seats {
		if holders := state.Holders(seat); len(holders) > 0 {
			out = append(out, holders[0])
		}
	}
	return out
}

// KeysOf gives each person a key of their own: the first letter of the name, or
// numbers where two share a letter.
func KeysOf(people []casefile.Person) []rune {
	keys := make([]rune, len(people))
	seen := map[rune]bool{}
	for i, p := range people {
		for _, r := range strings.ToLower(p.Name) {
			keys[i] = r
			break
		}
		if keys[i] == 0 || seen[keys[i]] {
			for n := range keys {
				keys[n] = rune('1' + n)
			}
			return keys
		}
		seen[keys[i]] = true
	}
	return keys
}

// FieldLines lists what was keyed of the contest or unit of a finding, a line for
// each field ("contest/3/title = County Judge"), to be corrected by typing.
func FieldLines(c *casefile.Case, i *review.Item) (string, error) {
	var b strings.Builder
	for source := 0; source <= len(c.State().Joined); source++ {
		write := func(t casefile.Table, row casefile.KeyedRow, only ...string) {
			for n, column := range t.Columns() {
				for _, want := range only {
					if column == want && n < len(row.Cells) && !strings.Contains(row.Cells[n], "\n") {
						f := casefile.Field{Source: source, Table: t, Row: row.Row, Column: column}
						fmt.Fprintf(&b, "%s = %s\n", f, row.Cells[n])
					}
				}
			}
		}
		contests, err := c.Rows(source, casefile.Contests)
		if err != nil {
			return "", err
		}
		choices, err := c.Rows(source, casefile.Choices)
		if err != nil {
			return "", err
		}
		for _, row := range contests {
			title := cell(casefile.Contests, row, "title")
			if sub := cell(casefile.Contests, row, "subtitle"); sub != "" {
				title += " " + sub
			}
			if i.Contest == "" || wording.Normal(title) != wording.Normal(i.Contest) {
				continue
			}
			write(casefile.Contests, row, "title", "subtitle", "kind", "vote_for", "primary_party", "text")
			for _, choice := range choices {
				if cell(casefile.Choices, choice, "contest") == fmt.Sprint(row.Row) {
					write(casefile.Choices, choice, "name", "party_lines", "write_in", "person")
				}
			}
		}
		if i.Unit == "" {
			continue
		}
		units, err := c.Rows(source, casefile.Units)
		if err != nil {
			return "", err
		}
		for _, row := range units {
			if wording.Normal(cell(casefile.Units, row, "unit")) == wording.Normal(i.Unit) {
				write(casefile.Units, row, casefile.Units.Columns()...)
			}
		}
	}
	return b.String(), nil
}

func cell(t casefile.Table, row casefile.KeyedRow, column string) string {
	for n, c := range t.Columns() {
		if c == column && n < len(row.Cells) {
			return row.Cells[n]
		}
	}
	return ""
}

// ReadFieldLines reads lines as FieldLines writes them and returns what they change.
func ReadFieldLines(c *casefile.Case, text string) ([]casefile.Change, error) {
	var out []casefile.Change
	for n, line := range strings.Split(text, "\n") {
		if strings.TrimSpace(line) == "" {
			continue
		}
		path, value, ok := strings.Cut(line, " =")
		if !ok {
			return nil, fmt.Errorf("line %d has no “ = ” between the field and its value", n+1)
		}
		f, err := casefile.ParseField(strings.TrimSpace(path))
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n+1, err)
		}
		value = strings.TrimPrefix(value, " ")
		now, _, err := c.Value(f)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n+1, err)
		}
		if now != value {
			out = append(out, casefile.Change{Field: f, Value: value})
		}
	}
	return out, nil
}

// ChangeWords says what a correction would change, a line for each field.
func ChangeWords(c *casefile.Case, changes []casefile.Change) (out []string) {
	for _, ch := range changes {
		now, _, err := c.Value(ch.Field)
		if err != nil || now == ch.Value {
			continue
		}
		what := ch.Table.String() + ", " + strings.ReplaceAll(ch.Column, "_", " ")
		switch {
		case ch.Value == "":
			out = append(out, fmt.Sprintf("%s: “%s” is taken away", what, now))
		case now == "":
			out = append(out, fmt.Sprintf("%s: “%s” is put in", what, ch.Value))
		default:
			out = append(out, fmt.Sprintf("%s: “%s” becomes “%s”", what, now, ch.Value))
		}
	}
	return out
}
