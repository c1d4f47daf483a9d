package sheets

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

func TestAnExportAsSheets(t *testing.T) {
	en := func(words string) model.Text {
		return model.Text{{Language: "es", Words: "ES " + words}, {Language: "en", Words: words}}
	}
	e := &model.Election{
		Parties: []model.Party{
			{Name: model.Say(en("Alder Party")), Abbreviation: model.Say(en("ALD"))},
			{Name: model.Say(en("Brook Party"))},
			{Name: model.Say(en("Brook Party of the South")), Abbreviation: model.Say(en("ALD"))}, // a code taken
			{}, // not named at all
		},
		Precincts: []model.Precinct{
			{Name: en("Mill"), Number: "1"}, {Name: en("Mill"), Number: "2"}, {},
		},
		Contests: []model.Contest{
			{
				Name: model.Say(en("Judge")), VoteFor: model.Say(1),
				Choices: []model.Choice{
					{Name: model.Say(en("Ada Quill")), Person: "cand-7", Lines: model.Say([]int{0, 1})},
					{Name: model.Say(en("Ada Quill")), Person: "cand-8", Lines: model.Say([]int(nil))},
					{WriteIn: true},
				},
			},
			{
				Title: model.Say(en("Clerk")), Subtitle: model.Say(model.Text(nil)),
				Choices: []model.Choice{
					{Name: model.Say(en("Ben Örn")), Person: "cand-9"},
					{Name: model.Say(en("Ben Örn")), Person: "cand-9"},
					{Name: model.Say(en("Cy Dale")), Person: "cand-10"},
				},
			},
		},
		Styles: []model.Style{
			{Label: model.Say("A"), Precincts: []int{0}, Content: []model.Placement{{Contest: 0}}},
			{Label: model.Say("A"), Precincts: []int{1}, Content: []model.Placement{{Contest: 1}}},
			{Label: model.Say("B"), Precincts: []int{0, 2},
				Content: []model.Placement{{Contest: 1, Order: model.Say([]int{2, 0, 1})}}},
			{Label: model.Say("Blank"), Precincts: []int{2}},
		},
		Units: []model.Unit{
			{Name: "S-1", Precincts: model.Say([]int{2, 0}), Unknown: []string{"9-99"}},
			{Name: "S-2"},
		},
		Origins: model.Origins{Contests: []model.ContestOrigin{{Origin: model.Origin{ID: "cc-1"}},
			{Origin: model.Origin{ID: "cc-1"}}}},
	}
	s := FromElection(e, "EN")
	assert.Equal(t, []PartyRow{
		{Party: "ALD", Name: "Alder Party"},
		{Name: "Brook Party"},
		{Name: "Brook Party of the South"},
		{Party: "party 5"},
	}, s.Parties)
	assert.Equal(t, []PrecinctRow{{Precinct: "Mill"}, {Precinct: "2"}, {Precinct: "precinct 3"}}, s.Precincts)
	assert.Equal(t, []ContestRow{
		{Contest: "cc-1", Title: "Judge", VoteFor: "1"},
		{Contest: "contest 2", Title: "Clerk", Subtitle: "-"},
	}, s.Contests)
	assert.Equal(t, []ChoiceRow{
		{Contest: "cc-1", Position: "1", Name: "Ada Quill", PartyLines: "ALD|Brook Party", Person: "1"},
		{Contest: "cc-1", Position: "2", Name: "Ada Quill", PartyLines: "-", Person: "2"},
		{Contest: "cc-1", Position: "3", WriteIn: "yes"},
		{Contest: "contest 2", Position: "1", Name: "Ben Örn"},
		{Contest: "contest 2", Position: "2", Name: "Ben Örn"},
		{Contest: "contest 2", Position: "3", Name: "Cy Dale"},
	}, s.Choices, "persons are marked only where the names do not tell")
	assert.Equal(t, []BallotRow{
		{Precinct: "Mill", Style: "A", Position: "1", Contest: "cc-1"},
		{Precinct: "2", Style: "A", Position: "1", Contest: "contest 2"},
		{Style: "B", Position: "1", Contest: "contest 2", ChoiceOrder: "3|1|2"},
	}, s.Ballots)
	assert.Equal(t, []StyleRow{{Style: "B", Precinct: "Mill"}, {Style: "B", Precinct: "precinct 3"}}, s.Styles)
	assert.Equal(t, []UnitRow{{Unit: "S-1", Precinct: "Mill"}, {Unit: "S-1", Precinct: "precinct 3"}}, s.Units)
}

// drawElection draws an election that came from anywhere: references that lead
// nowhere, names that are empty, repeated or made of what sheets use as signs.
func drawElection(t *rapid.T) *model.Election {
	index := rapid.IntRange(-1, 5)
	words := rapid.SampledFrom([]string{"", "-", "|", "A|B", " A ", "A", "a\r\nb", "party 1", "precinct 2", "contest 1",
		"choice 1", "A / B", "A/ B", "\u00a0", "Re\u0301", "R\u00e9", "\xff", "\"", "1"})
	text := func(label string) model.Text {
		if w := words.Draw(t, label); w != "" {
			return model.Text{{Language: "en", Words: w}}
		}
		return nil
	}
	stated := func(label string) model.Stated[model.Text] {
		if rapid.Bool().Draw(t, label+" stated") {
			return model.Say(text(label))
		}
		return model.Stated[model.Text]{}
	}
	list := func(label string) []int { return rapid.SliceOfN(index, 0, 4).Draw(t, label) }
	statedList := func(label string) model.Stated[[]int] {
		if rapid.Bool().Draw(t, label+" stated") {
			return model.Say(list(label))
		}
		return model.Stated[[]int]{}
	}
	many := func(label string, make func()) {
		for range rapid.IntRange(1, 4).Draw(t, label) {
			make()
		}
	}
	e := &model.Election{Facts: model.Facts{Name: stated("name"), Date: model.Say(words.Draw(t, "date"))}}
	many("parties", func() {
		e.Parties = append(e.Parties, model.Party{Name: stated("party"), Abbreviation: stated("code")})
		e.Origins.Parties = append(e.Origins.Parties, model.Origin{ID: words.Draw(t, "party id")})
	})
	many("sites", func() { e.Sites = append(e.Sites, model.Site{Name: text("site")}) })
	many("precincts", func() {
		p := model.Precinct{Name: text("precinct"), Number: words.Draw(t, "number")}
		for _, s := range list("its sites") {
			p.Sites.Known = true
			p.Sites.Value = append(p.Sites.Value,
				model.SiteUse{Site: s, Use: model.Use(rapid.SampledFrom([]string{"", "early", "election-day", "x"}).Draw(t,
					"use"))})
		}
		e.Precincts = append(e.Precincts, p)
	})
	many("contests", func() {
		c := model.Contest{
			Title: stated("title"), Subtitle: stated("subtitle"), Name: stated("working name"),
			VoteFor:        model.Say(index.Draw(t, "vote for")),
			Kind:           model.Say(model.Kind(rapid.SampledFrom([]string{"", "candidate", "x"}).Draw(t, "kind"))),
			PrimaryParties: statedList("primary parties"),
		}
		many("choices", func() {
			c.Choices = append(c.Choices, model.Choice{
				Name: stated("choice"), WriteIn: rapid.Bool().Draw(t, "write-in"), Lines: statedList("lines"),
				Person: rapid.SampledFrom([]string{"", "p:1", "p:-", "p: ", "n:A", "cand-1", "cand-2"}).Draw(t, "person"),
			})
		})
		e.Contests = append(e.Contests, c)
		e.Origins.Contests = append(e.Origins.Contests,
			model.ContestOrigin{Origin: model.Origin{ID: words.Draw(t, "contest id")}})
	})
	many("styles", func() {
		s := model.Style{Parties: list("voters"), Precincts: list("precincts")}
		if w := words.Draw(t, "label"); rapid.Bool().Draw(t, "label stated") {
			s.Label = model.Say(w)
		}
		for _, c := range list("content") {
			p := model.Placement{Contest: c, Order: statedList("order")}
			if rapid.Bool().Draw(t, "heading stated") {
				p.Headings = model.Say([]model.Text{text("heading")})
			}
			s.Content = append(s.Content, p)
		}
		e.Styles = append(e.Styles, s)
	})
	many("units", func() {
		u := model.Unit{Name: words.Draw(t, "unit"), Precincts: statedList("header"), Unknown: []string{"x"}}
		if rapid.Bool().Draw(t, "site stated") {
			u.Site = model.Say(index.Draw(t, "its site"))
		}
		e.Units = append(e.Units, u)
	})
	return e
}

// Any election gives sheets that can be read, and that say the same again.
func TestAnyElectionGivesSheetsThatCanBeRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawElection(t)
		s := FromElection(e, "en")
		once, err := s.Election()
		require.NoError(t, err)
		require.Len(t, once.Precincts, len(e.Precincts))
		require.Len(t, once.Contests, len(e.Contests))
		require.Len(t, once.Parties, len(e.Parties))
		for c, contest := range once.Contests {
			want := e.Contests[c]
			require.Len(t, contest.Choices, len(want.Choices))
			for i, x := range want.Choices {
				require.Equal(t, x.WriteIn, contest.Choices[i].WriteIn)
				for j, y := range want.Choices[:i] {
					if x.WriteIn || y.WriteIn || x.Person == "" || y.Person == "" {
						continue
					}
					require.Equal(t, x.Person == y.Person, contest.Choices[i].Person == contest.Choices[j].Person, "persons of %v",
						want.Choices)
				}
			}
		}
		twice := electionOf(t, FromElection(once, ""))
		requireSame(t, once, twice, "the sheets of the sheets")
	})
}

func TestNobodysSheetsAreWrittenOver(t *testing.T) {
	s, err := ReadFS(thornburyWith(nil))
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "a", "second")
	require.NoError(t, s.WriteDir(dir), "the folder is made")
	require.ErrorContains(t, s.WriteDir(dir), "already holds")

	other := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(other, "UNITS.csv"), []byte("mine"), 0o600))
	require.ErrorContains(t, s.WriteDir(other), "already holds UNITS.csv")
	entries, err := os.ReadDir(other)
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing is written beside it")

	half := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(half, "units.csv"), 0o700))
	require.Error(t, s.WriteDir(half))
	entries, err = os.ReadDir(half)
	require.NoError(t, err)
	require.Len(t, entries, 1)
}

// What is written, byte by byte: a reader of the README finds these columns.
func TestTheSheetsOfThornburyAsWritten(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "second")
	require.NoError(t, FromElection(read(t, nil), "").WriteDir(dir))
	for name, want := range thornbury {
		got, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.Equal(t, want, string(got), name)
	}
}
