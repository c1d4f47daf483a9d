package deck_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/model/results"
)

// A contest that no record of a precinct lists has no votes there, with the deck at hand and without it.
func TestAContestThatNoRecordListsIsADifference(t *testing.T) {
	left := 0
	for _, name := range nistElections {
		n, export := nistDeck(t, name), exportNIST(t, name)
		whole := readNIST(t, name, "cvr-"+name+".json")
		for i := range whole.Tallies {
			gone := whole.Tallies[i]
			r := *whole
			r.Tallies = slices.Delete(slices.Clone(whole.Tallies), i, i+1)
			r.Ballots = slices.Clone(whole.Ballots)
			for b := range r.Ballots {
				ballot := &r.Ballots[b]
				if slices.Contains(gone.Precincts, ballot.Precinct) {
					ballot.Votes = slices.DeleteFunc(slices.Clone(ballot.Votes), func(v *results.Votes) bool {
						return v.Contest == gone.Contest
					})
				}
			}
			votes := 0
			for _, v := range gone.Votes {
				votes += v.Value
			}
			got, err := deck.Compare(n.e, "key.csv", n.key.Rows(n.e), []*results.Results{&r},
				deck.CompareOptions{Rules: n.key.Rules, Export: export})
			require.NoError(t, err)
			if name == "prim-01" && whole.Election.Precincts[gone.Precincts[0]].Name.In("") == "Bibb County Court House" {
				continue // pairs with nothing, see nistStray
			}
			if votes == 0 {
				assert.Empty(t, got.Differences)
				continue
			}
			left++
			require.Len(t, got.Differences, 1, "%s, contest %d of the results", name, gone.Contest)
			for _, c := range got.Differences[0].Cells {
				assert.Zero(t, c.Results)
				votes -= c.Key
			}
			assert.Zero(t, votes)
		}
	}
	assert.Greater(t, left, 50)
}

// Results without any count of the key say nothing: that nothing differs would say too much.
func TestResultsWithoutACountOfTheKeyAreRefused(t *testing.T) {
	n := nistDeck(t, "gen-03")
	r := readNIST(t, "gen-03", "err-gen-03.xml")
	r.Tallies = nil
	_, err := deck.Compare(n.e, "key.csv", n.key.Rows(n.e), []*results.Results{r},
		deck.CompareOptions{Export: exportNIST(t, "gen-03")})
	assert.ErrorContains(t, err, "it states no count that the answer key has")
}
