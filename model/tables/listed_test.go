package tables_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/tables"
)

const listMapping = `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "fill": ["Office", "Vote"], "rows": {
  "contests": [{"columns": {"contest": "{Office}", "vote_for": "{Vote}"}}],
  "choices": [{"columns": {"contest": "{Office}", "name": "{Candidate}", "party_lines": "{Party}"},
    "separators": {"name": "&", "party_lines": "/"}, "replace": {"party_lines": {"None": "-"}},
    "read": {"name": {"surname_first": true, "ignore_capitals": true, "leave_out": ["Hon.", "Dr."]}}}],
  "districts": [{"columns": {"contest": "{Office}", "district": "{Area}"}}]}}]}`

const candidateFile = `Certified candidates
Office,Area,Vote,Candidate,Party,Filed
Executive,County,1,"BRANDYWINE, ILSE & REYL, TOMAS",HEA/GRO,1 July
,,,"OKAFOR, BRAM, JR.",None,2 July
Trustee,Ward 2,2,"VOSS, HON. ANNEKE",MER,
`

func read(t *testing.T, kind model.WitnessKind, file, mapping string) (*model.Listed, tables.Contents, error) {
	t.Helper()
	var m *tables.Mapping
	if mapping != "" {
		var err error
		m, err = tables.ParseMapping("mapping.json", []byte(mapping))
		require.NoError(t, err)
	}
	return tables.ReadListed(tables.File{Name: "list.csv", Data: []byte(file)}, m, kind, tables.Options{})
}

func TestACertifiedListIsReadThroughItsMapping(t *testing.T) {
	l, contents, err := read(t, model.WitnessCandidates, candidateFile, listMapping)
	require.NoError(t, err)
	require.Len(t, l.Contests, 2)
	executive, trustee := l.Contests[0], l.Contests[1]
	assert.Equal(t, "Executive", executive.Name)
	assert.Equal(t, model.Say(2), trustee.VoteFor)
	assert.Equal(t, "Ward 2", trustee.District)
	assert.False(t, executive.Ordered, "no position is certified")
	require.Len(t, executive.Choices, 2)
	assert.Equal(t, "BRANDYWINE, ILSE / REYL, TOMAS", executive.Choices[0].Name.Written)
	assert.Equal(t, "ILSE BRANDYWINE / TOMAS REYL", executive.Choices[0].Name.Read)
	assert.Equal(t, []string{"HEA", "GRO"}, executive.Choices[0].Lines.Value)
	assert.Equal(t, "BRAM OKAFOR, JR.", executive.Choices[1].Name.Read)
	assert.Equal(t, model.Say([]string{}), executive.Choices[1].Lines, "no party is printed")
	assert.Equal(t, "HON. ANNEKE VOSS", trustee.Choices[0].Name.Read)
	assert.Equal(t, "list.csv, line 5", trustee.Choices[0].Place)
	assert.Equal(t, 2, contents.Uncompared["list.csv, Filed"])

	m, err := tables.ParseMapping("mapping.json", []byte(listMapping))
	require.NoError(t, err)
	assert.Contains(t, m.Words()[0].Lines, "choices, name is “{Candidate}”, several with “&” between them; the surname "+
		"stands first: “Surname, Given, Jr.” is read as “Given Surname, Jr.”; capitals say nothing; at the beginning and "+
		"the end “Hon.”, “Dr.” say nothing")
	_, _, err = tables.Read([]tables.File{{Name: "list.csv", Data: []byte(candidateFile)}}, m, tables.Options{})
	require.ErrorContains(t, err, "an export is compared as it is written")
}

func TestACertifiedDocumentWithOurColumnsNeedsNoMapping(t *testing.T) {
	l, _, err := read(t, model.WitnessCandidates, "Contest,Name,Party Lines,Position,Vote for\n"+
		"Judge,Second,MER,2,1\nJudge,First,-,1,\n", "")
	require.NoError(t, err)
	require.Len(t, l.Contests, 1)
	assert.True(t, l.Contests[0].Ordered)
	assert.Equal(t, model.Say(1), l.Contests[0].VoteFor)
	assert.Equal(t, "First", l.Contests[0].Choices[0].Name.Read)
	assert.Nil(t, l.Contests[0].Choices[0].Name.Rules)

	l, _, err = read(t, model.WitnessCandidates, "contest\tname\nJudge\tFirst, of the kind\n", "")
	require.NoError(t, err)
	assert.Equal(t, "First, of the kind", l.Contests[0].Choices[0].Name.Read, "a table with tabs")

	l, _, err = read(t, model.WitnessDistricts, "precinct,district\n1-01,Ward 1\n1-02,Ward 1\n1-01,Ward 1\n2-01,Ward 2\n"+
		"2-02,\n", "")
	require.NoError(t, err)
	require.Len(t, l.Districts, 2)
	assert.Equal(t, []string{"1-01", "1-02"}, l.Districts[0].Precincts)

	l, _, err = read(t, model.WitnessSites, "precinct,site,use\n1-01,Fire House,\n1-01,City Hall,early\n", "")
	require.NoError(t, err)
	require.Len(t, l.Sites, 2)
	assert.Equal(t, model.UseElectionDay, l.Sites[0].Use)
	assert.Equal(t, model.UseEarly, l.Sites[1].Use)
}

func TestACertifiedDocumentThatCannotBeUsedIsRefused(t *testing.T) {
	mapped := func(rows string) string {
		return `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {` + rows + `}}]}`
	}
	choices := `"choices": [{"columns": {"contest": "{contest}", "name": "{name}", "position": "{position}"}}]`
	for want, c := range map[string]struct {
		kind          model.WitnessKind
		file, mapping string
	}{
		"without --mapping, a district table has the columns district, precinct": {model.WitnessDistricts,
			"Precinct,Ward 1,Ward 2\n1-01,x,\n", ""},
		"makes no rows of a certified list": {model.WitnessCandidates, "contest,name\n", ""},
		"has no rows of units": {model.WitnessSites, "unit,precinct,site\nA,1,x\n",
			mapped(`"units": [{"columns": {"unit": "{unit}"}}]`)},
		`"write_in" of choices is not held against a certified list`: {model.WitnessCandidates, "contest,name\nJudge,X\n",
			mapped(`"choices": [{"columns": {"contest": "{contest}", "name": "{name}", "write_in": "yes"}}]`)},
		`"some" is no number of votes`: {model.WitnessCandidates, "contest,name,vote_for\nJudge,X,some\n", ""},
		"some choices of \"Judge\" have a position, and some have none": {model.WitnessCandidates,
			"contest,name,position\nJudge,X,1\nJudge,Y,\n", mapped(choices)},
		"is no position":        {model.WitnessCandidates, "contest,name,position\nJudge,X,0\n", mapped(choices)},
		"is no use of a site":   {model.WitnessSites, "precinct,site,use\n1,Hall,dancing\n", ""},
		"the vote_for of":       {model.WitnessCandidates, "contest,name,vote_for\nJudge,X,1\nJudge,Y,2\n", ""},
		"a spreadsheet":         {model.WitnessDistricts, "precinct,district\n1.2E+10,Ward 1\n1.3E+10,Ward 1\n", ""},
		"has no name":           {model.WitnessCandidates, "contest,name,party_lines\nJudge,,MER\n", ""},
		"the columns precinct,": {model.WitnessSites, "", ""},
	} {
		_, _, err := read(t, c.kind, c.file, c.mapping)
		require.ErrorContains(t, err, want, want)
		require.NotContains(t, err.Error(), "\n")
	}
	for want, rows := range map[string]string{
		`"party_lines" is not read by rules`: `"choices": [{"columns": {"contest": "{a}", "party_lines": "{b}"},
			"read": {"party_lines": {"ignore_capitals": true}}}]`,
		`"surname_first" is for names`: `"contests": [{"columns": {"contest": "{a}", "title": "{b}"},
			"read": {"title": {"surname_first": true}}}]`,
		"none of them empty": `"choices": [{"columns": {"contest": "{a}", "name": "{b}"},
			"read": {"name": {"leave_out": [" Hon."]}}}]`,
		"say where district comes from": `"districts": [{"columns": {"precinct": "{a}"}}]`,
	} {
		_, err := tables.ParseMapping("mapping.json", []byte(mapped(rows)))
		require.ErrorContains(t, err, want, want)
	}
}
