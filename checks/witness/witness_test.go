package witness_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// town is a second entry of two precincts, and an export that says the same.
func town(t *testing.T) (export, second *model.Election) {
	t.Helper()
	rows := &sheets.Sheets{
		Parties:   []sheets.PartyRow{{Party: "HEA", Name: "Hearth Party"}, {Party: "MER", Name: "Meridian Party"}},
		Precincts: []sheets.PrecinctRow{{Precinct: "1-01", Site: "Mill Hall"}, {Precinct: "1-02", Site: "Town Hall"}},
		Contests: []sheets.ContestRow{
			{Contest: "exec", Title: "County Executive", Kind: "candidate", VoteFor: "1"},
			{Contest: "ward", Title: "Trustee, Ward 2", Kind: "candidate", VoteFor: "2"},
		},
		Choices: []sheets.ChoiceRow{
			{Contest: "exec", Position: "1", Name: "Ilse Brandywine", PartyLines: "HEA"},
			{Contest: "exec", Position: "2", Name: "Dr. Tomas Reyl", PartyLines: "MER"},
			{Contest: "ward", Position: "1", Name: "Anneke McVoss", PartyLines: "HEA"},
			{Contest: "ward", Position: "2", Name: "Pia Holm", PartyLines: "-"},
		},
		Ballots: []sheets.BallotRow{{Style: "A", Position: "1", Contest: "exec"}, {Style: "A", Position: "2",
			Contest: "ward"},
			{Style: "B", Position: "1", Contest: "exec"}},
		Styles: []sheets.StyleRow{{Style: "A", Precinct: "1-02"}, {Style: "B", Precinct: "1-01"}},
	}
	second, err := rows.Election()
	require.NoError(t, err)
	export, err = rows.Export("en")
	require.NoError(t, err)
	return export, second
}

// against holds documents, each a kind and a CSV, against the entries.
func against(t *testing.T, export, second *model.Election, documents ...string) witness.Result {
	t.Helper()
	var list []witness.Document
	for i := 0; i < len(documents); i += 2 {
		kind, mapping, _ := strings.Cut(documents[i], " ")
		var m *tables.Mapping
		if mapping != "" {
			var err error
			m, err = tables.ParseMapping("mapping.json", []byte(mapping))
			require.NoError(t, err)
		}
		l, _, err := tables.ReadListed(tables.File{Name: "list.csv", Data: []byte(documents[i+1])}, m,
			model.WitnessKind(kind), tables.Options{})
		require.NoError(t, err)
		list = append(list, witness.Document{Entry: int64(i + 1), Name: "List " + string(rune('A'+i/2)), Version: "1",
			Kind: model.WitnessKind(kind), Says: l})
	}
	pg := pairing.Of(export, second, "", nil)
	return witness.Of(pg, checks.ComparePaired(pg, checks.Options{}).Findings, list)
}

func messagesOf(r witness.Result) (out []string) {
	for _, f := range r.Findings {
		out = append(out, string(f.Check)+" "+string(f.Grade)+": "+f.Message)
	}
	return out
}

const candidateList = "contest,name,party_lines,vote_for\nCounty Executive,Ilse Brandywine,HEA,1\n" +
	"County Executive,Dr. Tomas Reyl,Meridian Party,\n\"Trustee, Ward 2\",Anneke McVoss,HEA,2\n" +
	"\"Trustee, Ward 2\",Pia Holm,-,\n"

// inCapitals writes all but the header in capitals.
func inCapitals(list string) string {
	header, rows, _ := strings.Cut(list, "\n")
	return header + "\n" + strings.ToUpper(rows)
}

func name(e *model.Election, contest, choice int, words string) {
	e.Contests[contest].Choices[choice].Name = model.Say(model.Text{{Language: "en", Words: words}})
}

func TestWhatTheThreeSidesSay(t *testing.T) {
	const capitals = `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {
		"choices": [{"columns": {"contest": "{contest}", "name": "{name}"},
			"read": {"name": {"ignore_capitals": true, "leave_out": ["Dr."]}}}]}}]}`
	for name, c := range map[string]struct {
		edit func(export, second *model.Election)
		kind string
		list string
		want []string
	}{
		"all agree; a party goes by its code or its name": {nil, "candidates", candidateList, nil},
		"a list in capitals, without titles": {nil, "candidates " + capitals,
			inCapitals(strings.ReplaceAll(candidateList, "Dr. ", "")), nil},
		"capitals that say nothing do not tell who is wrong": {func(export, _ *model.Election) {
			name(export, 1, 0, "Anneke Mcvoss")
		}, "candidates " + capitals, inCapitals(candidateList), []string{
			"choice-name confirm: The certified list does not tell the two apart, as it is read. "}},
		"a title that the list leaves out does not tell it either": {func(export, _ *model.Election) {
			name(export, 0, 1, "Tomas Reyl")
		}, "candidates " + capitals, candidateList, []string{
			"choice-name must-fix: The certified list does not tell the two apart, as it is read. "}},
		"capitals count where no rule says otherwise": {nil, "candidates", strings.Replace(candidateList, "McVoss", "Mcvoss",
			1),
			[]string{`list-differs confirm: "Trustee, Ward 2": "Anneke McVoss" in the export and the second entry, "Anneke ` +
				`Mcvoss" in the certified list (list.csv, line 4).`}},
		"what was not keyed is held against the export alone": {func(_, second *model.Election) {
			second.Contests[0].Choices[0].Lines = model.Stated[[]int]{}
		}, "candidates", strings.Replace(candidateList, "Brandywine,HEA", "Brandywine,MER", 1), []string{
			`list-differs must-fix: "County Executive": "Ilse Brandywine" on HEA in the export, where nothing was keyed, on MER ` +
				`in the certified list (list.csv, line 2).`}},
		"a party that neither entry has": {nil, "candidates", strings.Replace(candidateList, "Brandywine,HEA",
			"Brandywine,GRO", 1),
			[]string{`list-differs must-fix: "County Executive": "Ilse Brandywine" on HEA in the export and the second entry, ` +
				`on GRO in the certified list (list.csv, line 2).`}},
		"a contest that neither entry has": {nil, "candidates", candidateList + "Surrogate,Noor Castellane,HEA,1\n", []string{
			`list-differs must-fix: "Surrogate": no such contest in the export and the second entry, the contest in the ` +
				`certified list (list.csv, line 6).`}},
		"contests of another county are one finding": {nil, "candidates", candidateList +
			"Surrogate,Noor Castellane,HEA,1\n" +
			"Coroner,Bo Tarr,HEA,1\n", []string{`list-differs must-fix: No such contests in the export and the second entry, 2 ` +
			`contests: "Surrogate", "Coroner" in the certified list.`}},
		"a site that the export calls otherwise": {func(export, _ *model.Election) {
			export.Sites[0].Name = model.Plain("Mill Lane Hall")
		}, "sites", "precinct,site\n1-01,Mill Hall\n1-02,Town Hall\n", []string{
			"unit-site must-fix: The site list agrees with the second entry. "}},
		"a unit that the export has at another site": {func(export, second *model.Election) {
			for i, e := range []*model.Election{export, second} {
				e.Units = []model.Unit{{Name: "U-1", Site: model.Say(i), Precincts: model.Say([]int{1})}}
			}
		}, "sites", "precinct,site\n1-01,Mill Hall\n1-02,Town Hall\n", []string{
			"unit-site must-fix: The site list agrees with the second entry. ", "precinct-unserved must-fix: No election-day"}},
		"districts of one name in the export are not guessed": {func(export, _ *model.Election) {
			export.Districts = []model.District{{Name: model.Plain("District 1"), Precincts: []int{1}},
				{Name: model.Plain("District 1"), Precincts: []int{0, 1}}}
			export.Contests[1].District = model.Say(0)
		}, "districts", "precinct,district\n1-01,District 1\n", nil},
		"a name that the export has twice, in another's place": {func(export, _ *model.Election) {
			name(export, 0, 1, "Ilse Brandywine")
		}, "candidates", strings.ReplaceAll(candidateList, ",1\n", ",\n"), []string{
			"choice-name must-fix: The certified list agrees with the second entry. ",
		}},
		"names of one person on two lines": {func(export, second *model.Election) {
			for _, e := range []*model.Election{export, second} {
				c := &e.Contests[0]
				c.Choices = append(c.Choices, c.Choices[0])
				c.Choices[2].Lines = c.Choices[1].Lines
			}
		}, "candidates", strings.Replace(candidateList, "Brandywine,HEA", "Brandywine,HEA|MER", 1), nil},
		"a candidate that neither has": {nil, "candidates", candidateList + "County Executive,Noor Castellane,HEA,\n",
			[]string{
				`list-differs must-fix: "County Executive": no such name in the export and the second entry, "Noor Castellane" in ` +
					`the certified list (list.csv, line 6).`}},
		"look-alike letters": {nil, "candidates", strings.Replace(candidateList, "Pia Holm", "Piа Holm", 1), []string{
			`list-differs must-fix: "Trustee, Ward 2": "Pia Holm" in the export and the second entry`}},
		"a contest off a precinct of its district in both": {nil, "districts",
			"precinct,district,contest\n1-01,Ward 2,\n1-02,Ward 2,\n1-01,County,County Executive\n1-02,County,\n" +
				",Ward 2,\"Trustee, Ward 2\"\n", []string{
				`district-table must-fix: 1-01: "Trustee, Ward 2" is left off the ballot, in the export and the second entry, ` +
					`against the district table.`}},
		"a contest on a precinct outside its district in both": {nil, "districts",
			"precinct,district,contest\n1-02,County,County Executive\n", []string{
				`district-table must-fix: 1-01: "County Executive" is on the ballot and does not belong there, in the export and ` +
					`the second entry, against the district table.`}},
		"precincts of the table that neither has": {nil, "districts",
			"precinct,district,contest\n1-01,County,County Executive\n1-02,County,\n9-02,County,\n9-01,County,\n", []string{
				`district-table must-fix: 9-01, 9-02: the district table has these precincts, and neither the export nor the ` +
					`second entry does.`}},
		"a table whose labels are others is one finding": {nil, "districts",
			"precinct,district,contest\nA,County,County Executive\nB,County,\n", []string{
				"district-table must-fix: A, B: the district table has these precincts, and neither"}},
		"one site under another name": {nil, "sites", "precinct,site\n1-01,Mill Hall\n1-02,Grange Hall\n", []string{
			`list-differs must-fix: Precinct 1-02: "Town Hall" in the export and the second entry, "Grange Hall" in the site ` +
				`list.`}},
		"a precinct of the site list that neither has": {nil, "sites", "precinct,site\n1-01,Mill Hall\n9-99,Grange Hall\n",
			[]string{`list-differs must-fix: Precinct 9-99: no such precinct in the export and the second entry, 9-99 in the ` +
				`site list.`}},
	} {
		t.Run(name, func(t *testing.T) {
			export, second := town(t)
			if c.edit != nil {
				c.edit(export, second)
			}
			got := messagesOf(against(t, export, second, c.kind, c.list))
			require.Len(t, got, len(c.want), "%q", got)
			for i, want := range c.want {
				assert.True(t, strings.HasPrefix(got[i], want), "%s\nwant %s", got[i], want)
			}
		})
	}
}

// Contests that no list names, and such whose district is in no table, are named.
func TestWhatWasHeldAgainstADocumentAndWhatWasNot(t *testing.T) {
	export, second := town(t)
	c := against(t, export, second, "candidates", "contest,name\nCounty Executive,Ilse Brandywine\n"+
		"County Executive,Dr. Tomas Reyl\n", "districts", "precinct,district,contest\n1-01,County,County Executive\n"+
		"1-02,County,\n,Ward 9,\"Trustee, Ward 2\"\n", "sites", "precinct,site\n1-01,Mill Hall\n").Coverage
	assert.Equal(t, []string{"County Executive"}, c.Listed)
	assert.Equal(t, []string{"Trustee, Ward 2"}, c.ProofOnly)
	assert.Equal(t, []string{"County Executive"}, c.Districted)
	assert.Equal(t, []witness.NoDistrict{{Contest: "Trustee, Ward 2", District: "Ward 9"}}, c.NoDistrict)
	assert.Equal(t, 1, c.Sited)
	assert.Equal(t, 2, c.Precincts)
	assert.Empty(t, c.Notes)

	for _, e := range []*model.Election{export, second} {
		for i := range e.Precincts {
			e.Precincts[i].Sites = model.Stated[[]model.SiteUse]{}
		}
	}
	c = against(t, export, second, "sites", "precinct,site\n1-01,Mill Hall\n").Coverage
	assert.Len(t, c.Notes, 1, "before the units are sealed nothing is compared")
}

// Two lists of one kind are told apart by their names, and a finding quotes each.
func TestTwoListsAreQuotedByTheirNames(t *testing.T) {
	export, second := town(t)
	export.Contests[0].VoteFor = model.Say(3)
	got := messagesOf(against(t, export, second, "candidates", "contest,name,vote_for\nCounty Executive,Ilse "+
		"Brandywine,1\n"+
		"County Executive,Dr. Tomas Reyl,1\n", "candidates", "contest,name,vote_for\nCounty Executive,Ilse Brandywine,3\n"+
		"County Executive,Dr. Tomas Reyl,3\n"))
	at := slices.IndexFunc(got, func(m string) bool { return strings.HasPrefix(m, "vote-for") })
	require.GreaterOrEqual(t, at, 0, "%q", got)
	assert.Contains(t, got[at], "The certified list “List A” agrees with the second entry. The certified list “List B” "+
		"agrees with the export.")
}

// What the export draws and a district table says as well is one finding.
func TestADistrictThatTheExportDrawsIsNotSaidTwice(t *testing.T) {
	export, second := town(t)
	export.Districts = []model.District{{Name: model.Plain("Ward 2"), Precincts: []int{0, 1}}}
	export.Contests[1].District = model.Say(0)
	alone := against(t, export, second).Findings
	require.Len(t, alone, 1)
	_, drawn := checks.InDistricts(&alone[0])
	require.True(t, drawn)
	got := against(t, export, second, "districts", "precinct,district\n1-01,Ward 2\n1-02,Ward 2\n").Findings
	require.Len(t, got, 1)
	assert.True(t, checks.OfDocument(got[0].Check))
	// A table that agrees with the ballots takes nothing away.
	got = against(t, export, second, "districts", "precinct,district\n1-02,Ward 2\n").Findings
	require.Len(t, got, 1)
	_, drawn = checks.InDistricts(&got[0])
	assert.True(t, drawn)
}

// The identity of a finding stays, whatever the list says otherwise; what it says is what a decision
// binds to.
func TestTheIdentityOfAFindingOfAList(t *testing.T) {
	of := func(list string) finding.Finding {
		export, second := town(t)
		got := against(t, export, second, "candidates", list).Findings
		require.Len(t, got, 1)
		return got[0]
	}
	one := of(strings.Replace(candidateList, "McVoss", "Mcvoss", 1))
	other := of("\n" + strings.Replace(candidateList, "McVoss", "McVos", 1))
	assert.Equal(t, one.ID, other.ID)
	assert.NotEqual(t, one.Values, other.Values)
	moved := of("\n\n" + strings.Replace(candidateList, "McVoss", "McVos", 1))
	assert.Equal(t, other.Values, moved.Values, "where the list has it is no part of what it says")
}
