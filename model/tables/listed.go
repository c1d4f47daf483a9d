package tables

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/model"
	"counterproof/model/sheets"
)

// districtRows is the one sheet that certified documents have and our sheets have not: which district
// a precinct is in, or a contest belongs to.
const districtRows = "districts"

var districtColumns = []string{"district", "precinct", "contest"}

// listedColumns are what a certified document may state, by its kind: sheets and their columns.
var listedColumns = map[model.WitnessKind]map[string][]string{
	model.WitnessCandidates: {
		"contests":   {"contest", "title", "vote_for", "primary_party"},
		"choices":    {"contest", "position", "name", "party_lines"},
		districtRows: {"district", "contest"},
	},
	model.WitnessDistricts: {districtRows: {"district", "precinct", "contest"}},
	model.WitnessSites:     {"precincts": {"precinct", "site", "use"}},
}

// ReadListed reads a certified document through a mapping; nil stands for one whose columns are named
// as in our sheets. An error is one line. Data of the file may be changed.
func ReadListed(f File, m *Mapping, kind model.WitnessKind, options Options) (*model.Listed, Contents, error) {
	if m == nil {
		var err error
		if m, err = ownColumns(f, kind); err != nil {
			return nil, Contents{}, err
		}
	}
	if err := m.lists(kind); err != nil {
		return nil, Contents{}, fmt.Errorf("%s: %w", printable(f.Name), err)
	}
	g, contents, err := gather([]File{f}, m, options)
	if err != nil {
		return nil, contents, err
	}
	if err := g.harmed(); err != nil {
		return nil, contents, err
	}
	l, err := g.listed()
	if err == nil && !states(l, kind) {
		err = fmt.Errorf("%s: the file makes no rows of a %s; check that this is the right file, or correct the mapping",
			printable(f.Name), kind.Words())
	}
	return l, contents, err
}

func states(l *model.Listed, kind model.WitnessKind) bool {
	switch kind {
	case model.WitnessCandidates:
		return slices.ContainsFunc(l.Contests, func(c model.ListedContest) bool { return len(c.Choices) > 0 })
	case model.WitnessDistricts:
		return len(l.Districts) > 0
	}
	return len(l.Sites) > 0
}

// lists refuses what a certified document of the kind does not state.
func (m *Mapping) lists(kind model.WitnessKind) error {
	known := listedColumns[kind]
	for i := range m.Tables {
		for sheet, sources := range m.Tables[i].Rows {
			columns, ok := known[sheet]
			if !ok {
				return fmt.Errorf("a %s has no rows of %s; it has those of %s", kind.Words(), sheet,
					strings.Join(sheetsOf(known), ", "))
			}
			for k := range sources {
				for column := range sources[k].Columns {
					if !slices.Contains(columns, column) {
						return fmt.Errorf("%q of %s is not held against a %s; what it states there is %s", column, sheet,
							kind.Words(), strings.Join(columns, ", "))
					}
				}
			}
		}
	}
	return nil
}

func sheetsOf(known map[string][]string) (out []string) {
	for _, sheet := range sheetNames() {
		if known[sheet] != nil {
			out = append(out, sheet)
		}
	}
	return out
}

// harmed refuses labels that a spreadsheet turned into dates.
func (g *gathered) harmed() error {
	var rows sheets.Sheets
	for _, name := range []string{"precincts", districtRows} {
		p := g.piles[name]
		var first []int // rows, by label
		seen, column := map[string]bool{}, p.columns["precinct"]
		for i := range p.rows {
			if label := p.rows[i].cells[column]; !seen[label] {
				seen[label] = true
				first = append(first, i)
			}
		}
		cells := make([]string, len(columnsOf("precincts")))
		rows.Add("precincts.csv", len(first), func(i int) ([]string, sheets.Place) {
			row := &p.rows[first[i]]
			cells[0] = row.cells[column]
			return cells, row.place()
		})
	}
	if err := rows.Harm(); err != nil {
		return g.pointed(err)
	}
	return nil
}

// listed makes the document of its rows.
func (g *gathered) listed() (*model.Listed, error) {
	l := &model.Listed{}
	at := map[string]int{}
	contest := func(name string, o origin) *model.ListedContest {
		key := canonical(name)
		i, ok := at[key]
		if !ok {
			i, at[key] = len(l.Contests), len(l.Contests)
			l.Contests = append(l.Contests, model.ListedContest{Name: name, Place: placeWords(o.place())})
		}
		return &l.Contests[i]
	}
	contests := g.piles["contests"]
	for i := range contests.rows {
		row := &contests.rows[i]
		c := contest(contests.cell(row.cells, "contest"), row.origin)
		if title := contests.cell(row.cells, "title"); title != "" {
			c.Title = model.Say(row.wording("title", title))
		}
		c.PrimaryParty = contests.cell(row.cells, "primary_party")
		if n := contests.cell(row.cells, "vote_for"); n != "" {
			votes, err := strconv.Atoi(n)
			if err != nil || votes < 0 {
				return nil, row.fault(contests.columns["vote_for"], "%q is no number of votes", n)
			}
			c.VoteFor = model.Say(votes)
		}
	}
	if err := g.listedChoices(contest); err != nil {
		return nil, err
	}
	g.listedDistricts(l, contest)
	return l, g.listedSites(l)
}

// fault is about the cell of a row that made a column of a sheet.
func (r *made) fault(column int, format string, values ...any) error {
	return fault(r.plan.cellOf(column, int(r.row), int(r.repeated)), "correct the mapping, or the document", format,
		values...)
}

func (g *gathered) listedChoices(contest func(string, origin) *model.ListedContest) error {
	p := g.piles["choices"]
	type placed struct {
		model.ListedChoice
		position int
	}
	byContest := map[*model.ListedContest][]placed{}
	var order []string
	seen := map[string]bool{}
	for i := range p.rows {
		name := p.cell(p.rows[i].cells, "contest")
		if !seen[name] {
			seen[name] = true
			order = append(order, name)
			contest(name, p.rows[i].origin)
		}
	}
	for i := range p.rows { // the contests are all there now, and do not move any more
		row := &p.rows[i]
		c := contest(p.cell(row.cells, "contest"), row.origin)
		choice := placed{ListedChoice: model.ListedChoice{Name: row.wording("name", p.cell(row.cells, "name")),
			Place: placeWords(row.place())}}
		if choice.Name.Written == "" {
			return row.fault(p.columns["name"], "a choice of %q has no name", cut(c.Name))
		}
		if lines := p.cell(row.cells, "party_lines"); lines != "" {
			choice.Lines = model.Say([]string{})
			for _, line := range strings.Split(lines, "|") {
				if line = strings.TrimSpace(line); line != "" && line != "-" {
					choice.Lines.Value = append(choice.Lines.Value, line)
				}
			}
		}
		if v := p.cell(row.cells, "position"); v != "" {
			n, err := strconv.Atoi(v)
			if err != nil || n < 1 {
				return row.fault(p.columns["position"], "%q is no position", v)
			}
			choice.position = n
		}
		list := byContest[c]
		if len(list) > 0 && (list[0].position > 0) != (choice.position > 0) {
			return row.fault(p.columns["position"], "some choices of %q have a position, and some have none", cut(c.Name))
		}
		byContest[c] = append(list, choice)
	}
	for _, name := range order {
		c := contest(name, origin{})
		list := byContest[c]
		c.Ordered = list[0].position > 0
		slices.SortStableFunc(list, func(a, b placed) int { return a.position - b.position })
		for i := range list {
			c.Choices = append(c.Choices, list[i].ListedChoice)
		}
	}
	return nil
}

func (g *gathered) listedDistricts(l *model.Listed, contest func(string, origin) *model.ListedContest) {
	p := g.piles[districtRows]
	at := map[string]int{}
	for i := range p.rows {
		row := &p.rows[i]
		name, precinct, of := row.cells[0], row.cells[1], row.cells[2] // as districtColumns has them
		if name == "" {
			continue // a contest of the list, or a precinct of the table, without one
		}
		if of != "" {
			contest(of, row.origin).District = name
		}
		if precinct == "" {
			continue
		}
		key := canonical(name)
		d, ok := at[key]
		if !ok {
			d, at[key] = len(l.Districts), len(l.Districts)
			l.Districts = append(l.Districts, model.ListedDistrict{Name: name, Place: placeWords(row.place())})
		}
		l.Districts[d].Precincts = append(l.Districts[d].Precincts, precinct)
	}
}

func (g *gathered) listedSites(l *model.Listed) error {
	p := g.piles["precincts"]
	for i := range p.rows {
		row := &p.rows[i]
		site := p.cell(row.cells, "site")
		if site == "" {
			continue
		}
		use := model.Use(p.cell(row.cells, "use"))
		switch use {
		case "":
			use = model.UseElectionDay
		case model.UseElectionDay, model.UseEarly, model.UseCentral, model.UseAccessible:
		default:
			return row.fault(p.columns["use"], "%q is no use of a site; write election-day, early, central or accessible",
				cut(string(use)))
		}
		l.Sites = append(l.Sites, model.ListedSite{Precinct: p.cell(row.cells, "precinct"), Use: use,
			Site: row.wording("site", site), Place: placeWords(row.place())})
	}
	return nil
}

// ownColumns makes the mapping of a document whose columns are named as in our sheets.
func ownColumns(f File, kind model.WitnessKind) (*Mapping, error) {
	g := newGathered(false)
	opened, _, err := open(f, g)
	if err != nil {
		return nil, err
	}
	if n := len(opened.grids()); n != 1 {
		return nil, fmt.Errorf("%s: the workbook has %d sheets; say with --mapping which is meant", printable(f.Name), n)
	}
	var names []string
	if err := opened.walk(opened.grids()[0], func(l line) error {
		if names == nil {
			names = newHeader(l).names
		}
		return nil
	}); err != nil {
		return nil, err
	}
	rows := map[string][]Source{}
	for sheet, columns := range listedColumns[kind] {
		s := Source{Columns: map[string]string{}}
		for _, column := range columns {
			if i := slices.IndexFunc(names, func(name string) bool {
				return strings.EqualFold(strings.ReplaceAll(name, " ", "_"), column)
			}); i >= 0 {
				s.Columns[column] = "{" + names[i] + "}"
			}
		}
		rows[sheet] = []Source{s}
	}
	for sheet, needed := range map[string][]string{"contests": {"contest"}, "choices": {"contest", "name"},
		districtRows: {"district"}, "precincts": {"precinct", "site"}} {
		if sources := rows[sheet]; sources == nil || sources[0].has(needed) {
			continue
		}
		delete(rows, sheet)
		if kind == model.WitnessCandidates && sheet == districtRows {
			continue // a list of candidates need not name districts
		}
		return nil, fmt.Errorf("%s: without --mapping, a %s has the columns %s (optional: %s); this file has %s",
			printable(f.Name), kind.Words(), strings.Join(neededBy[kind], ", "), strings.Join(optionalIn[kind], ", "),
			quoted(names))
	}
	m := &Mapping{Format: Format, Tables: []Table{{File: "*", Header: 0, Rows: rows}}}
	if err := m.check(); err != nil {
		return nil, fmt.Errorf("%s: %w", printable(f.Name), err)
	}
	return m, nil
}

// neededBy and optionalIn are the columns of a document without a mapping.
var (
	neededBy = map[model.WitnessKind][]string{model.WitnessCandidates: {"contest", "name"},
		model.WitnessDistricts: {"district", "precinct"}, model.WitnessSites: {"precinct", "site"}}
	optionalIn = map[model.WitnessKind][]string{
		model.WitnessCandidates: {"title", "vote_for", "primary_party", "position", "party_lines", "district"},
		model.WitnessDistricts:  {"contest"}, model.WitnessSites: {"use"}}
)

func (s *Source) has(columns []string) bool {
	return !slices.ContainsFunc(columns, func(c string) bool { return s.Columns[c] == "" })
}
