package sheets

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each fault is planted in sheets that are otherwise in order, and must be
// reported at its place, with what was typed and what would be right.
func TestFaultsAreNamedWithPlaceAndRemedy(t *testing.T) {
	type sheets = map[string]string
	const (
		contests  = "contest,title,kind,vote_for\n"
		choices   = "contest,position,name,party_lines,write_in\n"
		ballots   = "precinct,style,party,position,contest\n"
		judge     = contests + "judge,County Judge,candidate,2\n"
		precincts = "precinct,site\n1-01,Quay School\n1-02,Quay School\n2-01,Mill Hall\n"
	)
	for _, c := range []struct {
		name   string
		sheets sheets
		place  string // as the error begins
		says   []string
	}{
		{"a vote-for in letters", sheets{"contests.csv": judge + "prop1,One,measure,two\n"},
			"contests.csv, line 3, column vote_for", []string{`"two"`, "digits"}},
		{"a negative vote-for", sheets{"contests.csv": judge + "prop1,One,measure,-1\n"},
			"contests.csv, line 3, column vote_for", []string{`"-1"`}},
		{"a fractional vote-for", sheets{"contests.csv": judge + "prop1,One,measure,1.5\n"},
			"contests.csv, line 3, column vote_for", []string{`"1.5"`}},
		{"a vote-for beyond all sense", sheets{"contests.csv": judge + "prop1,One,measure,99999999999999999999\n"},
			"contests.csv, line 3, column vote_for", nil},
		{"an unknown kind", sheets{"contests.csv": judge + "prop1,One,proposal,\n"}, "contests.csv, line 3, column kind",
			[]string{`"proposal"`, "candidate, measure, retention or party"}},
		{"the same contest twice", sheets{"contests.csv": judge + "judge,Judge,candidate,2\n"},
			"contests.csv, line 3, column contest", []string{`"judge"`, "line 2"}},
		{"a contest code that differs in its Unicode form only",
			sheets{"contests.csv": contests + "maire\u0301,A,candidate,1\nmair\u00e9,B,candidate,1\n"},
			"contests.csv, line 3, column contest", []string{"line 2"}},
		{"a contest without a code", sheets{"contests.csv": judge + ",One,measure,\n"},
			"contests.csv, line 3, column contest", []string{"no code"}},
		{"a contest without a title", sheets{"contests.csv": judge + "prop1,,measure,\n"},
			"contests.csv, line 3, column title", []string{`"prop1"`}},
		{"a primary party named twice",
			sheets{"contests.csv": "contest,title,kind,vote_for,primary_party\njudge,Judge,candidate,1,ALD | Alder Party\n"},
			"contests.csv, line 2, column primary_party", []string{"twice"}},

		{"a choice for an unknown contest", sheets{"choices.csv": choices + "jugde,1,Ada Quill,,\n"},
			"choices.csv, line 2, column contest", []string{`"jugde"`, `did you mean "judge"?`}},
		{"a choice that names no contest", sheets{"choices.csv": choices + ",1,Ada Quill,,\n"},
			"choices.csv, line 2, column contest", []string{"names no contest"}},
		{"a position that is no number", sheets{"choices.csv": choices + "judge,first,Ada Quill,,\n"},
			"choices.csv, line 2, column position", []string{`"first"`}},
		{"a position of 1.0", sheets{"choices.csv": choices + "judge,1.0,Ada Quill,,\n"},
			"choices.csv, line 2, column position", []string{`"1.0"`}},
		{"position zero", sheets{"choices.csv": choices + "judge,0,Ada Quill,,\n"}, "choices.csv, line 2, column position",
			[]string{`"0"`}},
		{"no position", sheets{"choices.csv": choices + "judge,,Ada Quill,,\n"}, "choices.csv, line 2, column position",
			[]string{"no position"}},
		{"two rows for one position", sheets{"choices.csv": choices +
			"judge,1,Ada Quill,,\njudge,2,Ben Örn,,\njudge,01,Cy Dale,,\n"}, "choices.csv, line 4, column position",
			[]string{"position 1", `"judge"`, "line 2"}},
		{"write_in that says no", sheets{"choices.csv": choices + "judge,1,Ada Quill,,no\n"},
			"choices.csv, line 2, column write_in", []string{`"no"`, "write yes"}},
		{"a name that ran over into the next column", sheets{"choices.csv": choices + "judge,1,Cole, Jr.,ALD\n"},
			"choices.csv, line 2, column write_in", []string{`"ALD"`}},
		{"a choice without a name", sheets{"choices.csv": choices + "judge,1,,ALD,\n"}, "choices.csv, line 2, column name",
			[]string{"write-in"}},
		{"a party line twice in one cell", sheets{"choices.csv": choices + "judge,1,Ada Quill,ALD|ALD,\n"},
			"choices.csv, line 2, column party_lines", []string{`"ALD"`, "twice"}},
		{"an empty party line", sheets{"choices.csv": choices + "judge,1,Ada Quill,ALD|,\n"},
			"choices.csv, line 2, column party_lines", []string{`"ALD|"`}},
		{"no party and a party", sheets{"choices.csv": choices + "judge,1,Ada Quill,-|ALD,\n"},
			"choices.csv, line 2, column party_lines", []string{`"-|ALD"`}},
		{"a write-in line that is a person", sheets{"choices.csv": choices[:len(choices)-1] + ",person\njudge,1,,,yes,1\n"},
			"choices.csv, line 2, column person", []string{"write-in"}},
		{"a dash for a person", sheets{"choices.csv": choices[:len(choices)-1] + ",person\njudge,1,Ada Quill,,,-\n"},
			"choices.csv, line 2, column person", []string{`"-"`}},

		{"a precinct that is not on the roster", sheets{"ballots.csv": ballots + "1-1,North,,1,judge\n"},
			"ballots.csv, line 2, column precinct", []string{`"1-1"`, "did you mean"}},
		{"a precinct that a spreadsheet made a date", sheets{"ballots.csv": ballots + "Jan-01,North,,1,judge\n"},
			"ballots.csv, line 2, column precinct", []string{`"Jan-01"`, "precincts.csv"}},
		{"a ballot row for an unknown contest", sheets{"ballots.csv": ballots + ",North,,1,judge\n,North,,2,prop-1\n"},
			"ballots.csv, line 3, column contest", []string{`"prop-1"`, `"prop1"`}},
		{"two contests at one position of a ballot",
			sheets{"ballots.csv": ballots + ",North,,1,judge\n,South,,1,judge\n,North,,1,prop1\n"},
			"ballots.csv, line 4, column position", []string{"position 1", `"North"`, "line 2"}},
		{"a ballot row with neither precinct nor style", sheets{"ballots.csv": ballots + ",,,1,judge\n"},
			"ballots.csv, line 2, column precinct", []string{"neither precinct nor style"}},
		{"a ballot position that is no number", sheets{"ballots.csv": ballots + ",North,,A,judge\n"},
			"ballots.csv, line 2, column position", []string{`"A"`}},
		{"no precincts and no styles.csv", sheets{"styles.csv": ""}, "ballots.csv, line 2, column precinct",
			[]string{"styles.csv"}},
		{"one row of a style lost its precinct",
			sheets{"ballots.csv": ballots + "1-01,North,,1,judge\n1-01,North,,2,prop1\n,North,,3,prop1\n,South,,1,judge\n",
				"styles.csv": "style,precinct\nSouth,2-01\n"}, "ballots.csv, line 4, column precinct", []string{`"North"`}},
		{"an empty heading between two",
			sheets{
				"ballots.csv": "precinct,style,party,position,contest,heading\n,North,,1,judge,County||Judicial\n,South,,1,judge,\n"}, "ballots.csv, line 2, column heading", []string{"empty heading"}},
		{"an order with a position that the contest has not",
			sheets{"ballots.csv": "precinct,style,party,position,contest,choice_order\n,North,,1,judge,1|2|4\n"},
			"ballots.csv, line 2, column choice_order", []string{`"4"`, `"judge"`, "1, 2, 3"}},
		{"an order that lists a position twice",
			sheets{"ballots.csv": "precinct,style,party,position,contest,choice_order\n,North,,1,judge,1|2|2\n"},
			"ballots.csv, line 2, column choice_order", []string{"position 2", "twice"}},
		{"an order that leaves a position out",
			sheets{"ballots.csv": "precinct,style,party,position,contest,choice_order\n,North,,1,judge,2|1\n"},
			"ballots.csv, line 2, column choice_order", []string{"position 3", "not listed"}},
		{"an order in words",
			sheets{"ballots.csv": "precinct,style,party,position,contest,choice_order\n,North,,1,judge,reversed\n"},
			"ballots.csv, line 2, column choice_order", []string{`"reversed"`}},

		{"a style whose ballot is not keyed", sheets{"styles.csv": "style,precinct\nNorht,1-01\n"},
			"styles.csv, line 2, column style", []string{`"Norht"`, `did you mean "North"?`}},
		{"a style row without a style", sheets{"styles.csv": "style,precinct\n,1-01\n"}, "styles.csv, line 2, column style",
			nil},
		{"a style row without a precinct", sheets{"styles.csv": "style,precinct\nNorth,\n"},
			"styles.csv, line 2, column precinct", nil},
		{"a style for an unknown precinct", sheets{"styles.csv": "style,precinct\nNorth,1-04\n"},
			"styles.csv, line 2, column precinct", []string{`"1-04"`}},
		{"a style row twice", sheets{"styles.csv": "style,precinct\nNorth,1-01\nNorth,1-02\nNorth,1-01\n"},
			"styles.csv, line 4, column precinct", []string{"line 2"}},
		{"a style row for a party without a ballot", sheets{"styles.csv": "style,precinct,party\nNorth,1-01,ALD\n"},
			"styles.csv, line 2, column party", []string{`"North"`, `"ALD"`}},
		{"a precinct's own rows differ from the style that it is given",
			sheets{"ballots.csv": ballots + ",North,,1,judge\n,South,,1,judge\n1-01,North,,1,prop1\n"},
			"styles.csv, line 2, column style", []string{`"1-01"`, "two ballots", "line 4"}},
		{"a style whose precincts have different ballots",
			sheets{"ballots.csv": ballots + "1-01,North,,1,prop1\n1-02,North,,1,judge\n",
				"styles.csv": "style,precinct\nNorth,2-01\n"}, "styles.csv, line 2, column style",
			[]string{`"North"`, "different ballots"}},

		{"a precinct row twice", sheets{"precincts.csv": precincts + "1-02,Quay School\n"},
			"precincts.csv, line 5, column precinct", []string{`"1-02"`, "line 3"}},
		{"a precinct row without a precinct", sheets{"precincts.csv": precincts + ",Quay School\n"},
			"precincts.csv, line 5, column precinct", nil},
		{"an unknown use of a site", sheets{"precincts.csv": "precinct,site,use\n1-01,Quay School,absentee\n"},
			"precincts.csv, line 2, column use", []string{`"absentee"`, "election-day, early, central or accessible"}},
		{"a dash for a site", sheets{"precincts.csv": "precinct,site\n1-01,-\n"}, "precincts.csv, line 2, column site",
			[]string{`"-"`}},

		{"one unit at two sites", sheets{"units.csv": "unit,site,precinct\nS-1,Quay School,1-01\nS-1,Mill Hall,1-02\n"},
			"units.csv, line 3, column site", []string{`"S-1"`, `"Mill Hall"`, `"Quay School"`, "line 2"}},
		{"a unit's precinct that is not on the roster", sheets{"units.csv": "unit,site,precinct\nS-1,Quay School,1-07\n"},
			"units.csv, line 2, column precinct", []string{`"1-07"`}},
		{"a unit's precinct twice", sheets{"units.csv": "unit,site,precinct\nS-1,,1-01\nS-1,,1-01\n"},
			"units.csv, line 3, column precinct", []string{"line 2"}},
		{"a unit row without a unit", sheets{"units.csv": "unit,site,precinct\n,Quay School,1-01\n"},
			"units.csv, line 2, column unit", nil},
		{"an unknown use of a unit", sheets{"units.csv": "unit,site,precinct,use\nS-1,Quay School,1-01,late\n"},
			"units.csv, line 2, column use", []string{`"late"`}},

		{"two parties with one code", sheets{"parties.csv": "party,name\nALD,Alder Party\nALD,Alderman Party\n"},
			"parties.csv, line 3, column party", []string{`"ALD"`, "line 2"}},
		{"a party code that joins parties", sheets{"parties.csv": "party,name\nA|B,Alder Party\n"},
			"parties.csv, line 2, column party", []string{`"A|B"`}},
		{"a dash as a party code", sheets{"parties.csv": "party,name\n-,No party\n"}, "parties.csv, line 2, column party",
			[]string{`"-"`}},
		{"a full name that two parties have", sheets{"parties.csv": "party,name\nA1,Alder Party\nA2,Alder Party\nBRK,\n",
			"choices.csv": choices + "judge,1,Ada Quill,Alder Party,\n"}, "choices.csv, line 2, column party_lines",
			[]string{"several parties"}},
		{"a name that joins parties, of a party without a code", sheets{"parties.csv": "party,name\n,Alder|Brook\n"},
			"parties.csv, line 2, column party", []string{`"Alder|Brook"`, "code"}},
		{"a name that is another party's code, of a party without a code",
			sheets{"parties.csv": "party,name\n,BRK\nBRK,Brook Party\n"}, "parties.csv, line 2, column name",
			[]string{`"BRK"`, "line 3"}},
		{"two parties with one name and no code", sheets{"parties.csv": "party,name\n,Alder Party\n,Alder Party\n"},
			"parties.csv, line 3, column name", []string{"line 2"}},

		{"a date that a spreadsheet rewrote",
			sheets{"election.csv": "name,date,jurisdiction\nGeneral Election,11/2/2027,Thornbury County\n"},
			"election.csv, line 2, column date", []string{`"11/2/2027"`, "2027-11-02"}},
		{"a day that is not in the calendar",
			sheets{"election.csv": "name,date,jurisdiction\nGeneral Election,2027-02-30,Thornbury County\n"},
			"election.csv, line 2, column date", []string{`"2027-02-30"`}},
		{"two elections", sheets{"election.csv": "name,date,jurisdiction\nGeneral Election,,\nRunoff,,\n"},
			"election.csv, line 3", []string{"line 2"}},

		{"an unknown column", sheets{"contests.csv": "contest,title,kind,votefor\njudge,Judge,candidate,1\n"},
			"contests.csv, line 1", []string{`"votefor"`, `did you mean "vote_for"?`, "primary_party"}},
		{"a column twice", sheets{"contests.csv": "contest,title,kind,vote_for,Title\njudge,Judge,candidate,1,Judge\n"},
			"contests.csv, line 1, column title", []string{"twice"}},
		{"a column that is missing", sheets{"contests.csv": "contest,title,kind\njudge,Judge,candidate\n"},
			"contests.csv, line 1, column vote_for", []string{"lacks"}},
		{"a row that is longer than the header", sheets{"contests.csv": judge + "prop1,One,measure,,surplus\n"},
			"contests.csv, line 3", []string{`"surplus"`, "field 5"}},
		{"a value under a column without a name",
			sheets{"contests.csv": "contest,title,kind,vote_for,,\njudge,Judge,candidate,1,,surplus\n"}, "contests.csv, line 2",
			[]string{`"surplus"`, "field 6"}},
		{"a required sheet that is missing", sheets{"choices.csv": ""}, "choices.csv",
			[]string{"missing", "contest,position,name,party_lines,write_in"}},
		{"a sheet without a byte", sheets{"contests.csv": "\n"}, "contests.csv", []string{"empty"}},
		{"a sheet of separators", sheets{"contests.csv": ",,,\n,,,\n"}, "contests.csv", []string{"empty"}},
		{"a sheet with its header only", sheets{"ballots.csv": ballots}, "ballots.csv", []string{"no rows"}},
		{"an optional sheet without a byte", sheets{"units.csv": "\n"}, "units.csv", []string{"empty"}},
		{"a misspelt optional sheet", sheets{"units.csv": "", "unit.csv": "unit,site,precinct\nS-1,,1-01\n"}, "unit.csv",
			[]string{"units.csv", "rename"}},
		{"a sheet that a browser numbered", sheets{"choices.csv": "", "choices (1).csv": thornbury["choices.csv"]},
			"choices (1).csv", []string{"choices.csv", "rename"}},
		{"two sheets that differ in case", sheets{"Units.CSV": thornbury["units.csv"]}, "units.csv", []string{`"Units.CSV"`}},

		{"a letter in a Windows code page", sheets{"choices.csv": choices + "judge,1,Ada Quill,,\njudge,2,Ben \xd6rn,,\n"},
			"choices.csv, line 3, column name", []string{`Ben \xd6rn`, "CSV UTF-8"}},
		{"a Windows letter in the header", sheets{"choices.csv": "contest,position,nam\xe9,party_lines,write_in\n"},
			"choices.csv, line 1", []string{"column 3", "CSV UTF-8"}},
		{"half of a UTF-16 pair",
			sheets{
				"election.csv": "\xff\xfen\x00a\x00m\x00e\x00,\x00d\x00a\x00t\x00e\x00,\x00j\x00u\x00r\x00i\x00s\x00d\x00i\x00c\x00t\x00i\x00o\x00n\x00\n\x00\x00\xd8,\x00,\x00"}, "election.csv, line 2, column name", []string{"UTF-8"}},
		{"UTF-16 without a mark", sheets{"election.csv": "n\x00a\x00m\x00e\x00,\x00"}, "election.csv, line 1",
			[]string{"NUL"}},
		{"a workbook with the name of a sheet", sheets{"units.csv": "PK\x03\x04rest"}, "units.csv",
			[]string{"workbook", "save it as CSV"}},
		{"a quotation mark that is not closed", sheets{"contests.csv": judge + "prop1,\"One,measure,\n"},
			"contests.csv, line 3", []string{"not closed"}},
		{"a quotation mark inside a value", sheets{"choices.csv": choices + "judge,1,James \"Jim\" Roe,,\n"},
			"choices.csv, line 2", []string{"quotation mark", `""Jim""`}},
		{"a value that never ends", sheets{"contests.csv": judge + "prop1," + strings.Repeat("x", maxCell+1) + ",measure,\n"},
			"contests.csv, line 3, column title", []string{"longer"}},
		{"a fault below a value of several lines",
			sheets{"contests.csv": contests + "judge,\"County\nJudge\",candidate,2\nprop1,One,measure,two\n"},
			"contests.csv, line 4, column vote_for", nil},
		{"a fault below blank lines", sheets{"contests.csv": contests +
			"\n\njudge,County Judge,candidate,2\nprop1,One,measure,two\n"}, "contests.csv, line 5, column vote_for", nil},
		{"a fault in a file with a separator line",
			sheets{"contests.csv": "sep=;\ncontest;title;kind;vote_for\njudge;County Judge;candidate;two\n"},
			"contests.csv, line 3, column vote_for", nil},
		{"a fault in a file with the line ends of an old Macintosh",
			sheets{"contests.csv": "contest,title,kind,vote_for\rjudge,County Judge,candidate,two\r"},
			"contests.csv, line 2, column vote_for", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadFS(thornburyWith(c.sheets))
			if err == nil {
				_, err = s.Election()
			}
			require.Error(t, err)
			var e *Error
			require.ErrorAs(t, err, &e)
			said := err.Error()
			place, _, _ := strings.Cut(said, ": ")
			assert.Equal(t, c.place, place, said)
			for _, words := range c.says {
				assert.Contains(t, said, words)
			}
			assert.NotEmpty(t, e.Remedy, said)
			assert.NotContains(t, said, "\n", "an error is one line")
			assert.Less(t, len(said), 600, "an error can be read: %s", said)
		})
	}
}

func TestTheFolderItself(t *testing.T) {
	t.Run("there is none", func(t *testing.T) {
		_, err := ReadDir(t.TempDir() + "/none")
		require.ErrorContains(t, err, "none")
	})
	t.Run("a file in its place", func(t *testing.T) {
		_, err := ReadDir("sheets.go")
		require.ErrorContains(t, err, "sheets.go is a file; give the folder")
	})
	t.Run("it holds no sheets", func(t *testing.T) {
		_, err := ReadDir(t.TempDir())
		require.ErrorContains(t, err, "precincts.csv, contests.csv, choices.csv and ballots.csv")
	})
}

func TestAnErrorKeepsItsCause(t *testing.T) {
	fsys := thornburyWith(nil)
	delete(fsys, "units.csv")
	fsys["units.csv/inside"] = fsys["styles.csv"]
	_, err := ReadFS(fsys)
	var e *Error
	require.ErrorAs(t, err, &e)
	require.Error(t, errors.Unwrap(e))
	require.Equal(t, "units.csv", e.File)
}

func TestWhatWasTypedIsShownOnOneShortLine(t *testing.T) {
	long := strings.Repeat("Örn ", 100)
	_, err := ReadFS(thornburyWith(map[string]string{"contests.csv": "contest,title,kind,vote_for\njudge,Judge,\"" + long +
		"\nx\",1\n"}))
	require.NoError(t, err)
	s, err := ReadFS(
		thornburyWith(map[string]string{"contests.csv": "contest,title,kind,vote_for\njudge,Judge,\"a\nb\u202e\",1\n"}))
	require.NoError(t, err)
	_, err = s.Election()
	require.ErrorContains(t, err, `column kind: "a\nb\u202e" is not`)
	assert.Equal(t, `"`+strings.Repeat("Örn ", 20)+`…"`, quote(long))
	assert.Equal(t, `"a\nb.csv", line 2: x; y`, fault(Place{"a\nb.csv", 2}, "", "y", "x").Error())
}

func TestTheNearestNameIsTheOneWithFewestChanges(t *testing.T) {
	// kitten and sitting differ by three edits: the worked example of most texts
	// on Levenshtein's distance.
	assert.Equal(t, 3, distance([]rune("kitten"), []rune("sitting")))
	assert.Equal(t, 0, distance([]rune("1-01"), []rune("1-01")))
	assert.Equal(t, 4, distance(nil, []rune("1-01")))
	name, ok := nearest("Quay Schol", []string{"Mill Hall", "Quay School", "Quay Scholars' Inn"})
	assert.True(t, ok)
	assert.Equal(t, "Quay School", name)
	_, ok = nearest("xyz", []string{"Mill Hall"})
	assert.False(t, ok, "a name that has nothing in common is no suggestion")
}
