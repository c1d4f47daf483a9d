package sheets

import (
	"encoding/binary"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func toUTF16(text string, order binary.AppendByteOrder) string {
	data := order.AppendUint16(nil, 0xFEFF)
	for _, unit := range utf16.Encode([]rune(text)) {
		data = order.AppendUint16(data, unit)
	}
	return string(data)
}

// Each habit is put on every sheet of Thornbury; the election stays the same.
func TestASpreadsheetsHabitsAreSurvived(t *testing.T) {
	want := read(t, nil)
	replace := func(old, new string) func(string) string {
		return func(text string) string { return strings.ReplaceAll(text, old, new) }
	}
	for _, c := range []struct {
		name  string
		habit func(string) string
	}{
		{"a byte order mark", func(text string) string { return "\ufeff" + text }},
		{"line ends of Windows", replace("\n", "\r\n")},
		{"line ends of an old Macintosh", replace("\n", "\r")},
		{"no line end after the last row", func(text string) string { return strings.TrimSuffix(text, "\n") }},
		{"semicolons", replace(",", ";")},
		{"tabs", replace(",", "\t")},
		{"a line that names the separator", func(text string) string {
			return "sep=;\r\n" +
				strings.ReplaceAll(text, ",", ";")
		}},
		{"empty rows at the end", func(text string) string { return text + "\n\n,,,\n,,\n , \u00a0,\n" }},
		{"empty rows before the header", func(text string) string { return "\n,,,\n" + text }},
		{"empty columns at the end", replace("\n", ",,,\n")},
		{"blanks and NBSP around every value", func(text string) string {
			return " " + strings.NewReplacer(",", "\u00a0, ", "\n", " \u00a0\n ").Replace(text)
		}},
		{"quotation marks around every value", func(text string) string {
			return strings.NewReplacer(",", `","`, "\n", "\"\r\n\"").Replace(`"`+text) + `"`
		}},
		{"a blank before a quotation mark", func(text string) string {
			return strings.NewReplacer(",", `, "`, "\n", "\"\r\n\"", `x`,
				`x`).Replace(strings.ReplaceAll(`"`+text+`"`, ",", `",`))
		}},
		{"capitals in the header", func(text string) string {
			head, rest, _ := strings.Cut(text, "\n")
			return strings.ReplaceAll(strings.ToUpper(head), "_", " ") + "\n" + rest
		}},
		{"Unicode text, low byte first", func(text string) string {
			return toUTF16(strings.ReplaceAll(text, ",", "\t"), binary.LittleEndian)
		}},
		{"Unicode text, high byte first", func(text string) string {
			return toUTF16(strings.ReplaceAll(text, "\n", "\r\n"), binary.BigEndian)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			changed := map[string]string{}
			for name, text := range thornbury {
				changed[name] = c.habit(text)
			}
			requireSame(t, want, read(t, changed), c.name)
		})
	}

	t.Run("columns in any order", func(t *testing.T) {
		requireSame(t, want, read(t, map[string]string{
			"units.csv": "precinct,unit,site\n1-01,S-1,Quay School\n1-02,S-1,Quay School\n2-01,S-2,Mill Hall\n",
		}), "")
	})
	t.Run("file names in capitals, and what else lies in the folder", func(t *testing.T) {
		fsys := fstest.MapFS{"notes.txt": {}, "export.xml": {}, "findings.csv": {}, "._units.csv": {Data: []byte{0}},
			".~lock.units.csv#": {}, "~$units.csv": {}}
		for name, file := range thornburyWith(nil) {
			fsys[strings.ToUpper(name)] = file
		}
		s, err := ReadFS(fsys)
		require.NoError(t, err)
		e, err := s.Election()
		require.NoError(t, err)
		requireSame(t, want, e, "")
		assert.Equal(t, "UNITS.CSV", s.Units[0].File, "errors name the file as the folder has it")
	})
	t.Run("rows cut short", func(t *testing.T) {
		requireSame(t, want, read(t, map[string]string{
			"contests.csv": "contest,title,kind,vote_for,source\njudge,County Judge,candidate,2\nprop1,Proposition " +
				"One,measure\n",
		}), "")
	})
	t.Run("letters outside the basic plane in Unicode text", func(t *testing.T) {
		e := read(t, map[string]string{"election.csv": toUTF16("name,date,jurisdiction\n𝔗horn,,\n", binary.LittleEndian)})
		assert.Equal(t, text("𝔗horn"), e.Facts.Name)
	})
	t.Run("separators, marks and line ends inside quotation marks", func(t *testing.T) {
		e := read(t, map[string]string{"election.csv": "name,date,jurisdiction\r\n\"Roe, \"\"Jim\"\"; line one\r\nline " +
			"two\rline three\",,\r\n"})
		assert.Equal(t, text("Roe, \"Jim\"; line one\nline two\nline three"), e.Facts.Name)
	})
	t.Run("a comma in the data does not make it the separator", func(t *testing.T) {
		e := read(t, map[string]string{"election.csv": "name;date;jurisdiction\nA, B, C, D;;\n"})
		assert.Equal(t, text("A, B, C, D"), e.Facts.Name)
	})
	t.Run("tabs keep empty cells", func(t *testing.T) {
		e := read(t, map[string]string{"election.csv": "name\tdate\tjurisdiction\n\t\t\"Thornbury\"\n"})
		assert.Equal(t, text("Thornbury"), e.Facts.Jurisdiction)
		assert.False(t, e.Facts.Name.Known)
	})
}

func TestRowsKnowTheirLines(t *testing.T) {
	s, err := ReadFS(thornburyWith(map[string]string{
		"contests.csv": "\ufeffcontest,title,kind,vote_for\r\n\r\njudge,\"County\r\nJudge\",candidate,2\r\n,,,\r\nprop1,One,measure,\r\n",
	}))
	require.NoError(t, err)
	require.Len(t, s.Contests, 2)
	assert.Equal(t, Place{"contests.csv", 3}, s.Contests[0].Place)
	assert.Equal(t, Place{"contests.csv", 6}, s.Contests[1].Place)
}

func TestTooManyRowsAndTooManyBytes(t *testing.T) {
	t.Run("rows", func(t *testing.T) {
		table, err := openTable("cards.csv", []byte("unit,site,precinct\na,b,c\n\na,b,d\na,b,e\n"),
			unitSheet.describe().Columns)
		require.NoError(t, err)
		require.Equal(t, MaxRows, table.most)
		table.most = 2
		for range 2 {
			_, _, err = table.next()
			require.NoError(t, err)
		}
		_, _, err = table.next()
		require.ErrorContains(t, err, "cards.csv, line 5: the sheet has more than 2 rows")
	})
	t.Run("bytes", func(t *testing.T) {
		_, err := ReadUnits("cards.csv", make([]byte, MaxFileSize+1))
		require.ErrorContains(t, err, "cards.csv: the file is larger than 256 MB")
	})
	t.Run("ballots by a table of styles and parties", func(t *testing.T) {
		// 3,000 parties' ballots of one style for 3,000 precincts would be nine
		// million.
		var s Sheets
		s.Contests = []ContestRow{{Contest: "judge", Title: "Judge"}}
		for i := range 3000 {
			name := strings.Repeat("x", i+1)
			s.Precincts = append(s.Precincts, PrecinctRow{Precinct: name})
			s.Ballots = append(s.Ballots, BallotRow{Style: "A", Party: name, Position: "1", Contest: "judge"})
			s.Styles = append(s.Styles, StyleRow{Style: "A", Precinct: name, Place: Place{"styles.csv", i + 2}})
		}
		_, err := s.Election()
		require.ErrorContains(t, err, "name the party in each row")
	})
}

func TestAPartysCodeInOtherCapitalsIsThatParty(t *testing.T) {
	choices := "contest,position,name,party_lines,write_in\njudge,1,Ada Quill,ald,\njudge,2,Ben Örn,ALD|Brk,\n"
	e := read(t, map[string]string{"parties.csv": "party,name\nALD,Alder Party\nBRK,Brook Party\n",
		"choices.csv": choices})
	require.Len(t, e.Parties, 2)
	assert.Equal(t, []int{0}, e.Contests[0].Choices[0].Lines.Value)
	assert.Equal(t, []int{0, 1}, e.Contests[0].Choices[1].Lines.Value)
	// Where only capitals tell two codes apart, a third writing is neither.
	e = read(t, map[string]string{"parties.csv": "party,name\nALD,Alder Party\nAld,Alderman's Party\nBRK,Brook Party\n",
		"choices.csv": choices})
	require.Len(t, e.Parties, 4)
	assert.Equal(t, []int{3}, e.Contests[0].Choices[0].Lines.Value)
}
