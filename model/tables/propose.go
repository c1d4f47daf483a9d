package tables

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Proposal is a mapping that was guessed from headers and content, for a person to correct.
type Proposal struct {
	Mapping *Mapping
	// Tables are all tables, with all their columns, and what each is taken for.
	Tables []ProposedTable
	// Missing says what no table says, Odd what looks wrong or was guessed; each a sentence.
	Missing, Odd []string

	files  []string        // their names
	styles map[string]bool // the ballot styles that tables name
}

// ProposedTable is a table and what it is taken for.
type ProposedTable struct {
	// Name tells it from the others, for people and in Given.
	Name string
	// Header is the number of the row that names the columns, 0 if none does.
	Header  int
	Columns []ProposedColumn
	// Rows are its first rows, at most 100 that are not empty.
	Rows []TopRow
	// Codes are the values of columns of codes that have no meaning yet, by role.
	Codes map[Role][]string
}

// TopRow is one of the first rows of a table.
type TopRow struct {
	Row   int // its number
	Cells []string
}

// ProposedColumn is a column and what it is taken for.
type ProposedColumn struct {
	Name string
	Role Role
	// As are columns of ours ("choices.name"); none for a column that is not mapped.
	As []string
	// Samples are its first distinct values.
	Samples []string
}

// Propose guesses a mapping of tables. An error is one line.
func Propose(list []File) (Proposal, error) {
	samples, err := Sample(list)
	if err != nil {
		return Proposal{Mapping: &Mapping{Format: Format, Language: "en"}}, err
	}
	return samples.Propose(nil)
}

// Propose guesses a mapping. given is what a person said, by the names of tables: it is taken instead of
// a guess. An error is one line; what the tables hold is returned with it.
func (all *Samples) Propose(given map[string]Given) (Proposal, error) {
	p := Proposal{Mapping: &Mapping{Format: Format, Language: "en"}, files: all.files,
		styles: map[string]bool{}}
	p.Tables = make([]ProposedTable, len(all.tables))
	var listed, others []*sample
	for i, of := range all.tables {
		s := &sample{grid: of.grid, given: given[of.grid.name()], proposed: &p.Tables[i], at: map[Role]int{},
			numbered: map[Role]string{}}
		*s.proposed = ProposedTable{Name: of.grid.name(), Rows: of.rows(), Codes: map[Role][]string{}}
		if s.find(of.top) {
			s.proposed.Header = s.header.row
			listed = append(listed, s)
			continue
		}
		for _, l := range of.top {
			s.rows = append(s.rows, l.cells)
		}
		others = append(others, s)
	}
	for _, s := range listed {
		for _, v := range s.values("style") {
			p.styles[headerName(v)] = true
		}
	}
	named := namesOfContests(append(slices.Clone(listed), others...))
	contests := map[string]bool{} // what tables of contests call them
	for _, lists := range []bool{true, false} {
		for _, s := range listed {
			if s.lists() == lists {
				p.table(s, named, contests)
			}
		}
		named = contests // those that say who votes on them follow
	}
	p.inOrder(all)
	for _, s := range others {
		if !p.matrix(s, contests) {
			p.Odd = append(p.Odd, s.grid.name()+": no row names columns that are known here; it is left out.")
		}
	}
	p.Odd = append(slices.Clone(all.notes), p.Odd...)
	if len(p.Mapping.Tables) == 0 {
		return p, fmt.Errorf("%s: no table names columns such as Contest, Candidate, Precinct or Ballot style; write the "+
			"mapping by hand (model/tables/README.md)", strings.Join(all.files, ", "))
	}
	p.lacks()
	return p, p.Mapping.check()
}

// table proposes what the rows of a table become.
func (p *Proposal) table(s *sample, named, contests map[string]bool) {
	t := Table{File: p.glob(s.grid.file), Sheet: s.grid.sheet, Header: s.given.Header, Rows: map[string][]Source{}}
	if s.given.Header == NoHeader {
		t.Header, t.NoHeader = 0, true
	}
	add := func(sheet string, source Source, columns map[string]string) {
		maps.DeleteFunc(columns, func(_, from string) bool { return from == "" })
		source.Columns = columns
		t.Rows[sheet] = append(t.Rows[sheet], source)
	}
	s.fillDown(&t)
	key, title, subtitle := s.contest(named)
	_, wideNames := s.numbered["name"]
	_, wideContests := s.numbered["title"]
	names := s.has("name") || wideNames
	if title != "" && (names || s.has("vote_for") || s.has("kind") || s.has("text")) {
		columns := map[string]string{"contest": key, "title": title, "subtitle": subtitle,
			"vote_for": s.of("vote_for"), "text": s.of("text"), "primary_party": s.of("primary_party"), "kind": s.of("kind")}
		if title[1] == '@' {
			columns["vote_for"] = cmp.Or(columns["vote_for"], s.whole(func(v string) bool {
				return votes(v) != v // "Vote for TWO"; a mere number may be anything
			}))
		}
		source := Source{}
		if subtitle != s.of("subtitle") {
			words := fmt.Sprintf("%s: %s is taken to be printed below the title", s.grid.name(), s.of("district"))
			if whole := s.wholeArea(); whole != "" {
				words += fmt.Sprintf(", but for %q, which seems to mean the whole area", cut(whole))
			}
			p.Odd = append(p.Odd, words+".")
		}
		if s.has("kind") {
			source.Replace = p.replaced(s, "kind", kindWords)
		} else if answers := s.answers(); len(answers) > 0 {
			p.Odd = append(p.Odd,
				s.grid.name()+": "+quoted(answers)+" stand among the choices, so some contests are measures, and "+
					"nothing says which; their kind is not mapped.")
		} else if names {
			columns["kind"] = "candidate"
			p.Odd = append(p.Odd, s.grid.name()+": nothing says what kind of contest each is; all are taken for contests of "+
				"candidates.")
		}
		if alone := s.alone(named); len(alone) > 0 {
			source.Where = map[string][]string{title: {}}
			for _, v := range alone {
				source.Where[title] = append(source.Where[title], "!"+v)
			}
			p.Odd = append(p.Odd, s.grid.name()+": taken for no contest, as each stands alone in its row and on no ballot: "+
				quoted(alone)+".")
		}
		add("contests", source, columns)
		maps.Copy(contests, s.called(key))
		if s.wholeArea() != "" {
			maps.Copy(contests, s.called(s.of("title")))
		}
	}
	if key != "" && names {
		p.choices(s, key, wideNames, add)
	}
	face := map[string]string{"precinct": s.of("precinct"), "style": s.of("style"), "contest": key,
		"heading":      s.of("heading"),
		"choice_order": s.of("choice_order")}
	crossed := s.crossed()
	switch {
	case len(crossed) > 0 && s.places():
		p.cross(s, crossed, key, p.styles, add)
	case wideContests && (s.has("precinct") || s.has("style")):
		face["contest"] = "{@value}"
		add("ballots", Source{Repeat: s.numbered["title"] + "*"}, face)
	case key != "" && (s.has("precinct") || s.has("style")):
		if face["position"] = s.of("contest_order"); !names || s.ordersContests() {
			face["position"] = cmp.Or(face["position"], s.of("position"))
		}
		made := Source{Distinct: true}
		if by := s.separator("choice_order"); by != "" {
			made.Separators = map[string]string{"choice_order": by}
		}
		add("ballots", made, face)
	}
	precincts := map[string]string{"precinct": s.of("precinct"), "site": s.of("site")}
	source := Source{}
	if by := s.separator("precinct"); by != "" {
		source.Repeat, source.Split = s.header.names[s.at["precinct"]], by
		precincts["precinct"] = "{@value}"
		p.Odd = append(p.Odd, fmt.Sprintf("%s: %q is taken to stand between precincts.", s.grid.name(), by))
		for _, made := range t.Rows["ballots"] {
			delete(made.Columns, "precinct") // the style says which precincts
		}
	}
	switch {
	case s.has("unit"):
		add("units", source, map[string]string{"unit": s.of("unit"), "site": s.of("site"), "use": s.of("use"),
			"precinct": precincts["precinct"]})
	case s.has("precinct"):
		add("precincts", source, precincts)
		if s.has("style") && len(t.Rows["ballots"]) == 0 || s.has("style") && source.Split != "" {
			add("styles", source, map[string]string{"style": s.of("style"), "precinct": precincts["precinct"]})
		}
	}
	if key == "" && s.has("party_lines") && (s.has("party_name") || s.has("name")) {
		name := s.of("party_name")
		if name == "" {
			name = s.of("name")
		}
		add("parties", Source{}, map[string]string{"party": s.of("party_lines"), "name": name})
	}
	if whole := s.wholeArea(); whole != "" {
		s.apart(&t, whole)
	}
	p.election(s, add)
	p.columns(s, &t)
	if len(t.Rows) > 0 {
		p.Mapping.Tables = append(p.Mapping.Tables, t)
	}
}

// choices proposes the choices of contests.
func (p *Proposal) choices(s *sample, key string, wide bool, add func(string, Source, map[string]string)) {
	columns := map[string]string{"contest": key, "name": s.of("name"), "party_lines": s.of("party_lines"),
		"position": s.of("position"), "person": s.of("person")}
	if s.ordersContests() {
		columns["position"] = ""
	}
	if s.given.Roles[s.name("person")] != "person" && s.numbersRows("person") {
		columns["person"] = ""
		p.Odd = append(p.Odd, fmt.Sprintf("%s: %s is another in each row, so it is taken to number rows and not people.",
			s.grid.name(), s.of("person")))
	}
	source := Source{Distinct: s.has("precinct") || s.has("style"), Separators: map[string]string{},
		Replace: map[string]map[string]string{}}
	if wide {
		stem := s.numbered["name"]
		source.Repeat, columns["name"], columns["position"] = stem+"*", "{@value}", "{@header}"
	}
	if columns["party_lines"] != "" {
		if by := s.separator("party_lines"); by != "" {
			source.Separators["party_lines"] = by
		}
		if slices.Contains(s.values("party_lines"), "") {
			source.Replace["party_lines"] = map[string]string{"": "-"}
			p.Odd = append(p.Odd, s.grid.name()+": where no party stands, it is taken that none is printed.")
		}
	}
	if by := s.separator("name"); by != "" && by != "," {
		source.Separators["name"] = by
		p.Odd = append(p.Odd, fmt.Sprintf("%s: %q in names is taken to join running mates.", s.grid.name(), by))
	}
	writeIns := ""
	if s.has("write_in") {
		numbers := true
		for _, v := range s.values("write_in") {
			_, err := strconv.Atoi(v)
			numbers = numbers && (v == "" || err == nil)
		}
		if numbers {
			writeIns = s.of("write_in")
			p.Odd = append(p.Odd, s.grid.name()+": "+s.of("write_in")+" is taken for the number of write-in lines.")
		} else {
			columns["write_in"] = s.of("write_in")
			maps.Copy(source.Replace, p.replaced(s, "write_in", yesWords))
		}
	}
	if source.Distinct && columns["position"] == "" {
		p.Odd = append(p.Odd,
			s.grid.name()+": its rows repeat choices and give them no position, so a choice that stands twice "+
				"by mistake is taken for one.")
	}
	lines := s.writeIns()
	if len(lines) == 0 || s.has("write_in") || wide {
		add("choices", source, columns)
	} else {
		written := Source{Where: map[string][]string{columns["name"]: lines}, Distinct: source.Distinct}
		source.Where = map[string][]string{columns["name"]: {}}
		for _, v := range lines {
			source.Where[columns["name"]] = append(source.Where[columns["name"]], "!"+v)
		}
		add("choices", source, columns)
		add("choices", written, map[string]string{"contest": key, "position": columns["position"], "write_in": "yes"})
		p.Odd = append(p.Odd, s.grid.name()+": taken for write-in lines: "+quoted(lines)+".")
	}
	if writeIns != "" {
		add("choices", Source{Times: writeIns, Distinct: true}, map[string]string{"contest": key, "write_in": "yes"})
	}
}

// replaced are the codes of a role in our words; values that are not known are odd.
func (p *Proposal) replaced(s *sample, r Role, words map[string]string) map[string]map[string]string {
	out := map[string]string{}
	var unknown []string
	for _, v := range s.values(r) {
		code, ok := s.given.Codes[r][v]
		if !ok {
			code, ok = words[strings.ToLower(v)]
		}
		switch {
		case ok && code != v:
			out[v] = code
		case !ok && v != "":
			unknown = append(unknown, v)
		}
	}
	if len(unknown) > 0 {
		s.proposed.Codes[r] = unknown
		p.Odd = append(p.Odd, fmt.Sprintf("%s: say in \"replace\" what %s means in the column %q.", s.grid.name(),
			quoted(unknown), s.of(r)))
	}
	return map[string]map[string]string{string(r): out}
}

// columns notes what each column of the table is taken for, and writes down its headers.
func (p *Proposal) columns(s *sample, t *Table) {
	used := map[string][]string{}
	for _, sheet := range sheetNames() {
		for _, source := range t.Rows[sheet] {
			for _, column := range slices.Sorted(maps.Keys(source.Columns)) {
				text := source.Columns[column]
				if strings.Contains(text, "{@value}") {
					text += "{" + source.Repeat + "}"
				}
				if column == "write_in" {
					text += source.Times
				}
				for _, name := range s.header.names {
					stem := strings.TrimRight(name, "0123456789")
					if name != "" && (strings.Contains(text, "{"+name+"}") || strings.Contains(text, "{"+stem+"*}")) {
						used[name] = append(used[name], sheet+"."+column)
					}
				}
			}
		}
	}
	for i, name := range s.header.names {
		if slices.Contains(s.crosses, i) {
			s.proposed.Columns = append(s.proposed.Columns, ProposedColumn{Name: name, As: []string{crossWords}})
			continue
		}
		if name == "" {
			continue
		}
		t.Headers = append(t.Headers, name)
		s.proposed.Columns = append(s.proposed.Columns, s.column(i, slices.Compact(used[name])))
	}
}

// inOrder puts the tables of the mapping in the order in which they were given.
func (p *Proposal) inOrder(all *Samples) {
	place := func(t Table) int {
		return slices.IndexFunc(all.tables, func(s sampledTable) bool {
			return p.glob(s.grid.file) == t.File &&
				s.grid.sheet == t.Sheet
		})
	}
	slices.SortStableFunc(p.Mapping.Tables, func(a, b Table) int { return place(a) - place(b) })
}
