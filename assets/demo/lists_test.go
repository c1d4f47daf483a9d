package demo_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// workbookPath is the export as an office's lists, which lists/mapping.json maps.
const workbookPath = "lists/lists.xlsx"

// lists are the tables of the workbook, as an office may lay them out, of what export.xml holds.
func lists(t *testing.T) (names []string, tables map[string][][]any) {
	t.Helper()
	e, _, err := cdf.ReadFiles([]string{"export.xml"}, cdf.Options{})
	require.NoError(t, err)
	for i := range e.Precincts {
		if p := &e.Precincts[i]; p.Number != "" {
			p.Name = model.Plain(p.Number) // the lists have one name, and it is the one on cards
		}
	}
	rows := sheets.FromElection(e, "en", "es")
	spanish := func(further string) string { return sheets.FurtherIn(further, "es") }
	contests, writeIns := map[string]sheets.ContestRow{}, map[string]int{}
	for _, c := range rows.Contests {
		contests[c.Contest] = c
	}
	var choices []sheets.ChoiceRow
	for _, c := range rows.Choices {
		if c.WriteIn == "yes" {
			writeIns[c.Contest]++
		} else {
			choices = append(choices, c)
		}
	}
	tables = map[string][][]any{
		"Candidates": {{"Tarnwick County Board of Elections"}, {"Candidates as certified"}, {},
			{"Office", "District", "Vote For", "Line", "Name on Ballot", "Party", "Candidate No.", "Write-ins"}},
		"Questions": {{"Question", "About", "Type", "Text", "Answer 1", "Answer 2", "Pregunta", "Sobre", "Texto",
			"Respuesta 1", "Respuesta 2"}},
		"Ballots":   {{"Ballot Style", "Seq", "Section", "Contest", "Lines as Printed"}},
		"Precincts": {{"Precinct", "Polling Place", "Ballot Style"}},
		"Scanners":  {{"Serial", "Location", "Precincts"}},
		"Parties":   {{"Code", "Party"}},
		"Election":  {{"Election", "Day", "County"}},
	}
	add := func(table string, row ...any) { tables[table] = append(tables[table], row) }
	number, of := 0, map[string]int{}
	for i, c := range choices {
		in := contests[c.Contest]
		if in.Kind != "candidate" {
			continue
		}
		who := c.Contest + c.Name + c.Person
		if of[who] == 0 {
			number++
			of[who] = 100 + number
		}
		vote, err := strconv.Atoi(in.VoteFor)
		require.NoError(t, err)
		line, err := strconv.Atoi(c.Position)
		require.NoError(t, err)
		title := []any{in.Title, in.Subtitle, vote}
		if i > 0 && choices[i-1].Contest == c.Contest {
			title = []any{"", "", ""}
		}
		add("Candidates", append(title, line, c.Name, strings.ReplaceAll(c.PartyLines, "|", "/"), of[who],
			writeIns[c.Contest])...)
	}
	for _, c := range rows.Contests {
		if c.Kind == "candidate" {
			continue
		}
		var answers, respuestas []string
		for _, a := range choices {
			if a.Contest == c.Contest {
				answers, respuestas = append(answers, a.Name), append(respuestas, spanish(a.FurtherName))
			}
		}
		require.Len(t, answers, 2)
		add("Questions", c.Title, c.Subtitle, map[string]string{"measure": "Proposition", "retention": "Retention"}[c.Kind],
			c.Text, answers[0], answers[1], spanish(c.FurtherTitle), spanish(c.FurtherSubtitle), spanish(c.FurtherText),
			respuestas[0], respuestas[1])
	}
	for _, b := range rows.Ballots {
		c := contests[b.Contest]
		seq, err := strconv.Atoi(b.Position)
		require.NoError(t, err)
		name := c.Title
		if c.Subtitle != "" {
			name += ", " + c.Subtitle
		}
		add("Ballots", b.Style, seq, b.Heading, name, strings.ReplaceAll(b.ChoiceOrder, "|", ", "))
	}
	styles := map[string]string{}
	for _, s := range rows.Styles {
		styles[s.Precinct] = s.Style
	}
	for _, p := range rows.Precincts {
		add("Precincts", p.Precinct, p.Site, styles[p.Precinct])
	}
	for i, u := range rows.Units {
		if i > 0 && rows.Units[i-1].Unit == u.Unit {
			last := tables["Scanners"][len(tables["Scanners"])-1]
			last[2] = fmt.Sprint(last[2], ", ", u.Precinct)
			continue
		}
		add("Scanners", u.Unit, u.Site, u.Precinct)
	}
	for _, p := range rows.Parties {
		add("Parties", p.Party, p.Name)
	}
	for _, f := range rows.Facts {
		add("Election", f.Name, f.Date, f.Jurisdiction)
	}
	return []string{"Candidates", "Questions", "Ballots", "Precincts", "Scanners", "Parties", "Election"}, tables
}

func TestTheListsHoldWhatTheExportHolds(t *testing.T) {
	names, tables := lists(t)
	if *update {
		book := excelize.NewFile()
		for _, name := range names {
			_, err := book.NewSheet(name)
			require.NoError(t, err)
			for i, row := range tables[name] {
				require.NoError(t, book.SetSheetRow(name, fmt.Sprintf("A%d", i+1), &row))
			}
			require.NoError(t, book.SetColWidth(name, "A", "K", 22))
		}
		require.NoError(t, book.DeleteSheet("Sheet1"))
		require.NoError(t, book.SaveAs(workbookPath))
	}
	book, err := excelize.OpenFile(workbookPath)
	require.NoError(t, err)
	defer book.Close()
	require.Equal(t, names, book.GetSheetList())
	for _, name := range names {
		there, err := book.GetRows(name)
		require.NoError(t, err)
		require.Len(t, there, len(tables[name]), name)
		for i, row := range tables[name] {
			for c, want := range row {
				got := ""
				if c < len(there[i]) {
					got = there[i][c]
				}
				assert.Equal(t, fmt.Sprint(want), got, "%s, row %d; look at it, then write it again with -update", name, i+1)
			}
		}
	}
	info, err := os.Stat(workbookPath)
	require.NoError(t, err)
	assert.Less(t, info.Size(), int64(40<<10), "the demo stays small")
}
