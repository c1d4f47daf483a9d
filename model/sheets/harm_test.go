package sheets

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// rosterOf makes the sheets of a small election whose labels each sheet has its own way:
// as is, or as a spreadsheet saved them.
type rosterOf struct {
	precincts, styled, carded []string // in precincts.csv, styles.csv, units.csv
	units                     []string
	change                    map[string]string // in any sheet
}

func (r rosterOf) read() (*model.Election, error) {
	files := map[string]string{
		"contests.csv": "contest,title,kind,vote_for\n1-1,County Judge,candidate,1\n1-2,March 1 Act,measure,\n",
		"choices.csv": "contest,position,name,party_lines,write_in\n1-1,1,March " +
			"1,-,\n1-1,2,1-Mar,-,\n1-2,1,Yes,,\n1-2,2,No,,\n",
		"ballots.csv":   "precinct,style,party,position,contest\n,North,,1,1-1\n,North,,2,1-2\n",
		"precincts.csv": "precinct,site\n", "styles.csv": "style,precinct\n", "units.csv": "unit,site,precinct\n",
		"election.csv": "name,date,jurisdiction\nGeneral Election,2027-11-02,Tarnwick County\n",
	}
	for _, p := range r.precincts {
		files["precincts.csv"] += p + ",Mill Hall\n"
	}
	for _, p := range r.styled {
		files["styles.csv"] += "North," + p + "\n"
	}
	for i, p := range r.carded {
		files["units.csv"] += r.units[i%len(r.units)] + ",Mill Hall," + p + "\n"
	}
	folder := fstest.MapFS{}
	for name, text := range files {
		// The longer first: one may be a part of another.
		order := slices.SortedFunc(maps.Keys(r.change),
			func(x, y string) int { return cmp.Or(len(y)-len(x), strings.Compare(x, y)) })
		for _, old := range order {
			now := r.change[old]
			text = strings.ReplaceAll(text, old, now)
		}
		folder[name] = &fstest.MapFile{Data: []byte(text)}
	}
	rows, err := ReadFS(folder)
	if err != nil {
		return nil, err
	}
	return rows.Election()
}

func numbered(n int, format string) (list []string) {
	for i := range n {
		list = append(list, fmt.Sprintf(format, i+1))
	}
	return list
}

// What a spreadsheet did to a column is one error: what happened, in which sheet and
// column, the first places, how many, and how to key it again.
func TestASpreadsheetsHarmIsOneError(t *testing.T) {
	codes, dates := numbered(12, "1-%02d"),
		strings.Fields("1-Jan 1-Feb 1-Mar 1-Apr 1-May 1-Jun 1-Jul 1-Aug 1-Sep 1-Oct 1-Nov 1-Dec")
	padded, bare := numbered(12, "%03d"), numbered(12, "%d")
	cut := numbered(12, "12345678901%02d34000")
	cards := []string{"TW-1"}
	for _, c := range []struct {
		name  string
		keyed rosterOf
		place string
		says  []string
	}{
		{"dates on the roster, numbers in the district table", rosterOf{precincts: dates, styled: codes},
			"precincts.csv, line 2, column precinct",
			[]string{"made dates", "12 rows", `"1-Jan" (line 2), "1-Feb" (line 3), "1-Mar" (line 4) and 9 more`, "styles.csv",
				`"1-01"`, "Text"}},
		{"dates in the district table", rosterOf{precincts: codes, styled: dates}, "styles.csv, line 2, column precinct",
			[]string{"made dates", "12 rows", "precincts.csv", `"1-01"`}},
		{"dates in card headers", rosterOf{precincts: codes, styled: codes, carded: dates, units: cards},
			"units.csv, line 2, column precinct", []string{"made dates", "12 rows"}},
		{"whole dates", rosterOf{precincts: numbered(12, "2027-01-%02d"), styled: codes},
			"precincts.csv, line 2, column precinct", []string{"made dates", `"2027-01-01"`}},
		{"dates with strokes", rosterOf{precincts: numbered(12, "1/%d/2027"), styled: codes},
			"precincts.csv, line 2, column precinct", []string{"made dates", `"1/1/2027"`}},
		{"days of a short year", rosterOf{precincts: numbered(12, "%02d-Jan-27"), styled: codes},
			"precincts.csv, line 2, column precinct", []string{"made dates", `"01-Jan-27"`}},
		{"months of a year", rosterOf{precincts: strings.Fields("Jan-45 Feb-45"), styled: strings.Fields("1-45 2-45")},
			"precincts.csv, line 2, column precinct", []string{"made dates", `"1-45"`}},
		{"dates beside numbers that are none, in every sheet",
			rosterOf{precincts: append(dates, "1-13", "1-14"), styled: append(dates, "1-13", "1-14")},
			"precincts.csv, line 2, column precinct", []string{"made dates", "12 rows"}},
		{"zeros lost on the roster", rosterOf{precincts: bare, styled: padded}, "precincts.csv, line 2, column precinct",
			[]string{"without their zeros", "12 rows", `"1" (line 2)`, `in styles.csv it is "001"`}},
		{"zeros lost in the district table", rosterOf{precincts: padded, styled: bare}, "styles.csv, line 2, column precinct",
			[]string{"without their zeros", "12 rows", `in precincts.csv it is "001"`}},
		{"zeros lost behind the point", rosterOf{precincts: strings.Fields("1.10 1.20"), styled: strings.Fields("1.1 1.2")},
			"styles.csv, line 2, column precinct", []string{"without their zeros", `"1.10"`}},
		{"scientific notation on the roster", rosterOf{precincts: strings.Fields("1.2E+05 1E+05"),
			styled: strings.Fields("1.2E+05 1E+05")}, "precincts.csv, line 2, column precinct",
			[]string{"scientific notation", "2 rows", `"1.2E+05" (line 2), "1E+05" (line 3)`}},
		{"a serial number in scientific notation", rosterOf{precincts: codes, styled: codes, carded: codes,
			units: strings.Fields("1.23457E+17")}, "units.csv, line 2, column unit", []string{"scientific notation", "12 rows"}},
		{"serial numbers cut off", rosterOf{precincts: codes, styled: codes, carded: codes, units: cut},
			"units.csv, line 2, column unit", []string{"cut long numbers", "12 rows", `"123456789010134000" (line 2)`}},
		{"a reference that broke", rosterOf{precincts: []string{"1-01", "#REF!", "#REF!"}, styled: codes[:1]},
			"precincts.csv, line 3, column precinct", []string{"error value", "2 rows", `"#REF!" (line 3)`}},
		{"a name that broke", rosterOf{precincts: codes, styled: codes, change: map[string]string{"March 1,": "#NAME?,"}},
			"choices.csv, line 2, column name", []string{"error value", `"#NAME?"`}},
		{"a title that broke", rosterOf{precincts: codes, styled: codes, change: map[string]string{"County Judge": "#N/A"}},
			"contests.csv, line 2, column title", []string{"error value"}},
		{"a style that broke", rosterOf{precincts: codes, styled: codes, change: map[string]string{"North": "#VALUE!"}},
			"ballots.csv, line 2, column style", []string{"error value", "2 rows"}},
		{"a column too narrow", rosterOf{precincts: codes, styled: codes,
			change: map[string]string{"2027-11-02": "########"}}, "election.csv, line 2, column date", []string{"error value"}},
		{"a day of election rewritten", rosterOf{precincts: codes, styled: codes,
			change: map[string]string{"2027-11-02": "11/2/2027"}}, "election.csv, line 2, column date",
			[]string{`"11/2/2027"`, "2027-11-02", "Text"}},
		{"codes of contests made dates in one sheet",
			rosterOf{precincts: codes, styled: codes, change: map[string]string{"1-1,County Judge": "1-Jan,County Judge",
				"1-2,March 1 Act": "2-Jan,March 1 Act"}},
			"contests.csv, line 2, column contest", []string{"made dates", "2 rows", `in choices.csv it is "1-1"`}},
		{"a vote-for made a date", rosterOf{precincts: codes, styled: codes,
			change: map[string]string{"candidate,1": "candidate,1-Jan"}}, "contests.csv, line 2, column vote_for",
			[]string{"made dates"}},
		{"a style's zeros lost", rosterOf{precincts: codes, styled: codes,
			change: map[string]string{"North,,": "007,,", "North,": "7,"}}, "styles.csv, line 2, column style",
			[]string{"without their zeros", "12 rows", `"007"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.keyed.read()
			var fault *Error
			require.ErrorAs(t, err, &fault)
			assert.True(t, strings.HasPrefix(err.Error(), c.place+": "), err)
			for _, words := range c.says {
				assert.Contains(t, err.Error(), words)
			}
			assert.NotContains(t, err.Error(), "\n")
			assert.Less(t, len(err.Error()), 600)
		})
	}
}

// Labels that look so and are so are read: what they are is for the other side to say.
func TestLabelsThatOnlyLookHarmedAreRead(t *testing.T) {
	cards := []string{"TW-1"}
	for name, labels := range map[string][]string{
		"a roster of dates":                 strings.Fields("1-Jan 2-Jan 1-Feb"),
		"a roster of whole dates":           strings.Fields("2027-01-01 2027-01-02"),
		"a roster of months":                strings.Fields("Jan-01 Feb-01 Elm-01"),
		"numbers of several lengths":        strings.Fields("7 10 100 0101"),
		"hexadecimal labels":                strings.Fields("1E05 1E06 1F05"),
		"one long number that ends in zero": {"1234567890123450", "1234567890123451"},
		"a hash":                            {"#1", "##", "No. #3"},
		"wards by month":                    {"March 1", "May Street", "1 April"},
	} {
		t.Run(name, func(t *testing.T) {
			e, err := rosterOf{precincts: labels, styled: labels, carded: labels, units: cards}.read()
			require.NoError(t, err)
			require.Len(t, e.Precincts, len(labels))
			assert.Equal(t, "1-Mar", e.Contests[0].Choices[1].Name.Value.In(""), "a name may be so")
		})
	}
	long := []string{"100000000000000000", "1234567890123456"}
	e, err := rosterOf{precincts: cards, styled: cards, carded: cards, units: long[:1]}.read()
	require.NoError(t, err, "one round serial number may be so")
	require.Len(t, e.Units, 1)
}

// The EMS's own card list is no list any more once a spreadsheet saved it.
func TestACardListThatASpreadsheetSaved(t *testing.T) {
	election := func() *model.Election {
		e := &model.Election{}
		for i := range 12 {
			e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(fmt.Sprintf("Precinct %d", i)),
				Number: fmt.Sprintf("1-%02d", i+1)})
		}
		return e
	}
	attach := func(precincts ...string) (*model.Election, error) {
		e := election()
		list := "unit,site,precinct\n"
		for _, p := range precincts {
			list += "TW-1,Mill Hall," + p + "\n"
		}
		rows, err := ReadUnits("cards.csv", []byte(list))
		require.NoError(t, err)
		return e, AttachUnits(e, rows)
	}
	e, err := attach(strings.Fields("1-Jan 1-Feb 1-Mar 1-Apr")...)
	require.ErrorContains(t, err, "cards.csv, line 2, column precinct: a spreadsheet made dates of labels, in 4 rows")
	assert.ErrorContains(t, err, `in the export it is "1-01"`)
	assert.ErrorContains(t, err, "as the EMS wrote it")
	assert.Empty(t, e.Units, "the election is as it was")

	e, err = attach("1-01", "North", "1-Jan", "East", "West")
	require.NoError(t, err, "one label among others may be so")
	assert.Equal(t, []string{"North", "1-Jan", "East", "West"}, e.Units[0].Unknown)
}
