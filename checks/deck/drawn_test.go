package deck_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks/deck"
	"counterproof/model"
)

// drawing has rapid draw so many times in a test, unless a number was asked for. With CI=true it draws
// the same each time, so that a run can be repeated.
func drawing(t *testing.T, times int) {
	t.Helper()
	for name, value := range map[string]string{"rapid.checks": strconv.Itoa(times), "rapid.seed": "20271102"} {
		f := flag.Lookup(name)
		if f.Value.String() != f.DefValue || name == "rapid.seed" && os.Getenv("CI") != "true" {
			continue
		}
		require.NoError(t, f.Value.Set(value))
		t.Cleanup(func() { _ = f.Value.Set(f.DefValue) })
	}
}

// anyElection is an election with every kind of contest.
func anyElection(t *rapid.T) *model.Election {
	e := &model.Election{Parties: make([]model.Party, 3), Precincts: make([]model.Precinct, 3)}
	partyList := rapid.SliceOfNDistinct(rapid.IntRange(0, 2), 1, 2, rapid.ID[int])
	if chance(t, 2) {
		c := model.Contest{Kind: model.Say(model.KindParty)}
		for p := range e.Parties {
			c.Choices = append(c.Choices, model.Choice{Lines: model.Say([]int{p})})
		}
		e.Contests = append(e.Contests, c)
	}
	for range one(t, 1, 2, 3, 4, 5) {
		var c model.Contest
		kind := one(t, "", model.KindCandidate, model.KindCandidate, model.KindCandidate,
			model.KindMeasure, model.KindRetention, model.KindParty)
		c.Kind = model.Stated[model.Kind]{Value: kind, Known: kind != ""}
		if !chance(t, 12) {
			c.VoteFor = model.Say(one(t, 1, 1, 1, 1, 2, 2, 2, 3, 3, 0, 101))
		}
		c.Variation.Value = one(t, "", "", "", "n-of-m", "plurality", "rcv", "cumulative", "approval")
		if kind == model.KindCandidate && chance(t, 3) {
			c.PrimaryParties = model.Say(partyList.Draw(t, "of"))
		}
		for j := range one(t, 0, 1, 2, 3, 3, 4, 5, 6) {
			choice := model.Choice{Person: fmt.Sprint(one(t, 0, 1, 2, 3, 4, 5, 6, 7))}
			switch one(t, 0, 1, 2, 3, 4, 5, 6, 7, 8) {
			case 0:
				choice.WriteIn = true
			case 1:
				choice.Person = ""
			case 2:
				choice.Lines = model.Say[[]int](nil)
			case 3:
				choice.Lines = model.Say(partyList.Draw(t, "lines"))
			case 4:
				if !chance(t, 4) {
					choice.Lines = model.Say([]int{j % 3})
				}
			default:
				choice.Lines = model.Say([]int{j % 3})
			}
			c.Choices = append(c.Choices, choice)
		}
		e.Contests = append(e.Contests, c)
	}
	for range one(t, 1, 2, 3) {
		var s model.Style
		for c := range e.Contests {
			if !chance(t, 6) {
				s.Content = append(s.Content, model.Placement{Contest: c})
			}
			if chance(t, 20) { // printed twice on one ballot
				s.Content = append(s.Content, model.Placement{Contest: c})
			}
		}
		s.Precincts = rapid.SliceOfNDistinct(rapid.IntRange(0, 2), 1, 3, rapid.ID[int]).Draw(t, "precincts")
		slices.Sort(s.Precincts)
		e.Styles = append(e.Styles, s)
	}
	return e
}

// one draws one of the values, each as likely as the next (rapid likes the first ones).
func one[T any](t *rapid.T, of ...T) T {
	return of[rapid.Uint64().Draw(t, "draw")*0x9E3779B97F4A7C15>>33%uint64(len(of))]
}

// chance is true once in so many times.
func chance(t *rapid.T, in int) bool { return one(t, until(in)...) == in-1 }

func until(n int) (out []int) {
	for i := range n {
		out = append(out, i)
	}
	return out
}

// anyDeck marks ballots of an election: little, much, too much.
func anyDeck(t *rapid.T, e *model.Election) *deck.Deck {
	d := &deck.Deck{}
	for i := range one(t, until(13)[1:]...) {
		style := one(t, until(len(e.Styles))...)
		b := deck.Ballot{Number: i + 1, Style: style, Precinct: one(t, e.Styles[style].Precincts...)}
		for _, p := range held(e, style) {
			c := &e.Contests[p.Contest]
			if len(c.Choices) == 0 || chance(t, 3) {
				continue
			}
			most := max(1, min(3, allowed(c)))
			for range one(t, 0, 1, 1, 1, 2, most, most, most+1) {
				m := deck.Mark{Contest: p.Contest, Choice: one(t, until(len(c.Choices))...), Votes: 1}
				if v := c.Variation.Value; v == "rcv" || v == "cumulative" {
					m.Votes = one(t, []int{1, 1, 2, 3}[:most+1]...)
				}
				if !slices.Contains(b.Marks, m) {
					b.Marks = append(b.Marks, m)
				}
			}
		}
		d.Ballots = append(d.Ballots, b)
	}
	return d
}
