package deck

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/planted"
	"counterproof/model"
	"counterproof/model/results"
)

// machine is a county with its deck.
type machine struct {
	t      *testing.T
	county *planted.County
	e      *model.Election
	deck   *Deck
	key    *Key
}

func (m *machine) count(d *Deck) []Tally {
	k, err := Count(m.e, d, rules)
	require.NoError(m.t, err)
	return k.Tallies
}

func newMachine(t *testing.T, seed uint64) *machine {
	shape := planted.ShapeOf(seed)
	shape.Precincts = 42
	c := planted.New(seed, shape)
	variation := map[string]model.Stated[string]{}
	for i, key := range c.Primary.Keys.Contests {
		variation[key] = c.Primary.Contests[i].Variation
	}
	for i, key := range c.Second.Keys.Contests {
		c.Second.Contests[i].Variation = variation[key]
	}
	m := &machine{t: t, county: c, e: c.Second.Election}
	d, err := Make(m.e, Options{Seed: seed, Rules: rules})
	require.NoError(t, err)
	m.deck = &d.Deck
	m.key, err = Count(m.e, m.deck, rules)
	require.NoError(t, err)
	return m
}

// contests are those that fit and are counted, in random order.
func (m *machine) contests(r *rand.Rand, fits func(c *model.Contest) bool) (out []int) {
	for _, c := range r.Perm(len(m.e.Contests)) {
		counted := slices.ContainsFunc(m.key.Tallies, func(t Tally) bool { return t.Contest == c })
		if counted && m.e.Contests[c].Kind.Value != model.KindParty && fits(&m.e.Contests[c]) {
			out = append(out, c)
		}
	}
	return out
}

// twoPrecincts are two that get the same ballot; the same one where no two do.
func (m *machine) twoPrecincts(r *rand.Rand) (p, q int) {
	for range 500 {
		a := m.key.Tallies[r.IntN(len(m.key.Tallies))]
		b := m.key.Tallies[r.IntN(len(m.key.Tallies))]
		if a.Style == b.Style && a.Precinct != b.Precinct {
			return a.Precinct, b.Precinct
		}
	}
	return 0, 0
}

// marked is a ballot that has votes: results that give votes alone cannot show another.
func (m *machine) marked(r *rand.Rand) int {
	for {
		i := r.IntN(len(m.deck.Ballots))
		if slices.ContainsFunc(m.count(&Deck{m.deck.Ballots[i : i+1]}), func(t Tally) bool {
			return slices.ContainsFunc(t.Votes, func(n int) bool { return n > 0 })
		}) {
			return i
		}
	}
}

// report says tallies in the words of the export: by precinct, or in totals of the whole county; with
// over-votes, under-votes and ballots, or with votes alone.
func (m *machine) report(tallies []Tally, byPrecinct, votesAlone bool) *results.Results {
	p := m.county.Primary
	s := m.county.Second
	index := func(list []string) map[string]int {
		out := map[string]int{}
		for i, k := range list {
			out[k] = i
		}
		return out
	}
	contests, precincts := index(p.Keys.Contests), index(p.Keys.Precincts)
	type place struct{ precinct, contest int }
	at := map[place]int{}
	out := &results.Results{Name: "results.xml", Election: p.Election}
	for i := range tallies {
		t := &tallies[i]
		c := contests[s.Keys.Contests[t.Contest]]
		to := place{-1, c}
		if byPrecinct {
			to.precinct = precincts[s.Keys.Precincts[t.Precinct]]
		}
		k, ok := at[to]
		if !ok {
			k = len(out.Tallies)
			at[to] = k
			r := results.Tally{Unit: -1, Contest: c, Votes: make([]model.Stated[int], len(p.Contests[c].Choices))}
			if byPrecinct {
				r.Precincts = []int{to.precinct}
			}
			for range t.Ranks {
				r.Ranks = append(r.Ranks, make([]model.Stated[int], len(r.Votes)))
			}
			out.Tallies = append(out.Tallies, r)
		}
		r := &out.Tallies[k]
		choices := index(p.Keys.Choices[c])
		add := func(to *model.Stated[int], n int) { *to = model.Say(to.Value + n) }
		for j, n := range t.Votes {
			add(&r.Votes[choices[s.Keys.Choices[t.Contest][j]]], n)
			for rank := range t.Ranks {
				add(&r.Ranks[rank][choices[s.Keys.Choices[t.Contest][j]]], t.Ranks[rank][j])
			}
		}
		if !votesAlone {
			add(&r.Overvotes, t.Overvotes)
			add(&r.Undervotes, t.Undervotes)
			add(&r.Ballots, t.Ballots)
		}
	}
	return out
}

func (m *machine) compare(r *results.Results) *Compared {
	got, err := Compare(m.e, "key.csv", m.key.Rows(m.e), []*results.Results{r}, CompareOptions{Deck: m.deck, Rules: rules})
	require.NoError(m.t, err)
	return got
}
