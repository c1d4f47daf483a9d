package deck

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// lone is an election of one precinct with these contests on its ballot.
func lone(contests ...model.Contest) *model.Election {
	e := &model.Election{Contests: contests, Precincts: []model.Precinct{{Name: model.Plain("1-01")}},
		Styles: []model.Style{{Precincts: []int{0}}}}
	for c := range contests {
		e.Styles[0].Content = append(e.Styles[0].Content, model.Placement{Contest: c})
	}
	return e
}

// office is a contest with so many people, each on so many lines, and write-in positions.
func office(variation string, voteFor, people, lines, writeIns int) model.Contest {
	c := model.Contest{Title: model.Say(model.Plain("Office")), Kind: model.Say(model.KindCandidate),
		VoteFor: model.Say(voteFor), Variation: model.Say(variation)}
	for range lines {
		for p := range people {
			name := fmt.Sprint("Person ", p)
			c.Choices = append(c.Choices, model.Choice{Name: model.Say(model.Plain(name)), Person: name})
		}
	}
	for range writeIns {
		c.Choices = append(c.Choices, model.Choice{WriteIn: true})
	}
	return c
}

// The fewest ballots are worked out by hand: k positions take 1 + 2 + … + k votes, and the position with
// the most, k, as many ballots; two more are the over-voted and the blank one.
func TestADeckForEachKindOfContest(t *testing.T) {
	for _, test := range []struct {
		name    string
		contest model.Contest
		ballots int
		limit   string // part of it
		note    bool   // lint says that no deck can show something
	}{
		{"five for one vote", office("n-of-m", 1, 5, 1, 0), 15 + 2, "", false},
		{"six for three votes, with three write-ins", office("n-of-m", 3, 6, 1, 3), 15 + 2, "", false},
		{"a measure", office("", 1, 2, 1, 0), 3 + 2, "", false},
		{"one choice and a write-in", office("", 1, 1, 1, 1), 3 + 2, "", false},
		{"one choice", office("", 1, 1, 1, 0), 1 + 1, "one position alone", false},
		{"as many votes as positions", office("n-of-m", 3, 3, 1, 0), 3 + 1, "No ballot can be over-voted", false},
		{"more votes than positions", office("n-of-m", 3, 2, 1, 0), 2 + 1, "No ballot can be over-voted", true},
		{"two people on three lines each", office("n-of-m", 1, 2, 3, 0), 21 + 2, "", false},
		{"two people on two lines each for two votes", office("n-of-m", 2, 2, 2, 0), 5 + 1, "No ballot can be over-voted",
			true},
		{"cumulative", office("cumulative", 3, 4, 1, 1), 5 + 2, "", false},
		{"cumulative with more votes than there are to give", office("cumulative", 9, 2, 1, 0), 1 + 2, "", false},
		{"ranked", office("rcv", 3, 4, 1, 1), 15 + 2, "", false},
		{"an unknown variation", office("borda", 1, 3, 1, 0), 1, "not counted", false},
	} {
		t.Run(test.name, func(t *testing.T) {
			e := lone(test.contest)
			d, err := Make(e, Options{})
			require.NoError(t, err)
			assert.Len(t, d.Deck.Ballots, test.ballots)
			if test.limit == "" {
				assert.Empty(t, d.Limits)
			} else if assert.Len(t, d.Limits, 1) {
				assert.Contains(t, d.Limits[0].Why, test.limit)
			}
			key, err := Count(e, &d.Deck, Rules{})
			require.NoError(t, err)
			if len(key.Left) == 0 {
				require.Len(t, key.Tallies, 1)
				assert.True(t, distinct(key.Tallies[0].Votes), "%v", key.Tallies[0].Votes)
				assert.NotContains(t, key.Tallies[0].Votes, 0)
				for _, ranks := range key.Tallies[0].Ranks {
					assert.True(t, distinct(ranks), "%v", ranks)
				}
			}
			found, err := Lint(e, &d.Deck, Options{})
			require.NoError(t, err)
			notes := 0
			for _, b := range found {
				if b.Grade == finding.Note {
					notes++
				} else if b.Kind != BlindUncounted {
					assert.Fail(t, "the deck does not see: "+b.Words(e))
				}
			}
			assert.Equal(t, test.note, notes > 0)
		})
	}
}

func TestADesignedDeckSeesWhatADeckCanSee(t *testing.T) {
	if testing.Short() {
		t.Skip("generated counties: long; run without -short")
	}
	for _, seed := range seeds() {
		for _, r := range []Rules{{}, {StraightParty: FillUnmarked}, {StraightParty: FillRemaining},
			{StraightParty: FillSingle}, {OpenPrimary: VoidAsUndervotes}, {OpenPrimary: EachContest}} {
			e := smallCounty(seed)
			d, err := Make(e, Options{Seed: seed, Rules: r})
			require.NoError(t, err)
			found, err := Lint(e, &d.Deck, Options{Rules: r})
			require.NoError(t, err)
			for _, b := range found {
				assert.Equal(t, finding.Note, b.Grade, "seed %d, %+v: %s", seed, r, b.Words(e))
			}
		}
	}
}

func TestADeckIsTheSameForTheSameSeed(t *testing.T) {
	e := smallCounty(1)
	make := func(seed uint64) *Deck {
		d, err := Make(e, Options{Seed: seed, Rules: rules})
		require.NoError(t, err)
		return &d.Deck
	}
	assert.Equal(t, make(7), make(7))
	assert.NotEqual(t, make(7), make(8))
}

func TestADeckForAUnitAPrecinctOrAStyle(t *testing.T) {
	e := smallCounty(1)
	require.NotEmpty(t, e.Units)
	unit, precinct := e.Units[0].Name, e.Units[0].Precincts.Value[0]
	of := func(unit, precinct, style string) map[int]bool {
		o, err := Options{Rules: rules}.For(e, unit, precinct, style)
		require.NoError(t, err)
		d, err := Make(e, o)
		require.NoError(t, err)
		found, err := Lint(e, &d.Deck, o)
		require.NoError(t, err)
		for _, b := range found {
			assert.Equal(t, finding.Note, b.Grade, b.Words(e))
		}
		precincts := map[int]bool{}
		for _, b := range d.Deck.Ballots {
			precincts[b.Precinct] = true
		}
		return precincts
	}
	in := map[int]bool{}
	for _, p := range e.Units[0].Precincts.Value {
		in[p] = true
	}
	assert.Equal(t, in, of(unit, "", ""))
	assert.Equal(t, map[int]bool{precinct: true}, of("", precinctLabel(e, precinct), ""))
	assert.Equal(t, map[int]bool{precinct: true}, of(unit, precinctLabel(e, precinct), ""))
	for _, wrong := range [][3]string{{"no unit", "", ""}, {"", "no precinct", ""}, {"", "", "no style"}} {
		_, err := Options{}.For(e, wrong[0], wrong[1], wrong[2])
		assert.ErrorContains(t, err, "as ")
	}
	each, err := Make(e, Options{Rules: rules, EachUnit: true})
	require.NoError(t, err)
	for _, u := range e.Units {
		o, err := Options{Rules: rules}.For(e, u.Name, "", "")
		require.NoError(t, err)
		found, err := Lint(e, &each.Deck, o)
		require.NoError(t, err)
		for _, b := range found {
			assert.Equal(t, finding.Note, b.Grade, "unit %s: %s", u.Name, b.Words(e))
		}
	}
	_, err = Make(e, Options{Precincts: []int{}})
	assert.ErrorContains(t, err, "no precinct here gets a ballot")
}
