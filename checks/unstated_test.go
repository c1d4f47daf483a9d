package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// What was keyed and the primary does not state is never taken for agreement.
func TestWhatThePrimaryLeavesUnstated(t *testing.T) {
	for name, c := range map[string]struct {
		lose func(e *model.Election)
		want []string
	}{
		"the words of a choice": {func(e *model.Election) { e.Contests[5].Choices[1].Name = model.Stated[model.Text]{} },
			[]string{"choice-name Proposition One[1-01 1-02 2-01 2-02 3-01 3-02 3-03]"}},
		"the title of a contest": {func(e *model.Election) { e.Contests[4].Title = model.Stated[model.Text]{} },
			[]string{"contest-title Far Ward Steward[3-01 3-02 3-03]"}},
		"the card header of one unit": {func(e *model.Election) { e.Units[2].Precincts = model.Stated[[]int]{} },
			[]string{"unit-header U3[3-01 3-02 3-03]", "precinct-unserved [3-01 3-02 3-03]"}},
	} {
		t.Run(name, func(t *testing.T) {
			primary := mendable()
			c.lose(primary)
			found := Compare(primary, mendable(), Options{}).Findings
			var of []string
			for _, f := range found {
				if f.Check != "precinct-unserved" {
					of = append(of, codesAndPlaces([]Finding{f})[0])
				}
			}
			assert.Equal(t, c.want[:1], of)
			for _, f := range found {
				for _, e := range f.Edits {
					if e.Side == SidePrimary {
						mended := primary.Clone()
						e.Apply(mended)
						assert.Empty(t, codesAndPlaces(Compare(mended, mendable(), Options{}).Findings), e.What)
					}
				}
			}
		})
	}
	// A vote-for and a date that are not there are compared with nothing; it is said.
	primary := mendable()
	primary.Contests[1].VoteFor, primary.Facts.Date = model.Stated[int]{}, model.Stated[string]{}
	second := mendable()
	second.Facts.Date = model.Say("2027-11-02")
	r := Compare(primary, second, Options{})
	assert.Empty(t, r.Findings)
	said := strings.Join(r.Coverage.NotKeyed, "\n")
	assert.Contains(t, said, "vote for of 1 contest (Reeve of Fennick): keyed, and the primary states none")
	assert.Contains(t, said, "date of the election: keyed, and the primary states none")
	require.NotContains(t, strings.Join(Compare(mendable(), mendable(), Options{}).Coverage.NotKeyed, "\n"), "states none")
}

func TestAContestThatWasKeyedAndPutOnNoBallot(t *testing.T) {
	second := mendable()
	coroner := second.Contests[0].Clone()
	coroner.Title = say("Coroner")
	coroner.Choices = coroner.Choices[:2]
	for i, n := range []string{"Cato Birch", "Effie Sand"} {
		coroner.Choices[i].Name, coroner.Choices[i].Person = say(n), n
	}
	second.Contests = append(second.Contests, coroner)
	found := Compare(mendable(), second, Options{}).Findings
	require.Equal(t, []string{"contest-missing Coroner[]"}, codesAndPlaces(found))
	require.Len(t, found[0].Edits, 2)
	primary, mended := mendable(), second.Clone()
	found[0].Edits[0].Apply(primary)
	assert.Empty(t, codesAndPlaces(Compare(primary, second, Options{}).Findings))
	found[0].Edits[1].Apply(mended)
	assert.Empty(t, codesAndPlaces(Compare(mendable(), mended, Options{}).Findings))
	assert.Len(t, mended.Contests, len(second.Contests)-1)
}

func TestABallotOfAnAreaForPrecinctsThatHaveTheirOwn(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	// The ballot of 2-01 and 2-02 is given to the council district, which holds 1-01 too.
	wrong.Precincts = append(wrong.Precincts, model.Precinct{Name: model.Plain("Council District 2"), Kind: "county-council", Members: []int{0, 2}})
	wrong.Styles[1].Precincts = []int{4}
	found := Compare(wrong, right, Options{}).Findings
	require.Equal(t, []string{"style-conflict [1-01]"}, codesAndPlaces(found))
	assert.Contains(t, found[0].Message, "2 ballots")
	assert.Empty(t, found[0].Edits)
}

func TestPrecinctsWithTheSameTwoBallotsAreOneFinding(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	again := wrong.Clone().Styles[0]
	again.Label = model.Say("Style 9")
	wrong.Styles = append(wrong.Styles, again)
	found := Compare(wrong, right, Options{}).Findings
	require.Equal(t, []string{"style-conflict [1-01 1-02]"}, codesAndPlaces(found))
	found[0].Edits[0].Apply(wrong)
	assert.Empty(t, codesAndPlaces(Compare(wrong, right, Options{}).Findings))
}

func TestADistrictDrawnByMembersAloneOfPrecinctsThatVoteTogether(t *testing.T) {
	e := threeWards()
	e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain("Joined 2"), Kind: "combined-precinct", Members: []int{2, 3}})
	e.Styles[1].Precincts = []int{4}
	e.Styles = e.Styles[:2]
	e.Districts = []model.District{{Name: model.Plain("Ward 2"), Precincts: []int{2}}}
	e.Contests[0].District = model.Say(0) // it is on every ballot
	var codes []string
	for _, f := range Inspect(e, Options{}) {
		codes = append(codes, f.Check)
	}
	assert.Contains(t, codes, "district-coverage")
}

func TestAMeasureIsKnownByItsSummaryWhereThatIsPrinted(t *testing.T) {
	primary, second := mendable(), mendable()
	c := &primary.Contests[5]
	c.Title, c.Summary = say("Question Seven"), c.Text
	c.Text = say("An ordinance to amend the charter of the village in all that concerns the upkeep of weirs, sluices and towpaths, and for other purposes.")
	assert.Equal(t, []string{"contest-title Proposition One[1-01 1-02 2-01 2-02 3-01 3-02 3-03]"}, codesAndPlaces(Compare(primary, second, Options{}).Findings))
}

func TestWhatAFindingSaysOfTwoPrecinctsOfOneNumberStaysThroughExports(t *testing.T) {
	compare := func(line int) Finding {
		primary := smallCounty()
		primary.Precincts[3].Name, primary.Precincts[3].Number = primary.Precincts[2].Name, "2-01"
		primary.Precincts[2].Number = "2-01"
		primary.Origins.Precincts = make([]model.Origin, 4)
		for i := range primary.Origins.Precincts {
			primary.Origins.Precincts[i] = model.Origin{ID: "gp-" + string(rune('1'+i)), File: "export.xml", Line: line + i}
		}
		for _, f := range Compare(primary, smallCounty(), Options{}).Findings {
			if f.Check == "precinct-absent" && strings.Contains(f.Message, "more than one precinct") {
				return f
			}
		}
		t.Fatal("no such finding")
		return Finding{}
	}
	first, next := compare(100), compare(900)
	assert.Equal(t, first.ID, next.ID)
	assert.Equal(t, first.Primary, next.Primary)
	assert.Equal(t, first.Message, next.Message)
	assert.Contains(t, next.Look.Primary, "line 90")
}
