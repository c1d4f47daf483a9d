package deck_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks/deck"
	"counterproof/model"
)

// The definition of counting, naively and ballot by ballot, as design.md ("The test deck and its key")
// and README.md say it. It shares nothing with Count.

// outcome is what one ballot counts in one contest.
type outcome struct {
	votes       map[int]int    // by choice
	ranks       map[[2]int]int // by choice and rank
	over, under int
	left        bool // the contest is not counted
}

// samePerson: rows of one name on different lines are one person.
func samePerson(c *model.Contest, i, j int) bool {
	a, b := &c.Choices[i], &c.Choices[j]
	return i == j || a.Person != "" && a.Person == b.Person && !a.WriteIn && !b.WriteIn
}

// lines are the choices marked, at a rank or at all, each person's first alone.
func lines(c *model.Contest, marks []deck.Mark, rank int) (out []int) {
	for _, m := range marks {
		if rank > 0 && m.Votes != rank {
			continue
		}
		if !slices.ContainsFunc(out, func(o int) bool { return samePerson(c, o, m.Choice) }) {
			out = append(out, m.Choice)
		}
	}
	return out
}

func marksIn(b *deck.Ballot, contest int) (out []deck.Mark) {
	for _, m := range b.Marks {
		if m.Contest == contest {
			out = append(out, m)
		}
	}
	return out
}

// held are the contests of a ballot: one that is printed twice is one contest.
func held(e *model.Election, style int) (out []model.Placement) {
	for _, p := range e.Styles[style].Content {
		if !slices.ContainsFunc(out, func(o model.Placement) bool { return o.Contest == p.Contest }) {
			out = append(out, p)
		}
	}
	return out
}

func allowed(c *model.Contest) int {
	if !c.VoteFor.Known {
		return 1
	}
	return c.VoteFor.Value
}

// define says what a ballot counts in a contest.
func define(e *model.Election, b *deck.Ballot, contest int, rules deck.Rules) outcome {
	c := &e.Contests[contest]
	out := outcome{votes: map[int]int{}, ranks: map[[2]int]int{}}
	marks := marksIn(b, contest)
	n := allowed(c)
	whole := n
	ranked, cumulative := c.Variation.Value == "rcv", c.Variation.Value == "cumulative"
	if ranked {
		whole = 1
	}
	if decided := definePrimary(e, b, contest, rules.OpenPrimary, whole, &out); decided {
		return out
	}
	party, several := straight(e, b)
	switch {
	case ranked:
		for rank := 1; rank <= n; rank++ {
			if at := lines(c, marks, rank); len(at) == 1 {
				out.ranks[[2]int{at[0], rank}] = 1
			} else if rank == 1 && len(at) == 0 {
				out.under = 1
			} else if rank == 1 {
				out.over = 1
			}
		}
		out.left = len(marks) == 0 && reached(e, contest, party, several)
	case cumulative:
		sum := 0
		for _, m := range marks {
			sum += m.Votes
		}
		if sum > n {
			out.over = n
		} else {
			for _, m := range marks {
				out.votes[m.Choice] += m.Votes
			}
			out.under = n - sum
		}
		out.left = len(marks) == 0 && reached(e, contest, party, several)
	default:
		first := lines(c, marks, 0)
		if reached(e, contest, party, several) && len(first) < n {
			first, out.left = filling(e, contest, party, several, first, rules.StraightParty)
		}
		if len(first) > n {
			out.over = n
			break
		}
		for _, choice := range first {
			out.votes[choice] = 1
		}
		out.under = n - len(first)
	}
	return out
}

// definePrimary: where one ballot holds the contests of several parties, marks in contests of more than
// one count for nobody; marked for one, the other parties' contests count nothing.
func definePrimary(e *model.Election, b *deck.Ballot, contest int, rule deck.OpenPrimary, whole int,
	out *outcome) bool {
	party := func(c int) string {
		if p := e.Contests[c].PrimaryParties.Value; len(p) > 0 {
			return fmt.Sprint(slices.Sorted(slices.Values(p)))
		}
		return ""
	}
	parties, marked := map[string]bool{}, map[string]bool{}
	preference := false
	for _, p := range held(e, b.Style) {
		if at := party(p.Contest); at != "" {
			parties[at] = true
			if len(marksIn(b, p.Contest)) > 0 {
				marked[at] = true
			}
		}
		if e.Contests[p.Contest].Kind.Value == model.KindParty && len(marksIn(b, p.Contest)) > 0 {
			preference = true
		}
	}
	own := party(contest)
	if own == "" || len(parties) < 2 || rule == deck.EachContest || len(marked) == 0 {
		return false
	}
	if len(marked) == 1 {
		return !marked[own]
	}
	out.left = preference
	if len(marksIn(b, contest)) > 0 && rule == deck.VoidAsUndervotes {
		out.under = whole
	} else if len(marksIn(b, contest)) > 0 {
		out.over = whole
	}
	return true
}

// straight is the party of the straight-party mark, -1 for none; unsure where it cannot be known.
func straight(e *model.Election, b *deck.Ballot) (party int, unsure bool) {
	var parties []int
	for _, p := range held(e, b.Style) {
		c := &e.Contests[p.Contest]
		if c.Kind.Value != model.KindParty {
			continue
		}
		marked := lines(c, marksIn(b, p.Contest), 0)
		if len(marked) > 0 && (!countable(c) || slices.Contains([]string{"rcv", "cumulative"}, c.Variation.Value)) {
			return -2, true // which party is marked cannot be known
		}
		if len(marked) == 0 || len(marked) > allowed(c) {
			continue
		}
		for _, choice := range marked {
			if l := c.Choices[choice].Lines.Value; len(l) == 1 {
				parties = append(parties, l[0])
			} else {
				parties = append(parties, -2)
			}
		}
	}
	switch {
	case len(parties) == 0:
		return -1, false
	case len(parties) > 1 || parties[0] == -2:
		return -2, true
	}
	return parties[0], false
}

// reached: a straight-party mark can count in a contest that is no measure, no retention, no primary,
// and has candidates of the party, as far as that was keyed.
func reached(e *model.Election, contest, party int, unsure bool) bool {
	c := &e.Contests[contest]
	if party == -1 || len(c.PrimaryParties.Value) > 0 || c.Kind.Value == model.KindMeasure ||
		c.Kind.Value == model.KindRetention || c.Kind.Value == model.KindParty {
		return false
	}
	for _, choice := range c.Choices {
		if choice.WriteIn {
			continue
		}
		if !choice.Lines.Known || slices.Contains(choice.Lines.Value, party) || unsure && len(choice.Lines.Value) > 0 {
			return true
		}
	}
	return false
}

// filling adds the party's candidates to the choices that are marked.
func filling(e *model.Election, contest, party int, unsure bool, marked []int,
	chosen deck.StraightParty) (all []int, left bool) {
	c := &e.Contests[contest]
	all = slices.Clone(marked)
	for j := range c.Choices {
		choice := &c.Choices[j]
		if choice.WriteIn {
			continue
		}
		unsure = unsure && len(choice.Lines.Value) > 0 || !choice.Lines.Known || unsure
		if slices.Contains(choice.Lines.Value, party) &&
			!slices.ContainsFunc(all, func(o int) bool { return samePerson(c, o, j) }) {
			all = append(all, j)
		}
	}
	added := len(all) - len(marked)
	if unsure {
		added = 0
	}
	fits := added <= allowed(c)-len(marked)
	by := map[deck.StraightParty]bool{
		deck.FillUnmarked:  len(marked) == 0 && fits,
		deck.FillRemaining: fits,
		deck.FillSingle:    len(marked) == 0 && allowed(c) == 1 && fits,
	}
	if chosen != "" {
		if by[chosen] && !unsure {
			return all, false
		}
		return marked, by[chosen] && unsure
	}
	same := by[deck.FillUnmarked] == by[deck.FillRemaining] && by[deck.FillRemaining] == by[deck.FillSingle]
	switch {
	case unsure:
		return marked, true // one of the rules at least would fill it
	case !same:
		return marked, added > 0
	case by[deck.FillUnmarked]:
		return all, false
	}
	return marked, false
}

// countable: the rule of the contest was keyed, and is one that is counted.
func countable(c *model.Contest) bool {
	ordinary := slices.Contains([]string{"", "n-of-m", "plurality"}, c.Variation.Value)
	single := slices.Contains([]model.Kind{model.KindMeasure, model.KindRetention, model.KindParty}, c.Kind.Value)
	switch {
	case c.Variation.Value == "approval", len(c.Choices) == 0, c.VoteFor.Known && c.VoteFor.Value == 0,
		!c.VoteFor.Known && !(ordinary && single), c.Variation.Value == "rcv" && c.VoteFor.Value > 100:
		return false
	}
	return true
}

func TestCountingIsItsDefinition(t *testing.T) {
	drawing(t, 2000) // 100 are few for all that meets here
	left, counted := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		e := anyElection(t)
		d := anyDeck(t, e)
		rules := deck.Rules{
			StraightParty: one(t, append(deck.StraightParties(), "")...),
			OpenPrimary:   one(t, deck.VoidAsOvervotes, deck.VoidAsUndervotes, deck.EachContest),
		}
		type place struct{ precinct, style, contest int }
		want := map[place]*deck.Tally{}
		lefts := map[int]bool{}
		for i := range d.Ballots {
			b := &d.Ballots[i]
			for _, p := range held(e, b.Style) {
				c := &e.Contests[p.Contest]
				if !countable(c) {
					lefts[p.Contest] = true
					continue
				}
				at := place{b.Precinct, b.Style, p.Contest}
				if want[at] == nil {
					want[at] = &deck.Tally{Unit: -1, Precinct: b.Precinct, Style: b.Style, Contest: p.Contest,
						Votes: make([]int, len(c.Choices))}
					for rank := 2; c.Variation.Value == "rcv" && rank <= c.VoteFor.Value; rank++ {
						want[at].Ranks = append(want[at].Ranks, make([]int, len(c.Choices)))
					}
				}
				tally, of := want[at], define(e, b, p.Contest, rules)
				lefts[p.Contest] = lefts[p.Contest] || of.left
				tally.Ballots++
				tally.Overvotes += of.over
				tally.Undervotes += of.under
				if of.over > 0 {
					tally.OvervotedBallots++
				}
				if of.under > 0 {
					tally.UndervotedBallots++
				}
				for choice, n := range of.votes {
					tally.Votes[choice] += n
				}
				for at, n := range of.ranks {
					if choice, rank := at[0], at[1]; rank == 1 {
						tally.Votes[choice] += n
					} else {
						tally.Ranks[rank-2][choice] += n
					}
				}
			}
		}
		maps.DeleteFunc(want, func(at place, _ *deck.Tally) bool { return lefts[at.contest] })
		key, err := deck.Count(e, d, rules)
		require.NoError(t, err)
		got := map[place]*deck.Tally{}
		for i := range key.Tallies {
			of := &key.Tallies[i]
			got[place{of.Precinct, of.Style, of.Contest}] = of
		}
		require.Len(t, got, len(key.Tallies), "each place once")
		require.Equal(t, want, got)
		gotLeft := map[int]bool{}
		for _, l := range key.Left {
			require.NotEmpty(t, l.Why)
			gotLeft[l.Contest] = true
		}
		maps.DeleteFunc(lefts, func(_ int, is bool) bool { return !is })
		require.Equal(t, lefts, gotLeft)
		left, counted = left+len(key.Left), counted+len(key.Tallies)
	})
	t.Logf("%d tallies, %d contests left", counted, left)
	require.Greater(t, counted, left, "most is counted")
	require.Positive(t, left)
}
