package tables_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/tables"
)

// Lists as offices have them, each with what must come out of it by reading the list.
var officeLists = map[string][]plain{
	"candidates with titles repeated, styles with precincts in one cell": {
		{"candidates", [][]string{{"Tarnwick County"}, {"Office", "District", "Seats", "Candidate", "Party", "Write-ins",
			"Filed"},
			{"County Executive", "", "1", "Ilse Brandywine & Tomas Reyl", "HEA", "1", "July"},
			{"County Executive", "", "1", "Anneke Voss & Pia Holm", "MER/GRO", "1", "July"},
			{"Trustee", "Ward 1", "2", "Bram Okafor", "", "2", "May"}, {"Trustee", "Ward 2", "2", "Ada Quill", "HEA", "2",
				"May"}}},
		{"ballots", [][]string{{"Ballot Style", "Precincts", "Contest 1", "Contest 2"},
			{"A", "1-01; 1-02", "County Executive", "Trustee, Ward 2"}, {"B", "1-03", "County Executive",
				"Trustee, Ward 1"}}},
	},
	"one long list": {
		{"list", [][]string{{"Precinct", "Ballot Type", "Race", "Vote For", "Candidate Name", "Party", "Order", "Writein",
			"Type"},
			{"1-01", "A", "County Executive", "1", "Ilse Brandywine / Tomas Reyl", "HEA", "1", "N", "Office"},
			{"1-01", "A", "County Executive", "1", "Anneke Voss / Pia Holm", "MER|GRO", "1", "N", "Office"},
			{"1-01", "A", "County Executive", "1", "Write-in", "", "1", "Y", "Office"},
			{"1-01", "A", "Trustee, Ward 2", "2", "Ada Quill", "HEA", "2", "N", "Office"},
			{"1-01", "A", "Trustee, Ward 2", "2", "Write-in", "", "2", "Y", "Office"},
			{"1-01", "A", "Trustee, Ward 2", "2", "Write-in 2", "", "2", "Y", "Office"},
			{"1-02", "A", "County Executive", "1", "Ilse Brandywine / Tomas Reyl", "HEA", "1", "N", "Office"},
			{"1-02", "A", "County Executive", "1", "Anneke Voss / Pia Holm", "MER|GRO", "1", "N", "Office"},
			{"1-02", "A", "County Executive", "1", "Write-in", "", "1", "Y", "Office"},
			{"1-02", "A", "Trustee, Ward 2", "2", "Ada Quill", "HEA", "2", "N", "Office"},
			{"1-02", "A", "Trustee, Ward 2", "2", "Write-in", "", "2", "Y", "Office"},
			{"1-02", "A", "Trustee, Ward 2", "2", "Write-in 2", "", "2", "Y", "Office"},
			{"1-03", "B", "County Executive", "1", "Ilse Brandywine / Tomas Reyl", "HEA", "1", "N", "Office"},
			{"1-03", "B", "County Executive", "1", "Anneke Voss / Pia Holm", "MER|GRO", "1", "N", "Office"},
			{"1-03", "B", "County Executive", "1", "Write-in", "", "1", "Y", "Office"},
			{"1-03", "B", "Trustee, Ward 1", "2", "Bram Okafor", "", "2", "N", "Office"},
			{"1-03", "B", "Trustee, Ward 1", "2", "Write-in", "", "2", "Y", "Office"},
			{"1-03", "B", "Trustee, Ward 1", "2", "Write-in 2", "", "2", "Y", "Office"}}},
	},
	"a column for each candidate, a row for each ballot and contest": {
		{"races", [][]string{{"Race ID", "Race Name", "Number to Elect", "Candidate 1", "Party 1", "Candidate 2", "Party 2",
			"Write-in lines"}, {"7", "County Executive", "1", "Ilse Brandywine & Tomas Reyl", "HEA", "Anneke Voss & Pia Holm",
			"MER, GRO", "1"}, {"8", "Trustee, Ward 1", "2", "Bram Okafor", "", "", "", "2"},
			{"9", "Trustee, Ward 2", "2", "Ada Quill", "HEA", "", "", "2"}}},
		{"faces", [][]string{{"Style", "Seq", "Race ID", "Race"}, {"A", "1", "7", "County Executive"},
			{"A", "2", "9", "Trustee, Ward 2"}, {"B", "1", "7", "County Executive"}, {"B", "2", "8", "Trustee, Ward 1"}}},
		{"roster", [][]string{{"Precinct Name", "Polling Place", "Ballot Style"}, {"1-01", "Mill Hall", "A"},
			{"1-02", "Mill Hall", "A"}, {"1-03", "Town Hall", "B"}}},
	},
}

// An office's lists are an export after their mapping was proposed: the same election, however
// they are laid out.
func TestProposedMappingsReadOfficeLists(t *testing.T) {
	for name, list := range officeLists {
		for kind, write := range map[string]func(fataler, []plain) []tables.File{"CSV": asCSV, "XLSX": asWorkbook} {
			t.Run(name+", "+kind, func(t *testing.T) {
				files := write(t, list)
				p, err := tables.Propose(files)
				require.NoError(t, err)
				data, err := json.Marshal(p.Mapping)
				require.NoError(t, err)
				m, err := tables.ParseMapping("mapping.json", data)
				require.NoError(t, err)
				e, _, err := tables.Read(files, m, tables.Options{})
				require.NoError(t, err, string(data))
				assert.Equal(t, []string{
					"A [1-01 1-02]: County Executive 1 (Ilse Brandywine / Tomas Reyl HEA; Anneke Voss / Pia Holm MER GRO; write-in), " +
						"Trustee, Ward 2 2 (Ada Quill HEA; write-in; write-in)",
					"B [1-03]: County Executive 1 (Ilse Brandywine / Tomas Reyl HEA; Anneke Voss / Pia Holm MER GRO; write-in), " +
						"Trustee, Ward 1 2 (Bram Okafor; write-in; write-in)"}, ballotsOf(e))
				assert.Contains(t, strings.Join(p.Missing, " "), "election's name")
				assert.NotContains(t, strings.Join(p.Missing, " "), "votes are allowed")
			})
		}
	}
}

// ballotsOf writes each ballot on a line.
func ballotsOf(e *model.Election) (out []string) {
	for _, s := range e.Styles {
		var contests, precincts []string
		for _, p := range s.Precincts {
			precincts = append(precincts, e.Precincts[p].Name.In("en"))
		}
		for _, pl := range s.Content {
			c := e.Contests[pl.Contest]
			var choices []string
			for _, ch := range c.Choices {
				words := ch.Name.Value.In("en")
				if ch.WriteIn {
					words = "write-in"
				}
				for _, p := range ch.Lines.Value {
					words += " " + e.Parties[p].Abbreviation.Value.In("en")
				}
				choices = append(choices, words)
			}
			title := strings.TrimSuffix(c.Title.Value.In("en")+", "+c.Subtitle.Value.In("en"), ", ")
			contests = append(contests, title+" "+string(rune('0'+c.VoteFor.Value))+" ("+
				strings.Join(choices, "; ")+")")
		}
		out = append(out, s.Label.Value+" ["+strings.Join(precincts, " ")+"]: "+strings.Join(contests, ", "))
	}
	return out
}

// A kept mapping refuses a table whose columns have changed, and says in what.
func TestAProposedMappingRefusesChangedColumns(t *testing.T) {
	files := asCSV(t, officeLists["one long list"])
	p, err := tables.Propose(files)
	require.NoError(t, err)
	files[0].Data = []byte(strings.Replace(string(files[0].Data), "Vote For", "Number to Elect", 1))
	_, _, err = tables.Read(files, p.Mapping, tables.Options{})
	assert.ErrorContains(t, err, `lacks "Vote For", and has "Number to Elect" instead`)
}

func TestWhatIsNoListHasNoProposal(t *testing.T) {
	for _, data := range []string{"", "a,b\n1,2\n", "PK\x03\x04", "\x00"} {
		_, err := tables.Propose([]tables.File{{Name: "x.csv", Data: []byte(data)}})
		require.Error(t, err)
		assert.NotContains(t, err.Error(), "\n")
	}
}

// FuzzPropose guesses at any bytes: a mapping that can be read again, or one line.
func FuzzPropose(f *testing.F) {
	for _, list := range officeLists {
		for _, file := range asCSV(f, list) {
			f.Add(file.Data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := tables.Propose([]tables.File{{Name: "lists.csv", Data: data}})
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		text, err := json.Marshal(p.Mapping)
		require.NoError(t, err)
		_, err = tables.ParseMapping("mapping.json", text)
		require.NoError(t, err)
	})
}

// A workbook as an office keeps it for itself: a title above, contests named once, measures without
// a number, write-in lines by their name, crosses for who votes on what.
func TestAStrangeWorkbookIsAnExport(t *testing.T) {
	files := asWorkbook(t, []plain{
		{"Contests", [][]string{{"TARNWICK COUNTY"}, {"Prepared 10/01/2027"}, {},
			{"Contest No.", "Contest Name", "Vote For", "Candidate", "Party"},
			{"1", "COUNTY EXECUTIVE", "1", "Ilse Brandywine", "HEARTH"}, {"", "", "", "Anneke Voss", "MERIDIAN"},
			{"", "", "", "Write-in"}, {"2", "TRUSTEE WARD 2", "2", "Ada Quill", "HEARTH"}, {"", "", "", "Bram Okafor",
				"MERIDIAN"},
			{"", "", "", "Write-in"}, {"", "", "", "Write-in"}, {"3", "PROPOSITION 1", "", "YES"}, {"", "", "", "NO"}}},
		{"Who votes", [][]string{{"Precinct", "1", "2", "3"}, {"1-01", "X", "X", "X"}, {"1-02", "X", "", "X"}}},
		{"Machines", [][]string{{"Scanner", "Location", "Precincts"}, {"TW-1", "Mill Hall", "1-01, 1-02"}}},
	})
	p, err := tables.Propose(files)
	require.NoError(t, err)
	e, _, err := tables.Read(files, p.Mapping, tables.Options{})
	require.NoError(t, err)
	executive := "COUNTY EXECUTIVE 1 (Ilse Brandywine HEARTH; Anneke Voss MERIDIAN; write-in)"
	assert.Equal(t,
		[]string{" [1-01]: " + executive + ", TRUSTEE WARD 2 2 (Ada Quill HEARTH; Bram Okafor MERIDIAN; write-in; " +
			"write-in), PROPOSITION 1 0 (YES; NO)", " [1-02]: " + executive + ", PROPOSITION 1 0 (YES; NO)"}, ballotsOf(e))
	assert.False(t, e.Contests[2].VoteFor.Known, "the number above is that of another contest")
	assert.False(t, e.Contests[2].Kind.Known)
	assert.Contains(t, strings.Join(p.Odd, " "), `"NO", "YES" stand among the choices`)
	require.Len(t, e.Units, 1)
	assert.Len(t, e.Units[0].Precincts.Value, 2)
}

// What a person says takes the place of what is guessed: which row names the columns, what they hold,
// what values mean.
func TestWhatAPersonSaysTakesThePlaceOfAGuess(t *testing.T) {
	files := asCSV(t, []plain{
		{"list 2027-10-01", [][]string{{"Sought", "Who", "How many", "Sort", "Held on"},
			{"Judge", "Ada Quill", "Vote for TWO", "Off",
				"11/2/2027"}, {"Judge", "Bram Okafor", "Vote for TWO", "Off", "11/2/2027"}, {"Prop 1", "Yes", "", "Prop",
				"11/2/2027"},
			{"Prop 1", "No", "", "Prop", "11/2/2027"}}},
		{"who votes", [][]string{{"1-01", "A", "Judge"}, {"1-01", "A", "Prop 1"}, {"1-02", "A", "Judge"}, {"1-02", "A",
			"Prop 1"}}},
	})
	samples, err := tables.Sample(files)
	require.NoError(t, err)
	p, err := samples.Propose(nil)
	require.Error(t, err, "nothing here is known")
	require.Len(t, p.Tables, 2)
	list, votes := p.Tables[0].Name, p.Tables[1].Name
	assert.Equal(t, []string{"Sought", "Who", "How many", "Sort", "Held on"}, p.Tables[0].Rows[0].Cells)
	given := map[string]tables.Given{
		list: {Header: 1, Roles: map[string]tables.Role{"Sought": "title", "Who": "name", "How many": "vote_for",
			"Sort":    "kind",
			"Held on": "date " + tables.MonthFirst}},
		votes: {Header: tables.NoHeader, Roles: map[string]tables.Role{"A": "precinct", "B": "style", "C": "title"}},
	}
	p, err = samples.Propose(given)
	require.NoError(t, err)
	assert.Equal(t, []string{"Off", "Prop"}, p.Tables[0].Codes["kind"])
	assert.Equal(t, []string{"Vote for TWO"}, p.Tables[0].Columns[2].Samples)
	assert.EqualValues(t, "vote_for", p.Tables[0].Columns[2].Role)
	of := given[list]
	of.Codes = map[tables.Role]map[string]string{"kind": {"Off": "candidate", "Prop": "measure"}}
	given[list] = of
	p, err = samples.Propose(given)
	require.NoError(t, err)
	assert.Empty(t, p.Tables[0].Codes["kind"])
	assert.Equal(t, "list*.csv", p.Mapping.Tables[0].File, "a later list has another date in its name")
	assert.Equal(t, "who votes*.csv", p.Mapping.Tables[1].File)
	data, err := json.Marshal(p.Mapping)
	require.NoError(t, err)
	m, err := tables.ParseMapping("mapping.json", data)
	require.NoError(t, err)
	e, _, err := tables.Read(files, m, tables.Options{})
	require.NoError(t, err, string(data))
	assert.Equal(t, []string{"A [1-01 1-02]: Judge 2 (Ada Quill; Bram Okafor), Prop 1 0 (Yes; No)"}, ballotsOf(e))
	assert.Equal(t, "2027-11-02", e.Facts.Date.Value)
	assert.Equal(t, model.KindMeasure, e.Contests[1].Kind.Value)
	again, err := samples.Propose(given)
	require.NoError(t, err)
	assert.Equal(t, p.Mapping.Tables, again.Mapping.Tables, "samples stay as they are")
}
