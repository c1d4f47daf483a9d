package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
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
			primary := fullElection()
			c.lose(primary)
			found := Compare(primary, fullElection(), Options{}).Findings
			var of []string
			for _, f := range found {
				if f.Check != "precinct-unserved" {
					of = append(of, codesAndPlaces([]finding.Finding{f})[0])
				}
			}
			assert.Equal(t, c.want[:1], of)
		})
	}
	// A vote-for and a date that are not there are compared with nothing; it is said.
	primary := fullElection()
	primary.Contests[1].VoteFor, primary.Facts.Date = model.Stated[int]{}, model.Stated[string]{}
	second := fullElection()
	second.Facts.Date = model.Say("2027-11-02")
	r := Compare(primary, second, Options{})
	assert.Empty(t, r.Findings)
	said := strings.Join(r.Coverage.NotKeyed, "\n")
	assert.Contains(t, said, "vote for of 1 contest (Reeve of Fennick): keyed, and the export states none")
	assert.Contains(t, said, "date of the election: keyed, and the export states none")
	require.NotContains(t, strings.Join(Compare(fullElection(), fullElection(), Options{}).Coverage.NotKeyed, "\n"),
		"states none")
}

func TestAContestThatWasKeyedAndPutOnNoBallot(t *testing.T) {
	second := fullElection()
	coroner := second.Contests[0].Clone()
	coroner.Title = say("Coroner")
	coroner.Choices = coroner.Choices[:2]
	for i, n := range []string{"Cato Birch", "Effie Sand"} {
		coroner.Choices[i].Name, coroner.Choices[i].Person = say(n), n
	}
	second.Contests = append(second.Contests, coroner)
	found := Compare(fullElection(), second, Options{}).Findings
	assert.Equal(t, []string{"contest-missing Coroner[]"}, codesAndPlaces(found))
}
