package deck

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/results"
)

// A slip in typing a printout: votes, overvotes and undervotes are not as many as the ballots have.
func TestResultsThatDoNotAddUpAreNamedFirst(t *testing.T) {
	m := newMachine(t, 1)
	r := m.report(m.key.Tallies, true, false)
	typed := slices.IndexFunc(r.Tallies, func(x results.Tally) bool { return x.Ballots.Value > 5 && len(x.Votes) > 2 })
	require.GreaterOrEqual(t, typed, 0)
	r.Tallies[typed].Votes[1].Value += 1000
	got := m.compare(r)
	require.Len(t, got.Differences, 1)
	d := got.Differences[0]
	require.NotEmpty(t, d.Causes)
	assert.Equal(t, NotAddingUp, d.Causes[0].Kind)
	assert.Contains(t, d.CauseWords()[0], "Likely cause: The results do not add up in “"+d.Cells[0].Title(m.e)+"”")
	// Where something that belongs to the sum is not stated, nothing is said of it.
	r.Tallies[typed].Undervotes = model.Stated[int]{}
	got = m.compare(r)
	require.Len(t, got.Differences, 1)
	assert.Empty(t, got.Differences[0].Causes)
	// A slip that could be a ballot too: the sum comes first, the ballot after it.
	r = m.report(m.key.Tallies, true, false)
	r.Tallies[typed].Ballots.Value++
	got = m.compare(r)
	require.Len(t, got.Differences, 1)
	assert.Equal(t, NotAddingUp, got.Differences[0].Causes[0].Kind)
}

// A machine whose counts agree with each other is not said to contradict itself.
func TestCountsOfAMachineAddUp(t *testing.T) {
	for seed := range uint64(2) {
		m := newMachine(t, seed)
		for _, f := range faults {
			tallies := f.plant(m, rand.New(rand.NewPCG(seed, 18)))
			if tallies == nil || slices.Contains(f.kind, OverCounted) { // more votes than the ballot has
				continue
			}
			for _, d := range m.compare(m.report(tallies, true, false)).Differences {
				assert.False(t, slices.ContainsFunc(d.Causes, func(c Explanation) bool { return c.Kind == NotAddingUp }), f.name)
			}
		}
	}
}

// One vote typed too many may be an over-vote that was counted, too: the sum comes before it.
func TestASlipThatCouldBeAFaultOfTheMachine(t *testing.T) {
	m := newMachine(t, 1)
	for i, x := range m.report(m.key.Tallies, true, false).Tallies {
		if x.Overvotes.Value != 1 {
			continue
		}
		for j := range x.Votes {
			r := m.report(m.key.Tallies, true, false)
			r.Tallies[i].Votes[j].Value++
			got := m.compare(r)
			require.Len(t, got.Differences, 1)
			causes := got.Differences[0].Causes
			require.Equal(t, NotAddingUp, causes[0].Kind)
			if len(causes) > 1 {
				assert.Equal(t, OverCounted, causes[1].Kind)
				words := got.Differences[0].CauseWords()
				assert.Contains(t, words[0], "Likely cause: The results do not add up")
				assert.NotContains(t, words[1], "Likely cause")
				return
			}
		}
	}
	t.Fatal("no over-vote of the deck gives what a slip gives")
}
