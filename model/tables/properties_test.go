package tables_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// drawCounty draws the sheets of a small county. Its first style holds every contest.
func drawCounty(t *rapid.T) *sheets.Sheets {
	s := &sheets.Sheets{}
	count := func(label string, low, high int) int { return rapid.IntRange(low, high).Draw(t, label) }
	pick := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
	words := func(label string) string {
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"Ada", "Quill", "O'Reyl", "Örn", "\"Jim\"", "Roe,",
			"Jr.",
			"{x}", "[y]", "=1+1", "1-01", "12", "𝔄", "*"}), 1, 3).Draw(t, label), " ")
	}
	var parties []string
	for i := range count("parties", 0, 3) {
		parties = append(parties, fmt.Sprintf("P%d", i))
		s.Parties = append(s.Parties, sheets.PartyRow{Party: parties[i], Name: "Party " + words("party")})
	}
	parties = append(parties, "-", "")
	for i := range count("precincts", 1, 5) {
		name := fmt.Sprintf("%s%02d", pick("precinct", "1-", "P ", "0", "East, "), i)
		s.Precincts = append(s.Precincts, sheets.PrecinctRow{Precinct: name, Site: pick("site", "", "Hall",
			"School, East")})
	}
	for i := range count("contests", 1, 5) {
		c := sheets.ContestRow{Contest: fmt.Sprintf("c%d", i), Title: words("title"), Subtitle: pick("subtitle", "", "-",
			"Ward 2"),
			Kind: pick("kind", "candidate", "measure", "retention", ""), VoteFor: pick("vote for", "", "1", "3"),
			PrimaryParty: pick("primary", parties...), Text: pick("text", "", "-", "Shall it?"), Variation: pick("variation",
				"", "rcv")}
		if rapid.Bool().Draw(t, "in Spanish") {
			c.FurtherTitle = sheets.FurtherWith("", "es", "«"+c.Title+"»")
		}
		s.Contests = append(s.Contests, c)
		for k := range count("choices", max(0, 1-i), 4) {
			r := sheets.ChoiceRow{Contest: c.Contest, Position: strconv.Itoa(k + 1), PartyLines: pick("lines", parties...)}
			if pick("write-in", "yes", "", "") == "yes" {
				r.WriteIn, r.Name = "yes", "(write-in)"
			} else {
				r.Name, r.Person = words("name")+pick("mate", "", " / "+words("mate")), pick("person", "", "a")
			}
			s.Choices = append(s.Choices, r)
		}
	}
	byStyle := rapid.Bool().Draw(t, "keyed by style")
	for i := range count("styles", 1, 3) {
		b := sheets.BallotRow{Style: fmt.Sprintf("BS %d", i)}
		if !byStyle {
			b.Precinct = s.Precincts[min(i, len(s.Precincts)-1)].Precinct
		} else {
			for k, p := range s.Precincts {
				if k%3 == i || i == 0 {
					s.Styles = append(s.Styles, sheets.StyleRow{Style: b.Style, Precinct: p.Precinct})
				}
			}
		}
		for k, c := range s.Contests {
			if i > 0 && k > 0 && pick("on it", "yes", "no") == "no" {
				continue
			}
			b.Contest, b.Heading = c.Contest, pick("heading", "", "", "County", "State|Courts")
			n, _ := strconv.Atoi(b.Position)
			b.Position = strconv.Itoa(n + 1)
			b.ChoiceOrder = ""
			if n := choicesOf(s, c.Contest); n > 1 && pick("rotated", "yes", "no") == "yes" {
				order := make([]string, n)
				for k := range order {
					order[k] = strconv.Itoa((k+1)%n + 1)
				}
				b.ChoiceOrder = strings.Join(order, "|")
			}
			s.Ballots = append(s.Ballots, b)
		}
	}
	for i := range count("units", 0, 2) {
		for _, p := range s.Precincts[:min(i+1, len(s.Precincts))] {
			s.Units = append(s.Units, sheets.UnitRow{Unit: fmt.Sprintf("TW-%d", i), Site: "Hall", Precinct: p.Precinct,
				Use: []string{"", "early"}[i]})
		}
	}
	if rapid.Bool().Draw(t, "facts") {
		s.Facts = []sheets.FactsRow{{Name: words("election"), Date: "2027-11-02", Jurisdiction: "Tarnwick County"}}
	}
	return s
}

func choicesOf(s *sheets.Sheets, contest string) (n int) {
	for _, c := range s.Choices {
		if c.Contest == contest {
			n++
		}
	}
	return n
}

// disturb alters what says nothing in a table with its header in the first row: the order of
// columns, columns and rows that nobody maps, blanks.
func disturb(r *rand.Rand, p plain) plain {
	width := 0
	for _, row := range p.rows {
		width = max(width, len(row))
	}
	order := r.Perm(width + 2)
	out := plain{name: p.name}
	for i, row := range p.rows {
		cells := make([]string, width+2)
		for c, at := range order {
			switch {
			case c < len(row):
				cells[at] = row[c]
			case c < width || i > 0 && r.IntN(2) == 0:
			case i == 0:
				cells[at] = fmt.Sprintf("Remarks %d", c)
			default:
				cells[at] = fmt.Sprint(r.IntN(9))
			}
		}
		if out.rows = append(out.rows, cells); r.IntN(5) == 0 {
			out.rows = append(out.rows, []string{"", " "})
		}
	}
	return out
}

// A county laid out as tables, in any layout, with columns in any order and others between them,
// reads as the county.
func TestTablesOfAnyLayoutReadAsTheirCounty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawCounty(t)
		want, err := s.Export("en")
		require.NoError(t, err)
		l := rapid.SampledFrom(layouts).Draw(t, "layout")
		list, maps := l.make(s)
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order of columns"), 0))
		for i, p := range list {
			// The others have cells above the header, columns in order, or a column for each precinct.
			if slices.Contains([]string{"parties", "precincts", "units", "contests"}, p.name) ||
				p.name == "districts" && l.name != "wide" {
				list[i] = disturb(random, p)
			}
		}
		workbook := rapid.Bool().Draw(t, "workbook")
		files := asCSV(t, list)
		if workbook {
			files = asWorkbook(t, list)
		}
		random.Shuffle(len(files), func(i, j int) { files[i], files[j] = files[j], files[i] })
		got, _, err := tables.Read(files, mapping(t, maps, workbook), tables.Options{Hold: true})
		require.NoError(t, err)
		if d := cmp.Diff(want, got, cmpopts.IgnoreFields(model.Election{}, "Origins"), cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("%s differs (-county +tables):\n%s", l.name, d)
		}
	})
}
