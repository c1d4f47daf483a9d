package results

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/sheets"
)

// Columns says which columns of a table of results hold what: by what is held, the column's name. It
// is nil for a table with the columns of key.csv.
type Columns map[string]string

// tableColumns are what a table of any layout may hold; the first four it must.
var tableColumns = []string{"precinct", "contest", "choice", "count", "party", "line", "unit"}

const columnsRemedy = "write, as in precinct=Pct,contest=Race,choice=Candidate,count=Votes, which column is which; " +
	"party (of a primary), line (the party line of a choice) and unit may be there too"

// ReadColumns reads columns as in "precinct=Pct,contest=Race,choice=Candidate,count=Votes". An empty
// text is nil.
func ReadColumns(text string) (Columns, error) {
	if text == "" {
		return nil, nil
	}
	out := Columns{}
	for _, part := range strings.Split(text, ",") {
		what, name, ok := strings.Cut(part, "=")
		what, name = strings.TrimSpace(what), strings.TrimSpace(name)
		if !ok || name == "" || !slices.Contains(tableColumns, what) || out[what] != "" {
			return nil, fmt.Errorf("%.80q says nothing of a column, or says it twice; %s", part, columnsRemedy)
		}
		out[what] = name
	}
	for _, what := range tableColumns[:4] {
		if out[what] == "" {
			return nil, fmt.Errorf("no column is named for the %s; %s", what, columnsRemedy)
		}
	}
	return out, nil
}

// ReadAs is Read, with the columns of a table.
func ReadAs(f File, columns Columns) (*Results, error) {
	if columns == nil {
		return Read(f)
	}
	tree, err := f.tree()
	switch {
	case err != nil:
		return nil, unreadable(f, err)
	case tree:
		return Read(f)
	}
	data, sum, err := f.read()
	if err != nil {
		return nil, unreadable(f, err)
	}
	t := &named{columns: columns, e: &model.Election{}, at: map[string]int{}, counts: map[[2]int]int{},
		out: &Results{Name: f.Name, Format: "CSV", SHA256: sum}}
	t.out.Election = t.e
	if err := t.read(f.Name, data); err != nil {
		return nil, err
	}
	t.finish()
	return t.out, nil
}

// named makes an election, and counts, of rows that name precincts, contests and choices.
type named struct {
	columns Columns
	e       *model.Election
	out     *Results
	at      map[string]int
	counts  map[[2]int]int // by area and contest: place in out.Tallies
}

func (t *named) read(file string, data []byte) error {
	rows, err := sheets.OpenRows(file, data)
	if err != nil {
		return err
	}
	fields, line, err := rows.Next()
	if err == io.EOF {
		return fault(Place{File: file}, "", "the first row names the columns", "the file is empty")
	}
	if err != nil {
		return err
	}
	places := map[string]int{}
	for _, what := range tableColumns {
		name := t.columns[what]
		if name == "" {
			continue
		}
		i := slices.IndexFunc(fields, func(f string) bool { return strings.EqualFold(strings.TrimSpace(f), name) })
		if i < 0 {
			return fault(Place{File: file, Line: line}, name, "write its name as the first row has it",
				"the file lacks this column")
		}
		places[what] = i
	}
	for {
		fields, line, err := rows.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		cell := func(what string) string {
			if i, ok := places[what]; ok && i < len(fields) {
				return strings.TrimSpace(fields[i])
			}
			return ""
		}
		if strings.TrimSpace(strings.Join(fields, "")) == "" {
			continue
		}
		if e := t.row(cell, Place{File: file, Line: line}); e != nil {
			return e
		}
	}
	if len(t.out.Tallies) == 0 {
		return fault(Place{File: file}, "", "it has one row for each count", "the table holds no count")
	}
	return nil
}

func (t *named) row(cell func(string) string, at Place) *Error {
	for _, what := range tableColumns[:3] {
		if cell(what) == "" {
			return fault(at, t.columns[what], "remove the row, or write what it counts", "the row names no %s", what)
		}
	}
	n, ok := readNumber(strings.ReplaceAll(cell("count"), ",", ""))
	if !ok {
		return fault(at, t.columns["count"], fmt.Sprintf("write digits, from 0 to %d", MaxNumber), "%.80q is not a count",
			cell("count"))
	}
	contest := t.contest(cell("contest"), cell("party"))
	tally := t.tally(t.precinct(cell("precinct")), contest, t.unit(cell("unit")), at.Line)
	into := tally.other(cell("choice"))
	for again := 0; into == nil || into.Known && isWriteIn(cell("choice")); again++ {
		j := t.choice(tally.Contest, cell("choice"), cell("line"), again) // each write-in line has its row
		for len(tally.Votes) <= j {
			tally.Votes = append(tally.Votes, model.Stated[int]{})
		}
		into = &tally.Votes[j]
	}
	if into.Known {
		return fault(at, t.columns["choice"], "remove one of them", "the row counts %.80q a second time", cell("choice"))
	}
	*into = model.Say(n)
	return nil
}

// other is where a count belongs that is no choice's, by what people call it (from memory); nil for
// the name of a choice.
func (t *Tally) other(name string) *model.Stated[int] {
	word := strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -_", r) {
			return -1
		}
		return r
	}, strings.ToLower(name))
	switch word {
	case "overvotes", "overvote":
		return &t.Overvotes
	case "undervotes", "undervote":
		return &t.Undervotes
	case "ballots", "ballotscast", "ballotscounted":
		return &t.Ballots
	}
	return nil
}

// find returns the number of a thing by its name, and whether it is new.
func (t *named) find(kind, name string, count int) (int, bool) {
	key := kind + "\x00" + name
	if i, ok := t.at[key]; ok {
		return i, false
	}
	t.at[key] = count
	return count, true
}

func (t *named) precinct(name string) int {
	i, fresh := t.find("precinct", name, len(t.e.Precincts))
	if fresh {
		t.e.Precincts = append(t.e.Precincts, model.Precinct{Name: model.Plain(name)})
		t.e.Styles = append(t.e.Styles, model.Style{Precincts: []int{i}})
	}
	return i
}

func (t *named) unit(name string) int {
	if name == "" {
		return -1
	}
	i, fresh := t.find("unit", name, len(t.e.Units))
	if fresh {
		t.e.Units = append(t.e.Units, model.Unit{Name: name})
	}
	return i
}

func (t *named) party(name string) []int {
	if name == "" {
		return []int{}
	}
	i, fresh := t.find("party", name, len(t.e.Parties))
	if fresh {
		t.e.Parties = append(t.e.Parties, model.Party{Name: said(name), Abbreviation: said(name)})
	}
	return []int{i}
}

func (t *named) contest(title, party string) int {
	i, fresh := t.find("contest", title+"\x00"+party, len(t.e.Contests))
	if fresh {
		c := model.Contest{Name: said(title)}
		if t.columns["party"] != "" {
			c.PrimaryParties = model.Say(t.party(party))
		}
		t.e.Contests = append(t.e.Contests, c)
	}
	return i
}

func (t *named) choice(contest int, name, line string, again int) int {
	c := &t.e.Contests[contest]
	j, fresh := t.find(fmt.Sprint("choice ", contest), fmt.Sprint(name, "\x00", line, "\x00", again), len(c.Choices))
	if fresh {
		ch := model.Choice{Name: said(name), WriteIn: isWriteIn(name)}
		if t.columns["line"] != "" {
			ch.Lines = model.Say(t.party(line))
		}
		if !ch.WriteIn {
			ch.Person = name
		}
		c.Choices = append(c.Choices, ch)
	}
	return j
}

// isWriteIn tells by what people call it (from memory) that a row counts write-ins.
func isWriteIn(name string) bool {
	word := strings.ToLower(strings.NewReplacer("-", "", " ", "").Replace(name))
	return word == "writein" || word == "writeins"
}

func (t *named) tally(precinct, contest, unit, line int) *Tally {
	key := [2]int{t.areaOf(precinct, unit), contest}
	i, ok := t.counts[key]
	if !ok {
		i = len(t.out.Tallies)
		t.counts[key] = i
		t.out.Tallies = append(t.out.Tallies, Tally{Unit: unit, Precincts: []int{precinct}, Contest: contest, Line: line})
		st := &t.e.Styles[precinct]
		if !slices.ContainsFunc(st.Content, func(p model.Placement) bool { return p.Contest == contest }) {
			st.Content = append(st.Content, model.Placement{Contest: contest})
		}
	}
	return &t.out.Tallies[i]
}

func (t *named) areaOf(precinct, unit int) int {
	i, _ := t.find("area", fmt.Sprint(precinct, " ", unit), len(t.at))
	return i
}

// finish gives every tally a place for each choice of its contest.
func (t *named) finish() {
	for i := range t.out.Tallies {
		tally := &t.out.Tallies[i]
		for len(tally.Votes) < len(t.e.Contests[tally.Contest].Choices) {
			tally.Votes = append(tally.Votes, model.Stated[int]{})
		}
	}
	t.e.Origins.Description = cmp.Or(t.out.Name, "a table")
}
