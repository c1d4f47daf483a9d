package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// threeWards is smallCounty with a ballot for each of 2-01 and 2-02, and a third
// ward: every precinct but 1-01 and 1-02 is alone on its style.
func threeWards() *model.Election {
	e := smallCounty()
	third := e.Contests[3].Clone()
	third.Title = model.Say(model.Plain("Middle Ward Steward"))
	for i, n := range []string{"Nora Spill", "Abel Fenn"} {
		third.Choices[i].Name, third.Choices[i].Person = model.Say(model.Plain(n)), n
	}
	e.Contests = append(e.Contests, third)
	own := e.Clone().Styles[1]
	own.Label, own.Precincts = model.Say("Style 3"), []int{3}
	own.Content[2].Contest = 4
	e.Styles[1].Precincts = []int{2}
	e.Styles = append(e.Styles, own)
	return e
}

func withoutLabels(e *model.Election) {
	for i := range e.Styles {
		e.Styles[i].Label = model.Stated[string]{}
	}
}

func TestABallotThatIsAnotherStylesIsOneFinding(t *testing.T) {
	give := func(e *model.Election, to, from int) { // the ballot of one style to another's precinct
		st := e.Clone().Styles[from]
		st.Precincts = e.Styles[to].Precincts
		e.Styles[to] = st
	}
	cases := []struct {
		name  string
		wrong func(e *model.Election)
		want  []string
	}{
		{"a precinct alone on its style gets its neighbour's ballot", func(e *model.Election) { give(e, 2, 1) },
			[]string{"wrong-style [2-02]"}},
		{"the same, and no labels are keyed", func(e *model.Election) { give(e, 2, 1); withoutLabels(e) },
			[]string{"wrong-style [2-02]"}},
		{"two precincts get the ballot of a third", func(e *model.Election) { give(e, 0, 1) },
			[]string{"wrong-style [1-01 1-02]"}},
		{"two precincts exchanged", func(e *model.Election) {
			e.Styles[1].Precincts, e.Styles[2].Precincts = []int{3},
				[]int{2}
		},
			[]string{"wrong-style [2-01]", "wrong-style [2-02]"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			right, wrong := threeWards(), threeWards()
			c.wrong(wrong)
			found := Compare(wrong, right, Options{}).Findings
			assert.ElementsMatch(t, c.want, codesAndPlaces(found), "the mistake is the programmer's")
			found = Compare(right, wrong, Options{}).Findings
			assert.ElementsMatch(t, c.want, codesAndPlaces(found), "the mistake is the keyer's")
			for _, f := range found {
				assert.NotEmpty(t, f.Primary, f.Message)
				assert.NotEmpty(t, f.Second, f.Message)
			}
		})
	}
}

// A ballot may be another's in everything but its label.
func TestABallotUnderItsOwnLabelThatIsAnotherStyles(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	for _, e := range []*model.Election{right, wrong} { // a second office that differs by ward
		for i := range 3 {
			c := e.Contests[2+i].Clone()
			c.Title = model.Say(model.Plain("Ward Clerk " + string(rune('A'+i))))
			for k := range 2 {
				name := []string{"Cato Birch", "Effie Sand", "Linus Gray", "Maud Firth", "Oren Pike", "Silas Ward"}[2*i+k]
				c.Choices[k].Name, c.Choices[k].Person = model.Say(model.Plain(name)), name
			}
			e.Contests = append(e.Contests, c)
			e.Styles[i].Content = append(e.Styles[i].Content, model.Placement{Contest: len(e.Contests) - 1})
		}
	}
	wrong.Styles[2].Content = wrong.Styles[1].Content
	assert.Equal(t, []string{"wrong-style [2-02]"}, codesAndPlaces(Compare(wrong, right, Options{}).Findings))
	assert.Equal(t, []string{"wrong-style [2-02]"}, codesAndPlaces(Compare(right, wrong, Options{}).Findings))
}

func TestAContestLeftOffOneBallotIsNoOtherStyle(t *testing.T) {
	// 2-02 is outside the wards. Without its ward's contest the ballot of 2-01 looks
	// like that of 2-02; but nobody else is meant to get the ballot of 2-01.
	right, wrong := threeWards(), threeWards()
	for _, e := range []*model.Election{right, wrong} {
		e.Styles[2].Content = e.Styles[2].Content[:2]
	}
	wrong.Styles[1].Content = wrong.Styles[1].Content[:2]
	assert.Equal(t, []string{"contest-missing Upper Ward Steward[2-01]"},
		codesAndPlaces(Compare(wrong, right, Options{}).Findings))
	assert.Equal(t, []string{"contest-extra Upper Ward Steward[2-01]"},
		codesAndPlaces(Compare(right, wrong, Options{}).Findings))
}

func TestABallotWithTheLabelOfAnotherThatItIsButForOneContest(t *testing.T) {
	// 2-02 is outside the wards, and 2-01 is given its ballot, with its label.
	right, wrong := threeWards(), threeWards()
	for _, e := range []*model.Election{right, wrong} {
		e.Styles[2].Content = e.Styles[2].Content[:2]
	}
	wrong.Styles[1].Content, wrong.Styles[1].Label = wrong.Styles[2].Clone().Content, wrong.Styles[2].Label
	assert.Equal(t, []string{"wrong-style [2-01]"}, codesAndPlaces(Compare(wrong, right, Options{}).Findings))
	assert.Equal(t, []string{"wrong-style [2-01]"}, codesAndPlaces(Compare(right, wrong, Options{}).Findings))
}

func TestPrecinctsExchangedAreTwoFindingsThoughOneContestTellsThemApart(t *testing.T) {
	// 2-02 is outside the wards, and 2-01 has its ballot and 2-02 that of 2-01.
	for _, labels := range []bool{true, false} {
		right, wrong := threeWards(), threeWards()
		for _, e := range []*model.Election{right, wrong} {
			e.Styles[2].Content = e.Styles[2].Content[:2]
			if !labels {
				withoutLabels(e)
			}
		}
		wrong.Styles[1].Precincts, wrong.Styles[2].Precincts = []int{3}, []int{2}
		for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
			found := Compare(sides[0], sides[1], Options{}).Findings
			require.ElementsMatch(t, []string{"wrong-style [2-01]", "wrong-style [2-02]"}, codesAndPlaces(found))
			for _, f := range found {
				assert.NotContains(t, f.Message, "the ballot of the ballot")
			}
		}
	}
}

func TestWhatElseIsWrongWithExchangedBallotsIsToldToo(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	orderOn(wrong, 1, 1, 0, 1, 3) // without the third choice
	wrong.Styles[1].Precincts, wrong.Styles[2].Precincts = []int{3}, []int{2}
	assert.ElementsMatch(t, []string{"wrong-style [2-01]", "wrong-style [2-02]", "choice-missing Reeve of Fennick[2-02]"},
		codesAndPlaces(Compare(wrong, right, Options{}).Findings))
	// As keyed the style of 2-01 lacks it, and was given to 2-02: 2-01 prints it.
	assert.ElementsMatch(t, []string{"wrong-style [2-01]", "wrong-style [2-02]", "choice-extra Reeve of Fennick[2-01]"},
		codesAndPlaces(Compare(right, wrong, Options{}).Findings))
}

// partyPrimary is smallCounty as a closed primary: each party's voters have a ballot of their own in
// each ward, with a contest of their party.
func partyPrimary() *model.Election {
	e := smallCounty()
	var styles []model.Style
	for party := range 2 {
		c := e.Contests[3].Clone()
		c.Title, c.PrimaryParties = say("Party Committee"), model.Say([]int{party})
		for k, name := range [][]string{{"Ada Finch", "Bo Stone"}, {"Cy Marsh", "Di Vale"}}[party] {
			c.Choices[k].Name, c.Choices[k].Person, c.Choices[k].Lines = say(name), name, model.Say([]int{party})
		}
		e.Contests = append(e.Contests, c)
		for i := range e.Styles {
			st := e.Styles[i].Clone()
			st.Parties, st.Label = []int{party}, model.Stated[string]{}
			st.Content = append(st.Content, model.Placement{Contest: len(e.Contests) - 1})
			styles = append(styles, st)
		}
	}
	e.Styles = styles
	return e
}

func TestExchangedPartyBallotsAreOneFindingThatNamesBothParties(t *testing.T) {
	for name, styles := range map[string]int{"on one ward's ballots": 1, "everywhere": 2} {
		right, wrong := partyPrimary(), partyPrimary()
		require.Empty(t, Compare(right, partyPrimary(), Options{}).Findings)
		precincts := []string{"1-01", "1-02", "2-01", "2-02"}[:2*styles]
		for i := range styles {
			wrong.Styles[i].Parties, wrong.Styles[i+2].Parties = wrong.Styles[i+2].Parties, wrong.Styles[i].Parties
		}
		for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
			found := Compare(sides[0], sides[1], Options{}).Findings
			require.Len(t, found, 1, name+"\n"+listed(found))
			assert.Equal(t, codeWrongStyle, found[0].Check)
			assert.Equal(t, precincts, found[0].Precincts)
			assert.Contains(t, found[0].Message, `"HER" and "QUA" voters are exchanged`)
		}
	}
	// One party's voters have the other's ballot, and theirs nobody has: that is no exchange.
	right, wrong := partyPrimary(), partyPrimary()
	wrong.Styles[0].Content = wrong.Styles[2].Clone().Content
	found := Compare(wrong, right, Options{}).Findings
	for _, f := range found {
		assert.NotContains(t, f.Message, "exchanged")
	}
	assert.NotEmpty(t, found)
	// What is missing beside is told.
	right, wrong = partyPrimary(), partyPrimary()
	wrong.Styles[0].Parties, wrong.Styles[2].Parties = wrong.Styles[2].Parties, wrong.Styles[0].Parties
	wrong.Styles[1].Content = wrong.Styles[1].Content[:3]
	assert.ElementsMatch(t, []string{"wrong-style", "contest-missing"}, codesOf(Compare(wrong, right, Options{}).Findings))
}
