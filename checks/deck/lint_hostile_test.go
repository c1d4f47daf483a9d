package deck

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// hostile is an election and a deck that no office has.
type hostile struct {
	e *model.Election
	d *Deck
}

// Ties everywhere, people on many lines, straight-party votes: whatever lint does for a pair, there are
// very many of. The sizes are those of a deck of a million ballots with CI set.
func TestLintIsBoundedOnHostileDecks(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds: it is large by nature")
	}
	size := 20
	if ci() {
		size = 1
	}
	several := func(n int, c func() model.Contest) (out []model.Contest) {
		for range n {
			out = append(out, c())
		}
		return out
	}
	straight := func() model.Contest {
		c := office("", 1, 300, 1, 0)
		c.Kind = model.Say(model.KindParty)
		for j := range c.Choices {
			c.Choices[j].Lines = model.Say([]int{j % 2})
		}
		return c
	}
	filled := func() model.Contest {
		c := office("", 3, 30, 3, 3)
		for j := range c.Choices {
			c.Choices[j].Lines = model.Say([]int{j % 2})
		}
		return c
	}
	of := func(variation string, voteFor, people, lines, writeIns int) func() model.Contest {
		return func() model.Contest { return office(variation, voteFor, people, lines, writeIns) }
	}
	// mark marks each contest of each ballot once, or as often as is said.
	mark := func(e *model.Election, ballots, times int) hostile {
		d := &Deck{}
		for i := range ballots {
			b := Ballot{Number: i + 1}
			for c := range e.Contests {
				for k := range times {
					b.Marks = append(b.Marks, Mark{c, (i + 7*k) % len(e.Contests[c].Choices), 1})
				}
			}
			d.Ballots = append(d.Ballots, b)
		}
		return hostile{e, d}
	}
	parties := lone(append([]model.Contest{straight()}, several(20, filled)...)...)
	parties.Parties = make([]model.Party, 2)
	for name, h := range map[string]hostile{
		"a million ballots":  mark(lone(several(3, of("", 1, 5, 1, 1))...), 1_000_000/size, 1),
		"500 contests":       mark(lone(several(500, of("", 2, 5, 1, 1))...), 20_000/size, 1),
		"10,000 positions":   mark(lone(office("", 1, 20_000/(1+size), 1, 0)), 10_000, 1),
		"people on 50 lines": mark(lone(several(5, of("", 5, 40, 50, 0))...), 10_000/size, 3),
		"straight party":     mark(parties, 10_000/size, 1),
		"ranked":             mark(lone(several(50, of("rcv", 100, 100, 1, 0))...), 10_000/size, 2),
	} {
		t.Run(name, func(t *testing.T) {
			began := time.Now()
			_, err := Lint(h.e, h.d, Options{Rules: rules})
			require.NoError(t, err)
			took := time.Since(began)
			t.Log(took.Round(time.Millisecond))
			assert.Less(t, took, time.Minute)
		})
	}
}

func TestMakeIsBoundedOnHostileElections(t *testing.T) {
	if testing.Short() {
		t.Skip("a huge election: long; run without -short")
	}
	contests := 50
	if ci() {
		contests = 500
	}
	many := func(n int, c model.Contest) []model.Contest {
		out := make([]model.Contest, n)
		for i := range out {
			out[i] = c
		}
		return out
	}
	huge := office("cumulative", 1<<40, 3, 1, 0)
	for name, e := range map[string]*model.Election{
		"500 measures on one ballot": lone(many(contests, office("", 1, 2, 1, 0))...),
		"500 contests of 150":        lone(many(contests/5, office("", 1, 150, 1, 0))...),
		"100,000 positions":          lone(office("", 1, 100_000, 1, 0)),
		"a vote-for beyond measure":  lone(huge, office("n-of-m", 1<<60, 3, 1, 0), office("rcv", 100, 3, 1, 0)),
		"nothing on the ballot":      lone(),
	} {
		t.Run(name, func(t *testing.T) {
			began := time.Now()
			d, err := Make(e, Options{Rules: rules})
			took := time.Since(began)
			assert.Less(t, took, time.Minute)
			if err != nil {
				t.Log(err)
				return
			}
			_, err = Count(e, &d.Deck, rules)
			require.NoError(t, err)
			t.Log(took.Round(time.Millisecond), len(d.Deck.Ballots), fmt.Sprint(d.Limits))
		})
	}
}
