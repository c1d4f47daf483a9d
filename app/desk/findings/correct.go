package findings

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// parts are the things of the second entry whose lines may be shown. They are in the order to use
// if a check does not say where its slips are.
var parts = []finding.Thing{finding.Election, finding.Party, finding.Contest, finding.Choice, finding.Ballot,
	finding.Unit, finding.Precinct}

// FieldLines lists the keyed fields of the things that findings are about, one line for each field
// ("contest/3/title = County Judge"), below comment lines that begin with "#". The user corrects
// the lines. Where a thing may be missing, lines without a value offer a new one. A thing of
// several findings is listed once. If no correction can end a finding, why says what to do instead.
func FieldLines(c *casefile.Case, items ...*review.Item) (lines, why string, err error) {
	for _, i := range items {
		if why := checks.Of(i.Check).Advice; why != "" {
			return "", why, nil
		}
	}
	var b strings.Builder
	for source := 0; source <= len(c.State().Joined); source++ {
		l := &fieldLister{b: &b, source: source, rows: map[casefile.Table][]casefile.KeyedRow{},
			next: map[casefile.Table]int{}, listed: map[string]bool{}}
		for t := casefile.Facts; t <= casefile.Headers; t++ {
			if l.rows[t], err = c.ShownRows(source, t); err != nil {
				return "", "", err
			}
			for _, row := range l.rows[t] {
				l.next[t] = max(l.next[t], row.Row)
			}
		}
		for _, i := range items {
			l.item, l.check, l.begun = i, checks.Of(i.Check), nil
			list := l.check.Keyed
			if len(list) == 0 {
				list = parts
			}
			for _, p := range list {
				l.part(p)
			}
			for _, known := range l.begun {
				l.listed[known] = true
			}
		}
	}
	if b.Len() == 0 {
		return "", "Nothing that was keyed goes with this finding, so no line can be corrected here. Where something was " +
			"left out altogether, enter an amendment (A): the second party then keys it, blind.", nil
	}
	return b.String(), "", nil
}

// fieldLister writes the lines of one source.
type fieldLister struct {
	b      *strings.Builder
	source int
	item   *review.Item // the finding whose lines are being written
	check  *checks.Check
	rows   map[casefile.Table][]casefile.KeyedRow
	next   map[casefile.Table]int // the last row number, including new rows
	// listed are the fields already in the text, and the new rows of earlier findings, by what is
	// known of them; begun are the new rows of this finding.
	listed map[string]bool
	begun  []string
	over   string // explanation for the next line, if there is one
}

// say writes an explanation above the lines that follow; nothing if no lines follow.
func (l *fieldLister) say(format string, args ...any) {
	l.over = fmt.Sprintf("# "+format+"\n", args...)
}

// remark writes an explanation on its own.
func (l *fieldLister) remark(format string, args ...any) {
	words := fmt.Sprintf("# "+format+"\n", args...)
	if !l.listed[words] {
		l.listed[words] = true
		l.b.WriteString(words)
	}
}

func (l *fieldLister) line(words string) {
	l.b.WriteString(l.over)
	l.b.WriteString(words)
	l.over = ""
}

// row writes the fields of a row; all columns if none are named.
func (l *fieldLister) row(t casefile.Table, row casefile.KeyedRow, only ...string) {
	for n, column := range t.Columns() {
		if n >= len(row.Cells) {
			continue
		}
		value := row.Cells[n]
		base, further := strings.CutSuffix(column, "[]")
		if further != (l.item.Language != "") || len(only) > 0 && !slices.Contains(only, base) {
			continue // a finding on a further language is settled in its fields alone
		}
		if further {
			column, value = base+"["+l.item.Language+"]", sheets.FurtherIn(value, l.item.Language)
		}
		f := casefile.Field{Source: l.source, Table: t, Row: row.Row, Column: column}
		if l.listed[f.String()] || strings.Contains(value, "\n") {
			continue
		}
		l.listed[f.String()] = true
		l.line(fmt.Sprintf("%s = %s\n", f, value))
	}
}

// fresh writes the empty fields of a new row, with the values already known.
func (l *fieldLister) fresh(t casefile.Table, known map[string]string) {
	if name := fmt.Sprint(t, known); t != casefile.Units { // each omitted unit is a separate one
		if l.listed[name] {
			l.over = ""
			return
		}
		l.begun = append(l.begun, name)
	}
	l.next[t]++
	for _, column := range t.Columns() {
		f := casefile.Field{Source: l.source, Table: t, Row: l.next[t], Column: column}
		if value, ok := known[column]; ok {
			// A row without any other value is not created.
			l.line(fmt.Sprintf("+ %s = %s\n", f, value))
			continue
		}
		if strings.HasSuffix(column, "[]") {
			continue
		}
		l.line(fmt.Sprintf("%s = \n", f))
	}
}

func (l *fieldLister) contests() (out []casefile.KeyedRow) {
	for _, row := range l.rows[casefile.Contests] {
		if l.item.Contest != "" && wording.Normal(l.title(row)) == wording.Normal(l.item.Contest) {
			out = append(out, row)
		}
	}
	return out
}

func (l *fieldLister) title(row casefile.KeyedRow) string {
	return strings.TrimSpace(cell(casefile.Contests, row, "title") + " " + cell(casefile.Contests, row, "subtitle"))
}

func (l *fieldLister) part(p finding.Thing) {
	i := l.item
	switch p {
	case finding.Election:
		if i.Contest == "" && i.Unit == "" && len(i.Precincts) == 0 {
			l.say("The election")
			for _, row := range l.rows[casefile.Facts] {
				l.row(casefile.Facts, row)
			}
		}
	case finding.Party:
		if len(l.rows[casefile.Parties]) == 0 {
			return
		}
		l.say("The parties")
		for _, row := range l.rows[casefile.Parties] {
			l.row(casefile.Parties, row)
		}
	case finding.Contest:
		for _, row := range l.contests() {
			l.say("The contest %s", l.title(row))
			l.row(casefile.Contests, row, "title", "subtitle", "kind", "vote_for", "primary_party", "text")
		}
	case finding.Choice:
		for _, row := range l.contests() {
			l.say("The choices of %s; position says the order, and 2.5 is between 2 and 3", l.title(row))
			for _, choice := range l.rows[casefile.Choices] {
				if cell(casefile.Choices, choice, "contest") == strconv.Itoa(row.Row) {
					l.row(casefile.Choices, choice, "contest", "position", "name", "party_lines", "write_in", "person")
				}
			}
			l.say("A choice that was left out; to take one away, empty all its lines")
			l.fresh(casefile.Choices, map[string]string{"contest": strconv.Itoa(row.Row)})
		}
	case finding.Precinct:
		l.roster()
	case finding.Ballot:
		l.faces()
	case finding.Unit:
		l.units()
	}
}

func (l *fieldLister) roster() {
	if len(l.item.Precincts) == 0 {
		return
	}
	l.say("The official roster, as far as the finding names it")
	for _, row := range l.rows[casefile.Precincts] {
		if slices.Contains(l.item.Precincts, cell(casefile.Precincts, row, "precinct")) {
			l.row(casefile.Precincts, row)
		}
	}
	l.say("A precinct that was left out")
	l.fresh(casefile.Precincts, nil)
}

// faces writes the ballot faces that the finding is about, by label and by precinct, with their
// contests and precincts.
func (l *fieldLister) faces() {
	i := l.item
	wanted := func(face casefile.KeyedRow) bool {
		if label := cell(casefile.Faces, face, "style"); label != "" &&
			(label == i.Style || label == i.Second || label == i.Primary) {
			return true
		}
		if slices.Contains(i.Precincts, cell(casefile.Faces, face, "precinct")) {
			return true
		}
		return slices.ContainsFunc(l.rows[casefile.Assignments], func(give casefile.KeyedRow) bool {
			return cell(casefile.Assignments, give, "face") == strconv.Itoa(face.Row) &&
				slices.Contains(i.Precincts, cell(casefile.Assignments, give, "precinct"))
		})
	}
	titles := map[string]string{}
	for _, row := range l.rows[casefile.Contests] {
		titles[strconv.Itoa(row.Row)] = l.title(row)
	}
	subject := map[string]bool{}
	for _, row := range l.contests() {
		subject[strconv.Itoa(row.Row)] = true
	}
	// If choices may be wrong, a face is shown only for the order of its choices.
	ofChoices := slices.Contains(l.check.Keyed, finding.Choice)
	any := false
	for _, face := range l.rows[casefile.Faces] {
		if !wanted(face) {
			continue
		}
		any = true
		number := strconv.Itoa(face.Row)
		l.say("Face %s %s", number, cell(casefile.Faces, face, "style"))
		l.row(casefile.Faces, face)
		for _, place := range l.rows[casefile.Placements] {
			of := cell(casefile.Placements, place, "contest")
			if cell(casefile.Placements, place, "face") != number || ofChoices && !subject[of] {
				continue
			}
			l.say("  %s on face %s", titles[of], number)
			l.row(casefile.Placements, place)
		}
		if l.check.LeftOut == finding.Content || l.check.LeftOut == finding.Headings {
			l.say("  a contest that was left off face %s: its number, and its position among the others", number)
			l.fresh(casefile.Placements, map[string]string{"face": number})
		}
		for _, give := range l.rows[casefile.Assignments] {
			if cell(casefile.Assignments, give, "face") == number &&
				(len(i.Precincts) == 0 || slices.Contains(i.Precincts, cell(casefile.Assignments, give, "precinct"))) {
				l.row(casefile.Assignments, give)
			}
		}
	}
	if !any {
		return
	}
	if l.check.LeftOut == finding.Style {
		l.say("A precinct that was not given to a face")
		l.fresh(casefile.Assignments, nil)
	}
	l.remark("The numbers of the faces: %s",
		l.numbers(casefile.Faces, func(row casefile.KeyedRow) string { return cell(casefile.Faces, row, "style") }))
	if l.check.LeftOut == finding.Content {
		l.remark("The numbers of the contests: %s", l.numbers(casefile.Contests, l.title))
		l.remark("A contest that was not keyed at all is better opened by an amendment (A): the second party then keys " +
			"it, blind")
	}
}

func (l *fieldLister) numbers(t casefile.Table, name func(casefile.KeyedRow) string) string {
	var list []string
	for _, row := range l.rows[t] {
		list = append(list, fmt.Sprintf("%d %s", row.Row, name(row)))
	}
	return strings.Join(list, ", ")
}

func (l *fieldLister) units() {
	i := l.item
	found := false
	for _, row := range l.rows[casefile.Units] {
		if i.Unit == "" || wording.Normal(cell(casefile.Units, row, "unit")) != wording.Normal(i.Unit) {
			continue
		}
		found = true
		l.say("The voting unit %s, and what its card header names", i.Unit)
		l.row(casefile.Units, row)
		for _, header := range l.rows[casefile.Headers] {
			if cell(casefile.Headers, header, "unit") == strconv.Itoa(row.Row) {
				l.row(casefile.Headers, header)
			}
		}
		l.say("A precinct that was left off the header; to take one away, empty both its lines")
		l.fresh(casefile.Headers, map[string]string{"unit": strconv.Itoa(row.Row)})
	}
	if !found && i.Unit != "" {
		l.say("A voting unit that was left out, and the precincts that its card header names")
		l.fresh(casefile.Units, nil)
		unit := strconv.Itoa(l.next[casefile.Units])
		for range max(1, len(i.Precincts)) {
			l.fresh(casefile.Headers, map[string]string{"unit": unit})
		}
	}
	if l.check.LeftOut == finding.Precincts {
		l.say("Card headers to which the precinct may belong; the numbers of the units: %s",
			l.numbers(casefile.Units, func(row casefile.KeyedRow) string { return cell(casefile.Units, row, "unit") }))
		l.fresh(casefile.Headers, nil)
	}
}

func cell(t casefile.Table, row casefile.KeyedRow, column string) string {
	for n, c := range t.Columns() {
		if c == column && n < len(row.Cells) {
			return row.Cells[n]
		}
	}
	return ""
}

// ReadFieldLines reads lines as FieldLines writes them and returns the changes. It skips lines that
// begin with "#". A line that begins with "+" belongs to a new row, and counts only if another line
// of that row has a value.
func ReadFieldLines(c *casefile.Case, text string) ([]casefile.Change, error) {
	type row struct {
		source int
		table  casefile.Table
		row    int
	}
	var out []casefile.Change
	begun := map[row][]casefile.Change{}
	valued := map[row]bool{}
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimLeft(line, " ")
		if strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#") {
			continue
		}
		given := strings.HasPrefix(line, "+")
		path, value, ok := strings.Cut(strings.TrimPrefix(line, "+"), " =")
		if !ok {
			return nil, fmt.Errorf(`line %d has no " = " between the field and its value`, n+1)
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
		if now == value {
			continue
		}
		id := row{f.Source, f.Table, f.Row}
		if given {
			begun[id] = append(begun[id], casefile.Change{Field: f, Value: value})
			continue
		}
		valued[id] = valued[id] || value != ""
		out = append(out, casefile.Change{Field: f, Value: value})
	}
	for id, changes := range begun {
		if valued[id] {
			out = append(out, changes...)
		}
	}
	slices.SortFunc(out, func(a, b casefile.Change) int {
		return strings.Compare(a.Field.String(), b.Field.String())
	})
	return out, nil
}
