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

// proposed reads tables through the mapping that is proposed of them.
func proposed(t *testing.T, files []tables.File) (*model.Election, tables.Proposal) {
	t.Helper()
	p, err := tables.Propose(files)
	require.NoError(t, err)
	data, err := json.Marshal(p.Mapping)
	require.NoError(t, err)
	m, err := tables.ParseMapping("mapping.json", data)
	require.NoError(t, err)
	e, _, err := tables.Read(files, m, tables.Options{})
	require.NoError(t, err, string(data))
	return e, p
}

// A title above, offices with their districts in one cell and named once, votes in words, a remark below;
// who votes on what as crosses, a row for each contest and a column for each precinct, with a total.
func TestCrossesForPrecinctsBesideContests(t *testing.T) {
	for _, mark := range []string{"X", "1"} {
		who := [][]string{{"Contests by precinct"}, {"Contest", "Pct 101", "Pct 102", "Pct 204", "Precincts in all"},
			{"Assessor", "X", "X", "X", "3"}, {"Council / District 1", "X", "No", "", "1"},
			{"Council / District 2", "", "X", "X", "2"}, {"Proposition 1 - Ferry Bond", "", "X", "X", "2"}}
		for _, row := range who[2:] {
			for i := range row[1:4] {
				row[1+i] = strings.ReplaceAll(row[1+i], "X", mark)
			}
		}
		files := asWorkbook(t, []plain{
			{"CONTENT 2027", [][]string{{"QUILLWATER COUNTY"}, {"as of 9/30/2027"}, {},
				{"Office / District", "Vote", "Term", "Ballot Name", "Party"},
				{"Assessor", "Vote for ONE", "4 yrs", "Annis Quell", "Heron"}, {"", "", "", "Burke Tamsin", "Otter"},
				{"Council / District 1", "Vote for TWO", "2 yrs", "Cleo Marsh", "Heron"}, {"", "", "", "Esk Rowan", ""},
				{"Council / District 2", "Vote for TWO", "2 yrs", "Fenn Alder", "Heron"},
				{"Proposition 1 - Ferry Bond", "", "", "YES"}, {"", "", "", "NO"}, {"Printed by J. Orr"}}},
			{"Who votes", who},
			{"Sites", [][]string{{"Pct #", "Polling Place", "Tabulator S/N"}, {"Pct 101", "Ferry Hall", "QW-01"},
				{"Pct 102", "Ferry Hall", "QW-01"}, {"Pct 204", "Grange", "QW-02"}}},
		})
		e, p := proposed(t, files)
		proposition := "Proposition 1 - Ferry Bond 0 (YES; NO)"
		if mark == "X" {
			assert.Contains(t, strings.Join(p.Odd, " "), `on no ballot: "Printed by J. Orr"`)
		}
		assert.Equal(t, []string{
			" [Pct 101]: Assessor 1 (Annis Quell Heron; Burke Tamsin Otter), Council / District 1 2 (Cleo Marsh Heron; Esk " +
				"Rowan)",
			" [Pct 102 Pct 204]: Assessor 1 (Annis Quell Heron; Burke Tamsin Otter), Council / District 2 2 (Fenn Alder " +
				"Heron), " +
				proposition}, ballotsOf(e), mark)
		require.Len(t, e.Contests, 4)
		assert.Len(t, e.Units, 2)
	}
}

// A sheet for each contest, with the contest in its title.
func TestASheetForEachContest(t *testing.T) {
	e, _ := proposed(t, asWorkbook(t, []plain{
		{"1", [][]string{{"County Judge"}, {"Vote for no more than two (2)"}, {"Candidate", "Party"}, {"Ada Quill", "HEA"},
			{"Bram Okafor", "MER"}}},
		{"2", [][]string{{"Trustee, Ward 1"}, {"Vote for ONE"}, {"Candidate", "Party"}, {"Pia Holm", "HEA"}}},
		{"Faces", [][]string{{"Ballot Style", "Precinct", "Contest"}, {"A", "1-01", "County Judge"}, {"A", "1-01",
			"Trustee, Ward 1"}, {"B", "1-02", "County Judge"}}},
	}))
	assert.Equal(t, []string{"A [1-01]: County Judge 2 (Ada Quill HEA; Bram Okafor MER), Trustee, Ward 1 1 (Pia Holm HEA)",
		"B [1-02]: County Judge 2 (Ada Quill HEA; Bram Okafor MER)"}, ballotsOf(e))
}

// Offices and districts in columns of their own, which other lists write in one.
func TestContestsAreCalledAsTheListsOfBallotsCallThem(t *testing.T) {
	for name, write := range map[string]func(title, district string) string{
		"with a dash":    func(title, district string) string { return title + " - " + district },
		"with a blank":   func(title, district string) string { return title + " " + district },
		"district first": func(title, district string) string { return district + " " + title },
		"by code": func(_, district string) string {
			return map[string]string{"Ward 1": "70", "Ward 2": "71"}[district]
		},
	} {
		e, _ := proposed(t, asCSV(t, []plain{
			{"candidates", [][]string{{"Office ID", "Office", "District", "Vote For", "Candidate"},
				{"70", "Trustee", "Ward 1", "1", "Ada Quill"}, {"71", "Trustee", "Ward 2", "1", "Bram Okafor"}}},
			{"ballots", [][]string{{"Precinct", "Contest"}, {"1-01", write("Trustee", "Ward 1")},
				{"1-02", write("Trustee", "Ward 2")}}}}))
		assert.Equal(t, []string{" [1-01]: Trustee, Ward 1 1 (Ada Quill)", " [1-02]: Trustee, Ward 2 1 (Bram Okafor)"},
			ballotsOf(e), name)
		assert.Equal(t, "Trustee", e.Contests[0].Title.Value.In("en"), "what tells contests apart is not printed")
	}
}

// Lists out of a database: contests, candidates and precincts by number; a district that means all voters
// is not printed.
func TestListsThatNameContestsByNumber(t *testing.T) {
	e, p := proposed(t, asCSV(t, []plain{
		{"Candidates", [][]string{{"Contest ID", "Candidate ID", "Candidate Name", "Party Code", "Ballot Order"},
			{"10", "1", "Annis Quell", "HER", "1"}, {"10", "2", "Burke Tamsin", "OTT", "2"}, {"10", "3", "Annis Quell", "OTT",
				"3"}, {"10", "4", "WRITE-IN", "", "4"}, {"11", "5", "Cleo Marsh", "HER", "1"}, {"12", "6", "Fenn Alder", "HER",
				"1"}}},
		{"Contests", [][]string{{"Contest ID", "Contest Name", "Vote For", "District"}, {"10", "ASSESSOR", "1",
			"Countywide"}, {"11", "COUNCIL", "2", "District 1"}, {"12", "COUNCIL", "2", "District 2"}}},
		{"Parties", [][]string{{"Party Code", "Party Name"}, {"HER", "Heron Party"}, {"OTT", "Otter Party"}}},
		{"Precinct_Contests", [][]string{{"Precinct", "Contest ID", "Sequence"}, {"101", "10", "1"}, {"101", "11", "2"},
			{"102", "10", "1"}, {"102", "12", "2"}}}}))
	assessor := "ASSESSOR 1 (Annis Quell HER; Burke Tamsin OTT; Annis Quell OTT; write-in), "
	assert.Equal(t, []string{" [101]: " + assessor + "COUNCIL, District 1 2 (Cleo Marsh HER)",
		" [102]: " + assessor + "COUNCIL, District 2 2 (Fenn Alder HER)"}, ballotsOf(e))
	assert.Contains(t, strings.Join(p.Odd, " "), `but for "Countywide"`)
	assert.Contains(t, strings.Join(p.Odd, " "), "taken to number rows and not people")
}

// A district that means all voters tells no contest apart, and the lists of ballots leave it out.
func TestADistrictThatMeansAllVoters(t *testing.T) {
	e, _ := proposed(t, asCSV(t, []plain{
		{"candidates", [][]string{{"Office", "District", "Vote For", "Candidate"}, {"Assessor", "At Large", "1",
			"Annis Quell"},
			{"Clerk", "At Large", "1", "Burke Tamsin"}, {"Council", "1", "2", "Cleo Marsh"}, {"Council", "2", "2",
				"Fenn Alder"}}},
		{"who votes", [][]string{{"Precinct", "Assessor", "Clerk", "Council 1", "Council 2"}, {"101", "X", "X", "X", ""},
			{"102", "X", "X", "", "X"}}}}))
	assert.Equal(t, []string{
		" [101]: Assessor 1 (Annis Quell), Clerk 1 (Burke Tamsin), Council, 1 2 (Cleo Marsh)",
		" [102]: Assessor 1 (Annis Quell), Clerk 1 (Burke Tamsin), Council, 2 2 (Fenn Alder)"}, ballotsOf(e))
}
