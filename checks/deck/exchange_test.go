package deck

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// The faults of this file are made on the deck, as the machine would read it, and counted. Nothing here
// asks what lint says.

// read returns the ballots as a machine reads them that takes each mark for another.
func read(ballots []Ballot, as func(b *Ballot, m Mark) Mark) *Deck {
	out := &Deck{Ballots: slices.Clone(ballots)}
	for i := range out.Ballots {
		b := &out.Ballots[i]
		b.Marks = slices.Clone(b.Marks)
		for k, m := range b.Marks {
			b.Marks[k] = as(b, m)
		}
	}
	return out
}

// exchange takes the marks of two choices of a contest for each other's.
func exchange(c, x, y int) func(*Ballot, Mark) Mark {
	return func(_ *Ballot, m Mark) Mark {
		switch {
		case m.Contest != c:
		case m.Choice == x:
			m.Choice = y
		case m.Choice == y:
			m.Choice = x
		}
		return m
	}
}

// totalsOf are the votes of each contest's choices, all styles and precincts together: what every
// machine prints.
func totalsOf(t *testing.T, e *model.Election, d *Deck) map[int][]int {
	t.Helper()
	key, err := Count(e, d, rules)
	require.NoError(t, err)
	out := map[int][]int{}
	for at, votes := range votesOf(key) {
		if out[at[1]] == nil {
			out[at[1]] = make([]int, len(votes))
		}
		for j, v := range votes {
			out[at[1]][j] += v
		}
	}
	return out
}

func same(a, b map[int][]int) bool { return maps.EqualFunc(a, b, slices.Equal[[]int]) }

// byStyle are the ballots of each style.
func byStyle(d *Deck) map[int][]Ballot {
	out := map[int][]Ballot{}
	for _, b := range d.Ballots {
		out[b.Style] = append(out[b.Style], b)
	}
	return out
}

func designed1(t *testing.T, e *model.Election, seed uint64) *Deck {
	t.Helper()
	d, err := Make(e, Options{Seed: seed, Rules: rules})
	require.NoError(t, err)
	return &d.Deck
}

func TestExchangingTwoPositionsIsNeverInvisibleInADesignedDeck(t *testing.T) {
	if testing.Short() {
		t.Skip("generated counties: long; run without -short")
	}
	for _, seed := range seeds() {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			e := smallCounty(seed)
			d := designed1(t, e, seed)
			exchanges := 0
			// On one style alone.
			for s, ballots := range byStyle(d) {
				if !sampled(s) {
					continue
				}
				right := totalsOf(t, e, &Deck{Ballots: ballots})
				for _, at := range e.Styles[s].Content {
					for y := range e.Contests[at.Contest].Choices {
						for x := range y {
							exchanges++
							assert.False(t, same(right, totalsOf(t, e, read(ballots, exchange(at.Contest, x, y)))),
								"style %d, contest %d: %d and %d", s, at.Contest, x, y)
						}
					}
				}
			}
			// On all styles.
			right := totalsOf(t, e, d)
			for c := range e.Contests {
				if !sampled(c) {
					continue
				}
				for y := range e.Contests[c].Choices {
					for x := range y {
						exchanges++
						assert.False(t, same(right, totalsOf(t, e, read(d.Ballots, exchange(c, x, y)))),
							"contest %d: %d and %d", c, x, y)
					}
				}
			}
			assert.Greater(t, exchanges, 300)
		})
	}
}

func TestExchangingTwoContestsIsNeverInvisibleInADesignedDeck(t *testing.T) {
	for _, seed := range seeds() {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			e := smallCounty(seed)
			d := designed1(t, e, seed)
			for s, ballots := range byStyle(d) {
				if !sampled(s) {
					continue
				}
				right := totalsOf(t, e, &Deck{Ballots: ballots})
				content := e.Styles[s].Content
				for i := range content {
					for j := range i {
						c1, c2 := content[i].Contest, content[j].Contest
						if len(e.Contests[c1].Choices) != len(e.Contests[c2].Choices) || variation(e, c1) != variation(e, c2) {
							continue
						}
						wrong := read(ballots, func(_ *Ballot, m Mark) Mark {
							switch m.Contest {
							case c1:
								m.Contest = c2
							case c2:
								m.Contest = c1
							}
							return m
						})
						assert.False(t, same(right, totalsOf(t, e, wrong)), "style %d: contests %d and %d", s, c1, c2)
					}
				}
			}
		})
	}
}

func variation(e *model.Election, c int) string { return e.Contests[c].Variation.Value }

func TestExchangingTwoPrecinctsIsNeverInvisibleInADesignedDeck(t *testing.T) {
	for _, seed := range seeds() {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			e := smallCounty(seed)
			d := designed1(t, e, seed)
			key, err := Count(e, d, rules)
			require.NoError(t, err)
			rows := map[int]map[int][]int{} // by precinct and contest
			styles := map[[2]int]map[int][]int{}
			for _, tally := range key.Tallies {
				votes := slices.Concat(append(slices.Clone(tally.Ranks), tally.Votes)...)
				p := tally.Precinct
				if rows[p] == nil {
					rows[p] = map[int][]int{}
				}
				if rows[p][tally.Contest] == nil {
					rows[p][tally.Contest] = make([]int, len(votes))
				}
				for j, v := range votes {
					rows[p][tally.Contest][j] += v
				}
				at := [2]int{tally.Style, p}
				if styles[at] == nil {
					styles[at] = map[int][]int{}
				}
				styles[at][tally.Contest] = votes
			}
			require.Len(t, rows, len(e.Precincts), "each precinct has ballots")
			for p := range e.Precincts {
				for q := range p {
					assert.False(t, same(rows[p], rows[q]), "precincts %d and %d count the same", p, q)
				}
			}
			for s := range e.Styles { // on the ballots of one party alone
				for i, p := range e.Styles[s].Precincts {
					for _, q := range e.Styles[s].Precincts[:i] {
						assert.False(t, same(styles[[2]int{s, p}], styles[[2]int{s, q}]), "style %d, precincts %d and %d", s, p, q)
					}
				}
			}
		})
	}
}

func TestRotatedBallotsAreToldApartFromUnrotatedOnes(t *testing.T) {
	rotated := 0
	for seed := range uint64(15) {
		e := smallCounty(seed)
		d := designed1(t, e, seed)
		all := totalsOf(t, e, d)
		everywhere := map[int]bool{}              // contests that rotate somewhere
		asKeyed := func(b *Ballot, m Mark) Mark { // the machine takes the place on paper for the position as keyed
			for _, at := range e.Styles[b.Style].Content {
				if at.Contest == m.Contest && at.Order.Known {
					m.Choice = slices.Index(at.Order.Value, m.Choice)
				}
			}
			return m
		}
		for s, ballots := range byStyle(d) {
			right := totalsOf(t, e, &Deck{Ballots: ballots})
			wrong := totalsOf(t, e, read(ballots, asKeyed))
			for _, at := range e.Styles[s].Content {
				if at.Order.Known && !slices.IsSorted(at.Order.Value) {
					rotated++
					everywhere[at.Contest] = true
					assert.NotEqual(t, right[at.Contest], wrong[at.Contest], "seed %d, style %d, contest %d", seed, s, at.Contest)
				}
			}
		}
		wrong := totalsOf(t, e, read(d.Ballots, asKeyed))
		for c := range everywhere {
			assert.NotEqual(t, all[c], wrong[c], "seed %d: contest %d is rotated nowhere", seed, c)
		}
	}
	assert.Greater(t, rotated, 50, "the counties hold rotated ballots")
}

func TestAnotherVoteForShowsInADesignedDeck(t *testing.T) {
	for _, seed := range seeds() {
		e := smallCounty(seed)
		d := designed1(t, e, seed)
		right := totalsOf(t, e, d)
		for c := range e.Contests {
			if !sampled(c) || variation(e, c) == "rcv" {
				continue
			}
			people := newCounting(e, rules).contests[c].people()
			of := e.Contests[c].VoteFor.Value
			for other := 1; other <= len(e.Contests[c].Choices); other++ {
				if other == of || min(other, of) >= people { // no ballot has marks for more people than there are
					continue
				}
				wrong := e.Clone()
				wrong.Contests[c].VoteFor = model.Say(other)
				assert.NotEqual(t, right[c], totalsOf(t, wrong, d)[c], "seed %d, contest %d: vote for %d taken for %d", seed, c,
					of, other)
			}
		}
	}
}

// sampled leaves out most things of a kind, to be quick; with CI set, half.
func sampled(i int) bool { return i%7 == 0 || ci() && i%2 == 0 }
