package sheets

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

// wording draws what people print: commas, quotation marks, accents in both
// Unicode forms, lines, slashes and a cell that a spreadsheet would compute.
func wording(t *rapid.T, label string) string {
	parts := rapid.SliceOfN(rapid.SampledFrom([]string{
		"Ada", "Quill", "Ben", "Örn", "O\u0308rn", "D’Arcy", "\"Jim\"", "Jr.", "Roe,", ";", "/", "A/B", "=1+1", "@x", "\n",
		"\t", "1-01", "-", "𝔄", "'", "\u200b",
	}), 1, 4).Draw(t, label)
	words := strings.TrimSpace(strings.Join(parts, rapid.SampledFrom([]string{" ", ""}).Draw(t, label+" joined by")))
	if words == "" || words == nothing {
		return "Ada"
	}
	return words
}

// drawSheets draws sheets that are in order, with all that sheets can say.
func drawSheets(t *rapid.T) *Sheets {
	s := &Sheets{}
	pick := func(label string, from []string) string { return rapid.SampledFrom(from).Draw(t, label) }
	some := func(label string) bool { return rapid.Bool().Draw(t, label) }
	count := func(label string, low, high int) int { return rapid.IntRange(low, high).Draw(t, label) }

	var parties []string
	for i := range count("parties", 0, 4) {
		row := PartyRow{Party: fmt.Sprintf("P%d", i)}
		switch count("party", 0, 2) {
		case 0:
			row.Name = fmt.Sprintf("Party, \"%d\"", i)
		case 1:
			row.Party, row.Name = "", fmt.Sprintf("Codeless %d", i)
		}
		s.Parties = append(s.Parties, row)
		if row.Name != "" {
			parties = append(parties, row.Name) // other sheets may use the full name
		} else {
			parties = append(parties, row.Party)
		}
	}
	parties = append(parties, "ZED", "Ca\u0301P", "ABE") // not in parties.csv
	lines := func(label string) string {
		switch count(label, 0, 3) {
		case 0:
			return ""
		case 1:
			return nothing
		}
		chosen := rapid.SliceOfNDistinct(rapid.SampledFrom(parties), 1, 3, rapid.ID[string]).Draw(t, label+" parties")
		return strings.Join(chosen, separator)
	}

	var precincts []string
	for i := range count("precincts", 1, 6) {
		name := fmt.Sprintf("1-%02d %s", i, pick("precinct", []string{"", "Örn", "O\u0308rn", "Quay, East"}))
		name = strings.TrimSpace(name)
		precincts = append(precincts, name)
		sites := map[string]bool{}
		for range count("sites", 1, 3) {
			row := PrecinctRow{Precinct: name,
				Site: pick("site", []string{"", "Hall", "Sch\u00f6\u00f6l", "Scho\u0308o\u0308l"}),
				Use:  pick("use", []string{"", "early", "accessible", "central"})}
			if key := canonical(row.Site) + "|" + row.Use; !sites[key] {
				sites[key] = true
				s.Precincts = append(s.Precincts, row)
			}
		}
	}

	var codes []string
	positions := map[string][]string{}
	for i := range count("contests", 1, 5) {
		code := fmt.Sprintf("c%d", i)
		codes = append(codes, code)
		row := ContestRow{Contest: code, Title: wording(t, "title"),
			Kind:    pick("kind", []string{"", "candidate", "measure", "retention", "party"}),
			VoteFor: pick("vote for", []string{"", "0", "1", "7"}), PrimaryParty: lines("primary party")}
		if some("subtitle") {
			row.Subtitle = pick("subtitle words", []string{nothing, "Full term"})
		}
		if some("text") {
			row.Text = pick("text words", []string{nothing, "Shall the\ncounty, \"now\"?"})
		}
		if some("source") {
			row.Source = "List 3"
		}
		s.Contests = append(s.Contests, row)
		position := 0
		for range count("choices", 0, 4) {
			position += count("gap", 1, 3)
			choice := ChoiceRow{Contest: code, Position: strconv.Itoa(position), Name: wording(t, "name"),
				PartyLines: lines("party lines"), Person: pick("person", []string{"", "", "1", "b"})}
			if count("write-in", 0, 4) == 0 {
				choice.Name, choice.WriteIn, choice.Person = "", "yes", ""
			}
			s.Choices = append(s.Choices, choice)
			positions[code] = append(positions[code], choice.Position)
		}
	}
	if len(s.Choices) == 0 {
		s.Choices = append(s.Choices, ChoiceRow{Contest: "c0", Position: "1", Name: "Ada"})
		positions["c0"] = []string{"1"}
	}

	// Ballots: styles keyed once, and precincts keyed by themselves.
	ballot := func(precinct, style, party string) {
		headings := some("headings")
		for i := range count("contests on the ballot", 1, 4) {
			row := BallotRow{Precinct: precinct, Style: style, Party: party, Position: strconv.Itoa(i + 1),
				Contest: pick("contest", codes)}
			if headings {
				row.Heading = pick("heading", []string{"", nothing, "County", "County|Judicial, \"all\""})
			}
			if p := positions[row.Contest]; len(p) > 0 && count("order", 0, 3) == 0 {
				row.ChoiceOrder = strings.Join(rapid.Permutation(p).Draw(t, "choice order"), separator)
			}
			s.Ballots = append(s.Ballots, row)
		}
	}
	styles := count("styles keyed once", 0, 3)
	for i := range styles {
		label := fmt.Sprintf("Once %d", i)
		sets := []string{""}
		if some("closed primary") {
			sets = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{parties[0], parties[len(parties)-1],
				parties[0] + "|" + parties[len(parties)-1]}), 1, 3, rapid.ID[string]).Draw(t, "parties of the export")
		}
		for _, set := range sets {
			ballot("", label, set)
		}
		least := 0
		if i == 0 {
			least = 1 // styles.csv has a row when a ballot is keyed for its style alone
		}
		given := rapid.SliceOfNDistinct(rapid.SampledFrom(precincts), least, -1, rapid.ID[string]).Draw(t,
			"precincts of the style")
		for _, p := range given {
			if some("every party's ballot") || len(sets) == 1 {
				s.Styles = append(s.Styles, StyleRow{Style: label, Precinct: p})
			} else {
				s.Styles = append(s.Styles, StyleRow{Style: label, Precinct: p, Party: pick("party of the style row", sets)})
			}
		}
	}
	least := 0
	if styles == 0 {
		least = 1 // ballots.csv has a row
	}
	for range count("precincts keyed by themselves", least, 4) {
		precinct, label, set := pick("its precinct", precincts), pick("label", []string{"", "Own", "Other"}),
			pick("its party", []string{"", parties[0]})
		if !slices.ContainsFunc(s.Ballots, func(r BallotRow) bool {
			return r.Precinct == precinct && r.Style == label && r.Party == set
		}) {
			ballot(precinct, label, set)
		}
	}

	for i := range count("units", 0, 3) {
		row := UnitRow{Unit: fmt.Sprintf("S-%d", i/2), Use: []string{"", "early"}[i%2],
			Site: pick("unit's site", []string{"", "Hall", "Depot"})}
		header := rapid.SliceOfNDistinct(rapid.SampledFrom(precincts), 0, -1, rapid.ID[string]).Draw(t, "header")
		if len(header) == 0 {
			s.Units = append(s.Units, row)
		}
		for _, p := range header {
			row.Precinct = p
			s.Units = append(s.Units, row)
		}
	}
	if some("facts") {
		s.Facts = append(s.Facts, FactsRow{Name: wording(t, "election"), Date: pick("date", []string{"", "2027-11-02"})})
	}
	return s
}

func electionOf(t require.TestingT, s *Sheets) *model.Election {
	e, err := s.Election()
	require.NoError(t, err)
	return e
}

// withoutPlaces are the rows alone.
func withoutPlaces(s *Sheets) *Sheets {
	c := *s
	c.Parties, c.Precincts, c.Contests, c.Choices = bare(&partySheet, s.Parties), bare(&precinctSheet, s.Precincts),
		bare(&contestSheet, s.Contests), bare(&choiceSheet, s.Choices)
	c.Ballots, c.Styles, c.Units, c.Facts = bare(&ballotSheet, s.Ballots), bare(&styleSheet, s.Styles),
		bare(&unitSheet, s.Units), bare(&factsSheet, s.Facts)
	return &c
}

func bare[R any](s *sheet[R], rows []R) []R {
	rows = slices.Clone(rows)
	for i := range rows {
		*s.place(&rows[i]) = Place{}
	}
	return rows
}

// written writes sheets and reads them again.
func written(t *rapid.T, s *Sheets) *Sheets {
	dir, err := os.MkdirTemp("", "sheets")
	require.NoError(t, err)
	defer os.RemoveAll(dir)
	require.NoError(t, s.WriteDir(filepath.Join(dir, "second")))
	back, err := ReadDir(filepath.Join(dir, "second"))
	require.NoError(t, err)
	return back
}

func TestSheetsWrittenAndReadAgainAreTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheets(t)
		if d := cmp.Diff(withoutPlaces(s), withoutPlaces(written(t, s))); d != "" {
			t.Fatal(d)
		}
	})
}

func TestAnElectionAsSheetsIsTheSameElection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := electionOf(t, drawSheets(t))
		s := FromElection(e, "")
		requireSame(t, e, electionOf(t, s), "as rows")
		if len(s.Styles) > 0 || !slices.ContainsFunc(s.Ballots, func(r BallotRow) bool { return r.Precinct == "" }) {
			requireSame(t, e, electionOf(t, written(t, s)), "as files")
		}
		again := FromElection(electionOf(t, s), "")
		if d := cmp.Diff(s, again); d != "" {
			t.Fatalf("the sheets of the same election differ: %s", d)
		}
	})
}

// perPrecinct keys each ballot for each of its precincts, without styles.csv.
func perPrecinct(s *Sheets) (*Sheets, bool) {
	e, err := s.Election()
	if err != nil {
		return nil, false
	}
	once := map[string]bool{}
	c := *s
	c.Ballots, c.Styles = nil, nil
	for _, row := range s.Ballots {
		if row.Precinct != "" {
			c.Ballots = append(c.Ballots, row)
		}
	}
	for _, style := range s.Styles {
		for _, row := range s.Ballots {
			if row.Precinct == "" && row.Style == style.Style && (style.Party == "" || style.Party == row.Party) {
				row.Precinct = style.Precinct
				key := fmt.Sprint(row.Precinct, row.Style, row.Party, row.Position)
				if !once[key] {
					once[key] = true
					c.Ballots = append(c.Ballots, row)
				}
			}
		}
	}
	// A style for no precinct has no rows of its own in this form.
	for _, style := range e.Styles {
		if len(style.Precincts) == 0 {
			return nil, false
		}
	}
	return &c, true
}

func TestStyleRowsAndPrecinctRowsAreTheSameElection(t *testing.T) {
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheets(t)
		e := electionOf(t, s)
		other, ok := perPrecinct(s)
		if !ok || len(s.Styles) == 0 {
			t.Skip("no style is keyed once, or one is for no precinct")
		}
		tried++
		requireSame(t, e, electionOf(t, other), "styles.csv against rows per precinct")
	})
	require.Positive(t, tried)
}

func TestTheOrderOfRowsMakesNoDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheets(t)
		e := electionOf(t, s)
		c := *s
		c.Choices = rapid.Permutation(s.Choices).Draw(t, "choices")
		c.Ballots = rapid.Permutation(s.Ballots).Draw(t, "ballots")
		c.Styles = rapid.Permutation(s.Styles).Draw(t, "styles")
		requireSame(t, e, electionOf(t, &c), "shuffled")
	})
}

// A file may come in any dialect: separator, encoding, line ends, order of
// columns, blank rows and columns, blanks around values.
func TestDialectsMakeNoDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheets(t)
		dir, err := os.MkdirTemp("", "sheets")
		require.NoError(t, err)
		defer os.RemoveAll(dir)
		require.NoError(t, s.WriteDir(dir))
		fsys := fstest.MapFS{}
		require.NoError(t, fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			data, err := os.ReadFile(filepath.Join(dir, path))
			require.NoError(t, err)
			fsys[path] = &fstest.MapFile{Data: dialect(t, data)}
			return nil
		}))
		back, err := ReadFS(fsys)
		require.NoError(t, err)
		if d := cmp.Diff(withoutPlaces(s), withoutPlaces(back)); d != "" {
			t.Fatal(d)
		}
	})
}

func dialect(t *rapid.T, data []byte) []byte {
	records, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(t, err)
	columns := make([]int, len(records[0]))
	for i := range columns {
		columns[i] = i
	}
	columns = rapid.Permutation(columns).Draw(t, "columns")
	comma := rapid.SampledFrom([]rune{',', ';', '\t'}).Draw(t, "separator")
	around := rapid.SampledFrom([]string{"", " ", "\u00a0"}).Draw(t, "around values")
	more := rapid.IntRange(0, 3).Draw(t, "empty columns")
	var out bytes.Buffer
	if rapid.Bool().Draw(t, "mark") {
		out.WriteString("\ufeff")
	}
	w := csv.NewWriter(&out)
	w.Comma = comma
	w.UseCRLF = rapid.Bool().Draw(t, "line ends of Windows")
	blankRow := make([]string, len(columns)+more)
	for i, record := range records {
		row := []string{}
		for _, c := range columns {
			cell := record[c]
			if cell != "" {
				cell = around + cell + around
			}
			row = append(row, cell)
		}
		require.NoError(t, w.Write(append(row, make([]string, more)...)))
		if i%3 == 0 {
			require.NoError(t, w.Write(blankRow))
		}
	}
	w.Flush()
	text := out.String()
	switch rapid.IntRange(0, 3).Draw(t, "encoding") {
	case 0:
		return []byte(toUTF16(strings.TrimPrefix(text, "\ufeff"), binary.LittleEndian))
	case 1:
		return []byte(strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\n", "\r"))
	}
	return []byte(text)
}
