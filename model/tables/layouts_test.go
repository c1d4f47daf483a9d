package tables_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// fataler is what testing.T and rapid.T have in common here.
type fataler interface {
	require.TestingT
	Helper()
}

// plain is a table before it is written: a CSV file, or a sheet of a workbook.
type plain struct {
	name string
	rows [][]string
}

// layout lays sheets out as tables of one kind, and says how they are mapped. The same tables
// are written as CSV files and as a workbook: mapped names the table in the mapping.
type layout struct {
	name string
	make func(s *sheets.Sheets) ([]plain, []tables.Table)
}

var layouts = []layout{{"long", long}, {"wide", wide}, {"a table for each contest", apart}}

// asCSV writes each table as a file.
func asCSV(t fataler, list []plain) (out []tables.File) {
	t.Helper()
	for _, p := range list {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		require.NoError(t, w.WriteAll(p.rows))
		out = append(out, tables.File{Name: p.name + ".csv", Data: b.Bytes()})
	}
	return out
}

// asWorkbook writes each table as a sheet of one workbook.
func asWorkbook(t fataler, list []plain) []tables.File {
	t.Helper()
	f := excelize.NewFile()
	for i, p := range list {
		if i == 0 {
			require.NoError(t, f.SetSheetName("Sheet1", p.name))
		} else {
			_, err := f.NewSheet(p.name)
			require.NoError(t, err)
		}
		w, err := f.NewStreamWriter(p.name)
		require.NoError(t, err)
		for r, cells := range p.rows {
			row := make([]any, len(cells))
			for c, v := range cells {
				if n, err := strconv.Atoi(v); err == nil && strconv.Itoa(n) == v {
					row[c] = n // as people type numbers
				} else if v != "" {
					row[c] = v
				}
			}
			require.NoError(t, w.SetRow(fmt.Sprintf("A%d", r+1), row))
		}
		require.NoError(t, w.Flush())
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return []tables.File{{Name: "export.xlsx", Data: b.Bytes()}}
}

// mapping writes the mapping as people keep it, and reads it again.
func mapping(t fataler, list []tables.Table, workbook bool) *tables.Mapping {
	t.Helper()
	list = slices.Clone(list)
	for i := range list {
		if workbook {
			list[i].File, list[i].Sheet = "*.xlsx", list[i].File
		} else {
			list[i].File += ".csv"
		}
	}
	data, err := json.Marshal(tables.Mapping{Format: tables.Format, Language: "en", Tables: list})
	require.NoError(t, err)
	m, err := tables.ParseMapping("mapping.json", data)
	require.NoError(t, err, string(data))
	return m
}

// same are the columns of a sheet, each from a column of the same name.
func same(columns ...string) map[string]string {
	out := map[string]string{}
	for _, c := range columns {
		out[c] = "{" + c + "}"
	}
	return out
}

func rows(sheet string, sources ...tables.Source) map[string][]tables.Source {
	return map[string][]tables.Source{sheet: sources}
}

// beside are the tables that every layout has: parties, precincts, units, the election.
func beside(s *sheets.Sheets) (list []plain, maps []tables.Table) {
	parties := plain{"parties", [][]string{{"Party", "Full name"}}}
	for _, r := range s.Parties {
		parties.rows = append(parties.rows, []string{r.Party, r.Name})
	}
	precincts := plain{"precincts", [][]string{{"Precinct", "Polling place", "Used for"}}}
	for _, r := range s.Precincts {
		precincts.rows = append(precincts.rows, []string{r.Precinct, r.Site, r.Use})
	}
	list = append(list, precincts)
	maps = append(maps, tables.Table{File: "precincts", Rows: rows("precincts", tables.Source{Columns: map[string]string{
		"precinct": "{Precinct}", "site": "{Polling place}", "use": "{Used for}"}})})
	if len(s.Parties) > 0 {
		list = append(list, parties)
		maps = append(maps, tables.Table{File: "parties", Rows: rows("parties", tables.Source{Columns: map[string]string{
			"party": "{Party}", "name": "{Full name}"}})})
	}
	if len(s.Units) > 0 {
		units := plain{"units", [][]string{{"Serial", "Where", "Use", "Header"}}}
		for _, r := range s.Units {
			last := units.rows[len(units.rows)-1]
			if last[0] == r.Unit && last[2] == r.Use {
				last[3] += "; " + r.Precinct
			} else {
				units.rows = append(units.rows, []string{r.Unit, r.Site, r.Use, r.Precinct})
			}
		}
		list = append(list, units)
		maps = append(maps, tables.Table{File: "units", Rows: rows("units",
			tables.Source{Repeat: "Header", Split: ";", Columns: map[string]string{
				"unit": "{Serial}", "site": "{Where}", "use": "{Use}", "precinct": "{@value}"}},
			tables.Source{Where: map[string][]string{"{Header}": {""}}, Columns: map[string]string{
				"unit": "{Serial}", "site": "{Where}", "use": "{Use}"}})})
	}
	if len(s.Facts) > 0 {
		f := s.Facts[0]
		list = append(list, plain{"facts", [][]string{{"Election", f.Name}, {"Day", f.Date}, {"County", f.Jurisdiction},
			{"Made by"}, {"the office"}}})
		maps = append(maps, tables.Table{File: "facts", Header: 4, Rows: rows("election", tables.Source{
			Columns: map[string]string{"name": "{@B1}", "date": "{@B2}", "jurisdiction": "{@B3}"}})})
	}
	return list, maps
}

// styled are the district table, and the precincts that have ballots of their own.
func styled(s *sheets.Sheets) (list []plain, maps []tables.Table) {
	if len(s.Styles) == 0 {
		return nil, nil
	}
	t := plain{"districts", [][]string{{"Precinct", "Ballot style", "Voters"}}}
	for _, r := range s.Styles {
		t.rows = append(t.rows, []string{r.Precinct, r.Style, r.Party})
	}
	return []plain{t}, []tables.Table{{File: "districts", Rows: rows("styles", tables.Source{Columns: map[string]string{
		"precinct": "{Precinct}", "style": "{Ballot style}", "party": "{Voters}"}})}}
}

var contestColumns = []string{"contest", "title", "subtitle", "kind", "vote_for", "primary_party", "text", "variation",
	"title[es]", "subtitle[es]", "text[es]"}

func spanish(cell string) string { return sheets.FurtherIn(cell, "es") }

func contestCells(r *sheets.ContestRow) []string {
	return []string{r.Contest, r.Title, r.Subtitle, r.Kind, r.VoteFor, r.PrimaryParty, r.Text, r.Variation,
		spanish(r.FurtherTitle), spanish(r.FurtherSubtitle), spanish(r.FurtherText)}
}

var kindNames = map[string]string{"Office": "candidate", "Question": "measure", "Retention": "retention",
	"Straight party": "party"}

func kindName(kind string) string {
	for name, k := range kindNames {
		if k == kind {
			return name
		}
	}
	return kind
}

// long has a row for each position of each contest of each ballot: titles and numbers repeat.
func long(s *sheets.Sheets) (list []plain, maps []tables.Table) {
	list, maps = beside(s)
	more, moreMaps := styled(s)
	list, maps = append(list, more...), append(maps, moreMaps...)
	t := plain{"ballots", [][]string{{"All contests of all ballots"}, {}, append([]string{"Precinct", "Style", "Voters",
		"Place", "Heading", "Heading (es)", "Order of choices"}, append(slices.Clone(contestColumns), "Line", "Choice",
		"Lines",
		"Person", "Write-in?", "Choice (es)")...)}}
	for _, b := range s.Ballots {
		c := &s.Contests[slices.IndexFunc(s.Contests, func(r sheets.ContestRow) bool { return r.Contest == b.Contest })]
		cells := contestCells(c)
		cells[3] = kindName(cells[3])
		head := append([]string{b.Precinct, b.Style, b.Party, b.Position, b.Heading, spanish(b.FurtherHeading),
			b.ChoiceOrder},
			cells...)
		some := false
		for _, r := range s.Choices {
			if r.Contest == b.Contest {
				some = true
				t.rows = append(t.rows, append(slices.Clone(head), r.Position, r.Name, r.PartyLines, r.Person,
					map[string]string{"yes": "Y", "": "N"}[r.WriteIn], spanish(r.FurtherName)))
			}
		}
		if !some {
			t.rows = append(t.rows, append(head, "", "", "", "", "", ""))
		}
	}
	// Contests that stand on no ballot have a row without one, and so have their choices.
	contests := same(contestColumns...)
	maps = append(maps, tables.Table{File: "ballots", Rows: map[string][]tables.Source{
		"contests": {{Columns: contests, Replace: map[string]map[string]string{"kind": kindNames}}},
		"choices": {{Distinct: true, Where: map[string][]string{"{Line}": {"*"}}, Columns: map[string]string{
			"contest": "{contest}", "position": "{Line}", "name": "{Choice}", "party_lines": "{Lines}", "person": "{Person}",
			"write_in": "{Write-in?}", "name[es]": "{Choice (es)}"},
			Replace: map[string]map[string]string{"write_in": {"Y": "yes", "N": ""}}}},
		"ballots": {{Distinct: true, Columns: map[string]string{"precinct": "{Precinct}", "style": "{Style}",
			"party": "{Voters}", "position": "{Place}", "contest": "{contest}", "heading": "{Heading}",
			"heading[es]": "{Heading (es)}", "choice_order": "{Order of choices}"}}},
	}})
	return append(list, t), maps
}

// wide has a column for each candidate and for each contest of a ballot; a style's precincts
// stand in one cell.
func wide(s *sheets.Sheets) (list []plain, maps []tables.Table) {
	list, maps = beside(s)
	most, longest := 0, 0
	choices := map[string][]sheets.ChoiceRow{}
	for _, r := range s.Choices {
		choices[r.Contest] = append(choices[r.Contest], r)
		most = max(most, len(choices[r.Contest]))
	}
	contests := plain{"contests", [][]string{slices.Clone(contestColumns)}}
	for i := range most {
		for _, of := range []string{"Candidate", "Lines", "Person", "Write-in", "In Spanish"} {
			contests.rows[0] = append(contests.rows[0], fmt.Sprintf("%s %d", of, i+1))
		}
	}
	for i := range s.Contests {
		cells := contestCells(&s.Contests[i])
		for _, r := range choices[cells[0]] {
			name := r.Name
			if r.WriteIn == "yes" {
				name = "(write-in)"
			}
			cells = append(cells, strings.ReplaceAll(name, " / ", " & "), strings.ReplaceAll(r.PartyLines, "|", ", "),
				r.Person,
				r.WriteIn, strings.ReplaceAll(spanish(r.FurtherName), " / ", " & "))
		}
		contests.rows = append(contests.rows, cells)
	}
	list = append(list, contests)
	maps = append(maps, tables.Table{File: "contests", Rows: map[string][]tables.Source{
		"contests": {{Columns: same(contestColumns...)}},
		"choices": {{Repeat: "Candidate *", Columns: map[string]string{"contest": "{contest}", "name": "{@value}",
			"position": "{@header}", "party_lines": "{Lines *}", "person": "{Person *}", "write_in": "{Write-in *}",
			"name[es]": "{In Spanish *}"},
			Separators: map[string]string{"name": "&", "name[es]": "&", "party_lines": ","}}},
	}})
	type face struct{ precinct, style, party string }
	var faces []face
	on := map[face][]sheets.BallotRow{}
	for _, b := range s.Ballots {
		f := face{b.Precinct, b.Style, b.Party}
		if on[f] == nil {
			faces = append(faces, f)
		}
		on[f] = append(on[f], b)
		longest = max(longest, len(on[f]))
	}
	ballots := plain{"ballots", [][]string{{"Precinct", "Style", "Voters"}}}
	for i := range longest {
		ballots.rows[0] = append(ballots.rows[0], fmt.Sprintf("Contest %d", i+1), fmt.Sprintf("Heading %d", i+1),
			fmt.Sprintf("Rotation %d", i+1), fmt.Sprintf("Spanish heading %d", i+1))
	}
	for _, f := range faces {
		cells := []string{f.precinct, f.style, f.party}
		for _, b := range on[f] {
			cells = append(cells, b.Contest, b.Heading, b.ChoiceOrder, spanish(b.FurtherHeading))
		}
		ballots.rows = append(ballots.rows, cells)
	}
	list = append(list, ballots)
	maps = append(maps, tables.Table{File: "ballots", Header: 1, Rows: rows("ballots", tables.Source{Repeat: "Contest *",
		Columns: map[string]string{"precinct": "{Precinct}", "style": "{Style}", "party": "{Voters}", "contest": "{@value}",
			"heading": "{Heading *}", "choice_order": "{Rotation *}", "heading[es]": "{Spanish heading *}"}})})
	if len(s.Styles) > 0 {
		// A column for each precinct.
		t := plain{"districts", [][]string{{"Style", "Voters"}}}
		var names []string
		for _, r := range s.Styles {
			if !slices.Contains(names, r.Precinct) {
				names = append(names, r.Precinct)
			}
		}
		t.rows[0] = append(t.rows[0], names...)
		for _, r := range s.Styles {
			last := t.rows[len(t.rows)-1]
			if len(t.rows) == 1 || last[0] != r.Style || last[1] != r.Party {
				last = make([]string, 2+len(names))
				last[0], last[1] = r.Style, r.Party
				t.rows = append(t.rows, last)
			}
			last[2+slices.Index(names, r.Precinct)] = "x"
		}
		list = append(list, t)
		maps = append(maps, tables.Table{File: "districts", Rows: rows("styles", tables.Source{Repeat: "*",
			Columns: map[string]string{"style": "{Style}", "party": "{Voters}", "precinct": "{@header}"}})})
	}
	return list, maps
}

// apart has a table for each contest: what it is stands above, its choices below, with the
// ballots that it is on in the table of ballots.
func apart(s *sheets.Sheets) (list []plain, maps []tables.Table) {
	list, maps = beside(s)
	more, moreMaps := styled(s)
	list, maps = append(list, more...), append(maps, moreMaps...)
	code := map[string]string{}
	for i := range s.Contests {
		cells := contestCells(&s.Contests[i])
		name := fmt.Sprintf("contest %02d", i+1)
		code[cells[0]] = name
		t := plain{name: name}
		for k, v := range cells[1:] {
			t.rows = append(t.rows, []string{contestColumns[k+1], v})
		}
		t.rows = append(t.rows, []string{"Name", "Lines", "Person", "Write-in", "Name in Spanish"},
			[]string{"as printed", "", "", "", "as printed"})
		for _, r := range s.Choices {
			if r.Contest == cells[0] {
				t.rows = append(t.rows, []string{r.Name, r.PartyLines, r.Person, r.WriteIn, spanish(r.FurtherName)})
			}
		}
		list = append(list, t)
	}
	about := map[string]string{"contest": "{@sheet}"}
	for k, c := range contestColumns[1:] {
		about[c] = fmt.Sprintf("{@B%d}", k+1)
	}
	maps = append(maps, tables.Table{File: "contest *", Skip: 1, Header: len(contestColumns),
		Rows: map[string][]tables.Source{
			"contests": {{Columns: about}},
			"choices": {{Columns: map[string]string{"contest": "{@sheet}", "name": "{Name}", "party_lines": "{Lines}",
				"person": "{Person}", "write_in": "{Write-in}", "name[es]": "{Name in Spanish}"}}},
		}})
	ballots := plain{"ballots", [][]string{{"Precinct", "Style", "Voters", "Contest", "Heading", "Rotation",
		"Heading in Spanish"}}}
	for _, b := range s.Ballots {
		ballots.rows = append(ballots.rows, []string{b.Precinct, b.Style, b.Party, code[b.Contest], b.Heading,
			b.ChoiceOrder,
			spanish(b.FurtherHeading)})
	}
	maps = append(maps, tables.Table{File: "ballots", Rows: rows("ballots", tables.Source{Columns: map[string]string{
		"precinct": "{Precinct}", "style": "{Style}", "party": "{Voters}", "contest": "{Contest}", "heading": "{Heading}",
		"choice_order": "{Rotation}", "heading[es]": "{Heading in Spanish}"}})})
	return append(list, ballots), maps
}

// each runs a test on every layout, as CSV and as a workbook.
func each(t *testing.T, s *sheets.Sheets, run func(t *testing.T, files []tables.File, m *tables.Mapping)) {
	for _, l := range layouts {
		list, maps := l.make(s)
		t.Run(l.name+", CSV", func(t *testing.T) { run(t, asCSV(t, list), mapping(t, maps, false)) })
		t.Run(l.name+", XLSX", func(t *testing.T) { run(t, asWorkbook(t, list), mapping(t, maps, true)) })
	}
}

// Where offices and districts are named in the first of their rows alone, an office without a district
// does not get that of the office above it.
func TestFilledColumnsBeginAnewBelowTheirOuterColumn(t *testing.T) {
	files := asCSV(t, []plain{
		{"candidates", [][]string{{"Office", "District", "Vote For", "Candidate"}, {"Trustee", "Ward 1", "2", "Ada Quill"},
			{"", "", "", "Bram Okafor"}, {"", "Ward 2", "1", "Ines Moor"}, {"", "", "", "Tom Reyl"},
			{"Judge", "", "1", "Pia Holm"}, {"", "", "", "Jon Vask"}}},
		{"ballots", [][]string{{"Precinct", "Ballot Style", "Contest"}, {"1", "A", "Trustee, Ward 1"},
			{"1", "A", "Judge"}, {"2", "B", "Trustee, Ward 2"}, {"2", "B", "Judge"}}}})
	p, err := tables.Propose(files)
	require.NoError(t, err)
	assert.Equal(t, []string{"Office", "District"}, p.Mapping.Tables[0].Fill)
	data, err := json.Marshal(p.Mapping)
	require.NoError(t, err)
	m, err := tables.ParseMapping("mapping.json", data)
	require.NoError(t, err)
	e, _, err := tables.Read(files, m, tables.Options{})
	require.NoError(t, err, string(data))
	assert.Equal(t, []string{"A [1]: Trustee, Ward 1 2 (Ada Quill; Bram Okafor), Judge 1 (Pia Holm; Jon Vask)",
		"B [2]: Trustee, Ward 2 1 (Ines Moor; Tom Reyl), Judge 1 (Pia Holm; Jon Vask)"}, ballotsOf(e))
}
