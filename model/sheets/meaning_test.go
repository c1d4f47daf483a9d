package sheets

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func text(words string) model.Stated[model.Text] { return model.Say(model.Plain(words)) }

// The whole of Thornbury, as a person reads it off the sheets.
func TestThornburyAsKeyed(t *testing.T) {
	alder, brook := 0, 1
	want := &model.Election{
		Facts: model.Facts{Name: text("General Election"), Date: model.Say("2027-11-02"),
			Jurisdiction: text("Thornbury County")},
		Parties: []model.Party{
			{Abbreviation: text("ALD"), Name: text("Alder Party")},
			{Abbreviation: text("BRK"), Name: text("Brook Party")},
		},
		Precincts: []model.Precinct{
			{Name: model.Plain("1-01"), Sites: model.Say([]model.SiteUse{{Site: 0, Use: model.UseElectionDay}})},
			{Name: model.Plain("1-02"), Sites: model.Say([]model.SiteUse{{Site: 0, Use: model.UseElectionDay}})},
			{Name: model.Plain("2-01"), Sites: model.Say([]model.SiteUse{{Site: 1, Use: model.UseElectionDay}})},
		},
		Contests: []model.Contest{
			{
				Title: text("County Judge"), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(2),
				Choices: []model.Choice{
					{Name: text("Ada Quill"), Lines: model.Say([]int{alder, brook}), Person: "n:Ada Quill"},
					{Name: text("Ben Örn"), Lines: model.Say([]int{brook}), Person: "n:Ben Örn"},
					{WriteIn: true},
				},
			},
			{
				Title: text("Proposition One"), Kind: model.Say(model.KindMeasure),
				Choices: []model.Choice{{Name: text("Yes"), Person: "n:Yes"}, {Name: text("No"), Person: "n:No"}},
			},
		},
		Styles: []model.Style{
			{Label: model.Say("North"), Precincts: []int{0, 1}, Content: []model.Placement{{Contest: 0}, {Contest: 1}}},
			{Label: model.Say("South"), Precincts: []int{2}, Content: []model.Placement{{Contest: 0}}},
		},
		Sites: []model.Site{{Name: model.Plain("Quay School")}, {Name: model.Plain("Mill Hall")}},
		Units: []model.Unit{
			{Name: "S-1", Site: model.Say(0), Use: model.Say(model.UseElectionDay), Precincts: model.Say([]int{0, 1})},
			{Name: "S-2", Site: model.Say(1), Use: model.Say(model.UseElectionDay), Precincts: model.Say([]int{2})},
		},
	}
	requireSame(t, want, read(t, nil), "Thornbury")
}

func TestWhereThingsCameFrom(t *testing.T) {
	o := read(t, map[string]string{"contests.csv": "contest,title,kind,vote_for,source\njudge,County " +
		"Judge,candidate,2,Certified list 3\nprop1,One,measure,,\n"}).Origins
	assert.Equal(t, model.Origin{ID: "prop1", File: "contests.csv", Line: 3}, o.Contest(1).Origin)
	assert.Equal(t, "Certified list 3", o.Contest(0).Source)
	assert.Equal(t, model.ChoiceOrigin{Origin: model.Origin{File: "choices.csv", Line: 6}, Position: 2}, o.Choice(1, 1))
	assert.Equal(t, model.Origin{ID: "BRK", File: "parties.csv", Line: 3}, o.Party(1))
	assert.Equal(t, model.Origin{File: "precincts.csv", Line: 4}, o.Precinct(2))
	assert.Equal(t, model.Origin{ID: "South", File: "ballots.csv", Line: 4}, o.Style(1))
	assert.Equal(t, model.Origin{File: "precincts.csv", Line: 4}, o.Site(1))
	assert.Equal(t, model.Origin{File: "units.csv", Line: 4}, o.Unit(1))
}

func choicesOf(t *testing.T, rows string) []model.Choice {
	t.Helper()
	return read(t, map[string]string{"choices.csv": rows}).Contests[0].Choices
}

func TestChoices(t *testing.T) {
	const head = "contest,position,name,party_lines,write_in\n"
	t.Run("position decides the order, not the order of rows, and may have gaps", func(t *testing.T) {
		c := choicesOf(t, head+"judge,30,Cy Dale,,\njudge,2,Ada Quill,,\njudge,10,Ben Örn,,\n")
		require.Len(t, c, 3)
		assert.Equal(t, text("Ada Quill"), c[0].Name)
		assert.Equal(t, text("Ben Örn"), c[1].Name)
		assert.Equal(t, text("Cy Dale"), c[2].Name)
	})
	t.Run("not keyed is not the same as nothing printed", func(t *testing.T) {
		c := choicesOf(t, head+"judge,1,Ada Quill,,\njudge,2,Ben Örn,-,\n")
		assert.Equal(t, model.Stated[[]int]{}, c[0].Lines)
		assert.Equal(t, model.Say([]int(nil)), c[1].Lines)
	})
	t.Run("a party goes by its code or its full name, or is new", func(t *testing.T) {
		e := read(t, map[string]string{"choices.csv": head +
			"judge,1,Ada Quill,Brook Party | ZED | ALD,\njudge,2,Ben Örn,CAP,\n"})
		require.Len(t, e.Parties, 4)
		assert.Equal(t, model.Party{Abbreviation: text("CAP")}, e.Parties[2], "new parties come by code")
		assert.Equal(t, model.Party{Abbreviation: text("ZED")}, e.Parties[3])
		assert.Equal(t, model.Say([]int{1, 3, 0}), e.Contests[0].Choices[0].Lines, "lines keep the order typed")
	})
	t.Run("running mates are joined one way, a slash inside a name stays", func(t *testing.T) {
		for typed, want := range map[string]string{
			"Ada Quill/ Ben Örn":          "Ada Quill / Ben Örn",
			"Ada Quill /Ben Örn":          "Ada Quill / Ben Örn",
			"Ada Quill  /\u00a0 Ben Örn":  "Ada Quill / Ben Örn",
			"Ada Quill / Ben Örn/Cy Dale": "Ada Quill / Ben Örn/Cy Dale",
			"Ada/Ben":                     "Ada/Ben",
			"A / B/ C":                    "A / B / C",
		} {
			c := choicesOf(t, head+"judge,1,"+typed+",,\n")
			assert.Equal(t, text(want), c[0].Name, typed)
			assert.Equal(t, "n:"+want, c[0].Person)
		}
	})
	t.Run("wording stays as keyed, but one person is found under both Unicode forms", func(t *testing.T) {
		c := choicesOf(t, head+"judge,1,Ren\u00e9 Sol,ALD,\njudge,2,Rene\u0301 Sol,BRK,\n")
		assert.Equal(t, text("Ren\u00e9 Sol"), c[0].Name)
		assert.Equal(t, text("Rene\u0301 Sol"), c[1].Name)
		assert.Equal(t, c[0].Person, c[1].Person)
	})
	t.Run("a mark tells persons of one name apart, and joins other spellings", func(t *testing.T) {
		c := choicesOf(t, "contest,position,name,party_lines,write_in,person\njudge,1,Ada Quill,ALD,,a\njudge,2,Ada "+
			"Quill,BRK,,b\njudge,3,A. Quill,CAP,,a\njudge,4,Ben Örn,ALD,,\njudge,5,Ben Örn,BRK,,\n")
		assert.NotEqual(t, c[0].Person, c[1].Person)
		assert.Equal(t, c[0].Person, c[2].Person)
		assert.Equal(t, c[3].Person, c[4].Person)
	})
	t.Run("a mark is never taken for a name", func(t *testing.T) {
		c := choicesOf(t, "contest,position,name,party_lines,write_in,person\njudge,1,Ada Quill,ALD,,\njudge,2,Ben "+
			"Örn,BRK,,Ada Quill\n")
		assert.NotEqual(t, c[0].Person, c[1].Person)
	})
	t.Run("what is printed on a write-in line is not compared", func(t *testing.T) {
		c := choicesOf(t, head+"judge,1,Write-in,,YES\n")
		assert.Equal(t, model.Choice{WriteIn: true}, c[0])
	})
	t.Run("the same choice twice is for the checks to say", func(t *testing.T) {
		assert.Len(t, choicesOf(t, head+"judge,1,Ada Quill,ALD,\njudge,2,Ada Quill,ALD,\n"), 2)
	})
}

func TestContests(t *testing.T) {
	e := read(t, map[string]string{"contests.csv": "contest,title,subtitle,kind,vote_for,primary_party,text\n" +
		"judge,County Judge,,Candidate,0,,\n" +
		"prop1,One,-,measure,,-,\"Shall the\ncounty?\"\n" +
		"gov,Governor,Full term,candidate,1,ALD|BRK,-\n" +
		"old,Old one,,,,,\n"})
	zero := e.Contests[0]
	assert.Equal(t, model.Say(0), zero.VoteFor, "vote for 0 is for the checks to say")
	assert.Equal(t, model.Say(model.KindCandidate), zero.Kind, "a spreadsheet writes Candidate")
	assert.False(t, zero.Subtitle.Known || zero.PrimaryParties.Known || zero.Text.Known, "empty cells state nothing")
	assert.Equal(t, model.Say(model.Text(nil)), e.Contests[1].Subtitle, "a dash states that nothing is printed")
	assert.Equal(t, model.Say([]int(nil)), e.Contests[1].PrimaryParties)
	assert.Equal(t, text("Shall the\ncounty?"), e.Contests[1].Text)
	assert.Equal(t, text("Full term"), e.Contests[2].Subtitle)
	assert.Equal(t, model.Say([]int{0, 1}), e.Contests[2].PrimaryParties)
	assert.Equal(t, model.Say(model.Text(nil)), e.Contests[2].Text)
	assert.Equal(t, model.Stated[model.Kind]{}, e.Contests[3].Kind)
}

func TestPrecinctsAndSites(t *testing.T) {
	e := read(t, map[string]string{
		"precincts.csv": "precinct,site,use\n1-01,Quay School,\n1-01,Town " +
			"Hall,early\n1-01,Library,Early\n1-02,,\n2-01,Library,accessible\n",
	})
	require.Len(t, e.Precincts, 3)
	assert.Equal(t, model.Say([]model.SiteUse{{Site: 0, Use: model.UseElectionDay}, {Site: 1, Use: model.UseEarly},
		{Site: 2, Use: model.UseEarly}}), e.Precincts[0].Sites)
	assert.False(t, e.Precincts[1].Sites.Known, "an empty site is not keyed")
	assert.Equal(t, model.Say([]model.SiteUse{{Site: 2, Use: model.UseAccessible}}), e.Precincts[2].Sites)
}

func TestUnits(t *testing.T) {
	e := read(t, map[string]string{"units.csv": "unit,site,precinct,use\n" +
		"S-9,,2-01,\nS-9,Quay School,1-01,election-day\n" + // one unit, its site keyed once
		"S-9,Town Hall,1-01,early\n" + // another use, another card
		"S-8,,,\n"})
	require.Len(t, e.Units, 3)
	assert.Equal(t, model.Unit{Name: "S-9", Site: model.Say(0), Use: model.Say(model.UseElectionDay),
		Precincts: model.Say([]int{0, 2})}, e.Units[0])
	assert.Equal(t, model.Unit{Name: "S-9", Site: model.Say(2), Use: model.Say(model.UseEarly),
		Precincts: model.Say([]int{0})}, e.Units[1])
	assert.Equal(t, model.Unit{Name: "S-8", Use: model.Say(model.UseElectionDay), Precincts: model.Say[[]int](nil)},
		e.Units[2], "a header that names no precinct")
	assert.Equal(t, model.Plain("Town Hall"), e.Sites[2].Name)
}

func TestBallots(t *testing.T) {
	const head = "precinct,style,party,position,contest,heading,choice_order\n"
	ballots := func(t *testing.T, rows, styles string) []model.Style {
		t.Helper()
		return read(t, map[string]string{"ballots.csv": head + rows, "styles.csv": styles}).Styles
	}
	placed := func(contests ...int) []model.Placement {
		var p []model.Placement
		for _, c := range contests {
			p = append(p, model.Placement{Contest: c})
		}
		return p
	}
	t.Run("precincts with the same ballot share a style", func(t *testing.T) {
		s := ballots(t, "2-01,A,,1,judge,,\n2-01,A,,2,prop1,,\n1-01,A,,2,prop1,,\n1-01,A,,1,judge,,\n", "")
		assert.Equal(t, []model.Style{{Label: model.Say("A"), Precincts: []int{0, 2}, Content: placed(0, 1)}}, s)
	})
	t.Run("one label on two ballots is two styles", func(t *testing.T) {
		s := ballots(t, "1-01,A,,1,judge,,\n1-02,A,,1,prop1,,\n2-01,A,,1,judge,,\n", "")
		assert.Equal(t, []model.Style{
			{Label: model.Say("A"), Precincts: []int{0, 2}, Content: placed(0)},
			{Label: model.Say("A"), Precincts: []int{1}, Content: placed(1)},
		}, s)
	})
	t.Run("without a label the same ballot is one style", func(t *testing.T) {
		s := ballots(t, "1-01,,,1,judge,,\n1-02,,,1,judge,,\n", "")
		assert.Equal(t, []model.Style{{Precincts: []int{0, 1}, Content: placed(0)}}, s)
	})
	t.Run("closed primaries", func(t *testing.T) {
		s := ballots(t, "1-01,A,BRK,1,judge,,\n1-01,A,ALD|BRK,1,prop1,,\n1-02,A,BRK | ALD,1,prop1,,\n1-01,A,,1,judge,,\n", "")
		assert.Equal(t, []model.Style{
			{Label: model.Say("A"), Precincts: []int{0}, Content: placed(0)},
			{Label: model.Say("A"), Parties: []int{1}, Precincts: []int{0}, Content: placed(0)},
			{Label: model.Say("A"), Parties: []int{0, 1}, Precincts: []int{0, 1}, Content: placed(1)},
		}, s)
	})
	t.Run("a style row without a party gives the ballots of every party", func(t *testing.T) {
		s := ballots(t, ",A,ALD,1,judge,,\n,A,BRK,1,prop1,,\n", "style,precinct,party\nA,1-01,\nA,1-02,BRK\n")
		assert.Equal(t, []model.Style{
			{Label: model.Say("A"), Parties: []int{0}, Precincts: []int{0}, Content: placed(0)},
			{Label: model.Say("A"), Parties: []int{1}, Precincts: []int{0, 1}, Content: placed(1)},
		}, s)
	})
	t.Run("the district table and a precinct's own rows may both speak of a style", func(t *testing.T) {
		s := ballots(t, ",A,,1,judge,,\n1-01,A,,1,judge,,\n", "style,precinct\nA,1-01\nA,2-01\n")
		assert.Equal(t, []model.Style{{Label: model.Say("A"), Precincts: []int{0, 2}, Content: placed(0)}}, s)
	})
	t.Run("the district table takes up a ballot keyed for a precinct", func(t *testing.T) {
		s := ballots(t, "1-01,A,,1,judge,,\n", "style,precinct\nA,2-01\n")
		assert.Equal(t, []model.Style{{Label: model.Say("A"), Precincts: []int{0, 2}, Content: placed(0)}}, s)
	})
	t.Run("a style that the district table gives to no precinct stands last", func(t *testing.T) {
		s := ballots(t, ",A,,1,judge,,\n,B,,1,prop1,,\n", "style,precinct\nB,2-01\n")
		assert.Equal(t, []model.Style{
			{Label: model.Say("B"), Precincts: []int{2}, Content: placed(1)},
			{Label: model.Say("A"), Content: placed(0)},
		}, s)
	})
	t.Run("a contest twice on one ballot is for the checks to say", func(t *testing.T) {
		s := ballots(t, "1-01,,,1,judge,,\n1-01,,,2,judge,,\n", "")
		assert.Equal(t, placed(0, 0), s[0].Content)
	})
	t.Run("headings count for a ballot once one is keyed", func(t *testing.T) {
		none := model.Say([]model.Text(nil))
		s := ballots(t, "1-01,,,1,judge,,\n1-01,,,2,prop1,Ballot Questions | County,\n"+
			"1-02,,,1,judge,,\n1-02,,,2,prop1,,\n"+
			"2-01,,,1,judge,-,\n2-01,,,2,prop1,,\n", "")
		require.Len(t, s, 3)
		assert.Equal(t, none, s[0].Content[0].Headings)
		assert.Equal(t, model.Say([]model.Text{model.Plain("Ballot Questions"), model.Plain("County")}),
			s[0].Content[1].Headings)
		assert.Equal(t, placed(0, 1), s[1].Content, "not keyed")
		assert.Equal(t, none, s[2].Content[0].Headings, "a dash says that none is printed")
		assert.Equal(t, none, s[2].Content[1].Headings)
	})
	t.Run("the order of choices goes by positions, gaps or not", func(t *testing.T) {
		e := read(t, map[string]string{
			"choices.csv": "contest,position,name,party_lines,write_in\njudge,30,Cy Dale,,\njudge,2,Ada Quill,,\njudge,10,Ben " +
				"Örn,,\n",
			"ballots.csv": head + "1-01,,,1,judge,,30 | 2|10\n1-02,,,1,judge,,\n", "styles.csv": "",
		})
		assert.Equal(t, model.Say([]int{2, 0, 1}), e.Styles[0].Content[0].Order)
		assert.False(t, e.Styles[1].Content[0].Order.Known)
	})
	t.Run("a precinct without ballot rows is for the checks to say", func(t *testing.T) {
		assert.Len(t, ballots(t, "1-01,,,1,judge,,\n", ""), 1)
	})
	t.Run("sheets match in either Unicode form and whatever blanks stand around", func(t *testing.T) {
		e := read(t, map[string]string{
			"precincts.csv": "precinct,site\nSa\u0301mi,Hall\n\u00a0Borg ,Hall\u2003\n",
			"ballots.csv":   head + "S\u00e1mi\u00a0,Sty\u0142 e\u0301,,1, judge,,\nBorg,Sty\u0142 \u00e9,,1,judge,,\n",
			"styles.csv":    "", "units.csv": "",
		})
		require.Len(t, e.Styles, 1)
		assert.Equal(t, []int{0, 1}, e.Styles[0].Precincts)
		assert.Equal(t, model.Plain("Sa\u0301mi"), e.Precincts[0].Name, "wording stays as keyed")
		assert.Equal(t, model.Plain("Borg"), e.Precincts[1].Name)
		assert.Len(t, e.Sites, 1)
	})
}

func TestEveryColumnIsDocumented(t *testing.T) {
	for _, s := range Describe() {
		assert.NotEmpty(t, s.Doc, s.File)
		for _, c := range s.Columns {
			assert.NotEmpty(t, c.Doc, "%s, column %s", s.File, c.Name)
			assert.Equal(t, c.Name, headerName(c.Name), "a header that does not name itself cannot be read")
		}
	}
}

func TestThingsThatSayTheSameDoNotShareTheirLists(t *testing.T) {
	e := read(t, map[string]string{
		"choices.csv": "contest,position,name,party_lines,write_in\njudge,1,Ada Quill,ALD,\njudge,2,Ben Örn,ALD,\n",
		"ballots.csv": "precinct,style,party,position,contest\n1-01,A,,1,judge\n1-02,B,,1,judge\n", "styles.csv": "",
	})
	e.Contests[0].Choices[0].Lines.Value[0] = 1
	assert.Equal(t, []int{0}, e.Contests[0].Choices[1].Lines.Value)
	e.Styles[0].Content[0].Contest = 1
	assert.Equal(t, 0, e.Styles[1].Content[0].Contest)
}
