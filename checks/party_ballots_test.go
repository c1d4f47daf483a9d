package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

// closedPrimary is smallCounty with a ballot for each of two parties in all precincts: each has a
// primary of its own, and one contest stands on both ballots. Nobody keyed whose primary a contest
// belongs to.
func closedPrimary() (export, keyed *model.Election) {
	primary := func() *model.Election {
		e := smallCounty()
		e.Units = nil
		for s := range e.Styles {
			e.Styles[s].Precincts, e.Styles[s].Parties = []int{0, 1, 2, 3}, []int{s}
			e.Styles[s].Content = e.Styles[s].Content[1:]
			e.Contests[2+s].PrimaryParties = model.Say([]int{s})
			for i := range e.Contests[2+s].Choices {
				e.Contests[2+s].Choices[i].Lines = model.Say([]int{s})
			}
		}
		e.Contests = e.Contests[1:]
		for s := range e.Styles {
			for k := range e.Styles[s].Content {
				e.Styles[s].Content[k].Contest--
			}
		}
		return e
	}
	export, keyed = primary(), primary()
	for i := range keyed.Contests {
		keyed.Contests[i].PrimaryParties = model.Stated[[]int]{}
	}
	return export, keyed
}

func TestAContestOnTheBallotsOfTwoPartiesThatIsMarkedAsOfOne(t *testing.T) {
	export, keyed := closedPrimary()
	assert.Empty(t, Compare(export, keyed, Options{}).Findings)
	export.Contests[0].PrimaryParties = model.Say([]int{0})
	found := Compare(export, keyed, Options{}).Findings
	assert.Equal(t, []string{"primary-party Reeve of Fennick[1-01 1-02 2-01 2-02]"}, codesAndPlaces(found))
	assert.Equal(t, `"Reeve of Fennick" belongs to the primary of HER in the export, and is on the ballots of QUA voters `+
		`in 4 precincts as well.`, found[0].Message)
	keyed.Contests[0].PrimaryParties = model.Say([]int{}) // keyed as of no party's primary
	assert.Equal(t, codesAndPlaces(found), codesAndPlaces(Compare(export, keyed, Options{}).Findings))
}

// Voters without a party get the ballot of a party, as a style of its own.
func TestABallotForVotersWithoutAPartyMayHoldAPartysPrimary(t *testing.T) {
	export, keyed := closedPrimary()
	for _, e := range []*model.Election{export, keyed} {
		own := e.Styles[0].Clone()
		own.Label, own.Parties = model.Say("Style 3"), []int{2} // ORC stands for them, and holds no primary
		e.Styles = append(e.Styles, own)
	}
	assert.Empty(t, Compare(export, keyed, Options{}).Findings)
}
