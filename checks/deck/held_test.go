package deck

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/results"
)

// onePrecinct is a count by precinct that differs, of results in which one vote too many is counted somewhere.
func (m *machine) onePrecinct(r *rand.Rand) (wrong *results.Results, d *Difference, tally, choice int) {
	wrong = m.report(m.key.Tallies, true, false)
	tally = r.IntN(len(wrong.Tallies))
	choice = slices.IndexFunc(wrong.Tallies[tally].Votes, func(v model.Stated[int]) bool { return v.Known })
	votes := &wrong.Tallies[tally].Votes[choice]
	*votes = model.Say(votes.Value + 100)
	got := m.compare(wrong)
	require.Len(m.t, got.Differences, 1)
	return wrong, &got.Differences[0], tally, choice
}

// A precinct's count is held by a count of that precinct alone: not by the county's total, not where it is left
// out. The county's total is held by all of its precincts, and not by all but one.
func TestADifferenceIsHeldByItsOwnCounts(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	totals := 0
	for seed := range uint64(4) {
		m := newMachine(t, seed)
		full, total := m.report(m.key.Tallies, true, false), m.report(m.key.Tallies, false, false)
		for range 6 {
			_, d, tally, choice := m.onePrecinct(r)
			require.True(t, m.compare(full).Holds(d, false))
			left := m.report(m.key.Tallies, true, false)
			left.Tallies[tally].Votes[choice] = model.Stated[int]{}
			require.False(t, m.compare(left).Holds(d, true), "it is left out")
			own := full.Tallies[tally].Contest
			of := 0
			for i := range full.Tallies {
				if full.Tallies[i].Contest == own {
					of++
				}
			}
			if of == 1 {
				continue
			}
			totals++
			require.False(t, m.compare(total).Holds(d, true), "a total does not stand for a precinct")

			at := slices.IndexFunc(total.Tallies, func(x results.Tally) bool { return x.Contest == own })
			wrong := m.report(m.key.Tallies, false, false)
			votes := &wrong.Tallies[at].Votes[choice]
			*votes = model.Say(votes.Value + 100)
			all := m.compare(wrong)
			require.Len(t, all.Differences, 1)
			require.True(t, m.compare(total).Holds(&all.Differences[0], false))
			require.True(t, m.compare(full).Holds(&all.Differences[0], false), "each precinct by itself")
			require.False(t, m.compare(left).Holds(&all.Differences[0], true), "one precinct is left out")
		}
	}
	require.Positive(t, totals)
}

// Results hold all that others did if they state as much as closely.
func TestResultsHoldAllThatOthersDid(t *testing.T) {
	m := newMachine(t, 1)
	full, total := m.compare(m.report(m.key.Tallies, true, false)), m.compare(m.report(m.key.Tallies, false, false))
	votes := m.compare(m.report(m.key.Tallies, true, true))
	require.True(t, full.HoldsAllOf(full))
	require.True(t, full.HoldsAllOf(total))
	require.True(t, full.HoldsAllOf(votes))
	require.False(t, total.HoldsAllOf(full), "totals are held less closely")
	require.False(t, votes.HoldsAllOf(full), "votes alone")
}

// Where the key has no ballot, a count is held by one of the same precinct, or by results as full that leave it out.
func TestACountWhereNoBallotIsMayBeLeftOut(t *testing.T) {
	m := newMachine(t, 2)
	gone := m.key.Tallies[0].Precinct
	deck := &Deck{slices.DeleteFunc(slices.Clone(m.deck.Ballots), func(b Ballot) bool { return b.Precinct == gone })}
	whole := m.key
	key, err := Count(m.e, deck, rules)
	require.NoError(t, err)
	m.deck, m.key = deck, key
	right := m.compare(m.report(key.Tallies, true, false))
	wrong := m.compare(m.report(whole.Tallies, true, false))
	require.NotEmpty(t, wrong.Differences)
	for i := range wrong.Differences {
		require.True(t, right.Holds(&wrong.Differences[i], true))
	}
	require.True(t, slices.ContainsFunc(wrong.Differences, func(d Difference) bool { return !right.Holds(&d, false) }))
}

// What records show ballot by ballot is held by records alone, not by totals.
func TestRecordsAreHeldByRecordsAlone(t *testing.T) {
	m := newMachine(t, 1)
	records, totals := m.compare(m.records(m.deck, true)), m.compare(m.report(m.key.Tallies, true, false))
	require.Empty(t, records.Ballots.LeftOut)
	require.True(t, records.HoldsRecordsOf(records))
	require.False(t, totals.HoldsRecordsOf(records))
	other := *records
	ballots := *records.Ballots
	ballots.LeftOut = []int{m.key.Tallies[0].Contest}
	other.Ballots = &ballots
	require.False(t, other.HoldsRecordsOf(records), "a contest is left out")
	require.True(t, records.HoldsRecordsOf(&other))
}
