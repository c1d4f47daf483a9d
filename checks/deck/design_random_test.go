package deck

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// randomElection is a small election of any contests beside each other.
func randomElection(r *rand.Rand) *model.Election {
	var contests []model.Contest
	for range 1 + r.IntN(8) {
		variation := []string{"n-of-m", "n-of-m", "n-of-m", "cumulative", "rcv"}[r.IntN(5)]
		c := office(variation, 1+r.IntN(4), 1+r.IntN(5), 1+r.IntN(2), r.IntN(3))
		if r.IntN(4) == 0 {
			c = office("", 1, 2, 1, 0)
			c.Kind = model.Say(model.KindMeasure)
		}
		contests = append(contests, c)
	}
	e := lone(contests...)
	e.Parties = make([]model.Party, 3)
	if r.IntN(2) == 0 { // a straight-party contest, and parties
		straight := office("", 1, 3, 1, 0)
		straight.Kind = model.Say(model.KindParty)
		for j := range straight.Choices {
			straight.Choices[j].Lines = model.Say([]int{j})
		}
		for c := range e.Contests {
			for j := range e.Contests[c].Choices {
				e.Contests[c].Choices[j].Lines = model.Say([]int{r.IntN(3)})
			}
		}
		e.Styles[0].Content = append(e.Styles[0].Content, model.Placement{Contest: len(e.Contests)})
		e.Contests = append(e.Contests, straight)
	} else if r.IntN(2) == 0 { // an open primary
		for c := range e.Contests {
			if party := r.IntN(3); party > 0 {
				e.Contests[c].PrimaryParties = model.Say([]int{party})
			}
		}
	}
	for range r.IntN(12) {
		e.Styles[0].Precincts = append(e.Styles[0].Precincts, len(e.Precincts))
		e.Precincts = append(e.Precincts, model.Precinct{})
	}
	return e
}

// Whatever contests stand beside each other, a deck sees what a deck can see. One thing is left to
// chance: where straight-party marks fill contests for one vote alone, a card that says vote for 1 may
// fill exactly what it loses (one of these 5,000 elections).
func TestADeckForAnyContests(t *testing.T) {
	n := 300
	if ci() {
		n = 5000
	}
	for seed := range uint64(n) {
		r := rand.New(rand.NewPCG(seed, 3))
		e := randomElection(r)
		options := Options{Seed: seed, Rules: Rules{StraightParty: append(StraightParties(), "")[r.IntN(4)]}}
		d, err := Make(e, options)
		require.NoError(t, err)
		found, err := Lint(e, &d.Deck, options)
		require.NoError(t, err)
		for _, b := range found {
			chance := b.Kind == BlindLower && options.Rules.StraightParty == FillSingle
			assert.True(t, b.Grade == finding.Note || b.Kind == BlindUncounted || chance,
				"seed %d, %+v: %s", seed, options.Rules,
				b.Words(e))
		}
	}
}
