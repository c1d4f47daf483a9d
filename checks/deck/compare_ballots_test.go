package deck

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/results"
)

// records are the cast vote records of a machine that read a deck, in the words of the export.
func (m *machine) records(d *Deck, numbered bool) *results.Results {
	p, s := m.county.Primary, m.county.Second
	at := func(list []string, key string) int { return slices.Index(list, key) }
	out := m.report(m.count(d), true, false)
	for i, b := range d.Ballots {
		r := results.Ballot{Precinct: at(p.Keys.Precincts, s.Keys.Precincts[b.Precinct]), Unit: -1, Line: i + 1}
		if numbered {
			r.Number = strconv.Itoa(b.Number)
		}
		for _, t := range m.count(&Deck{[]Ballot{b}}) {
			c := at(p.Keys.Contests, s.Keys.Contests[t.Contest])
			v := &results.Votes{Contest: c, Choices: make([]int, len(p.Contests[c].Choices)), Overvotes: model.Say(t.Overvotes),
				Undervotes: model.Say(t.Undervotes)}
			place := func(j int) int { return at(p.Keys.Choices[c], s.Keys.Choices[t.Contest][j]) }
			for j, n := range t.Votes {
				v.Choices[place(j)] = n
			}
			for _, rank := range t.Ranks {
				moved := make([]int, len(v.Choices))
				for j, n := range rank {
					moved[place(j)] = n
				}
				v.Ranks = append(v.Ranks, moved)
			}
			r.Votes = append(r.Votes, v)
		}
		out.Ballots = append(out.Ballots, r)
	}
	out.Records = len(out.Ballots)
	return out
}

func TestRecordsAreComparedBallotByBallot(t *testing.T) {
	if testing.Short() {
		t.Skip("counties with many faults: long; run without -short")
	}
	list := seeds()
	most := 2 // of some two seconds each
	if ci() {
		most = 8
	}
	list = list[:min(len(list), most)]
	for _, seed := range list {
		m := newMachine(t, seed)
		r := rand.New(rand.NewPCG(seed, 7))
		for _, numbered := range []bool{true, false} {
			name := fmt.Sprintf("seed %d, numbered %v", seed, numbered)
			got := m.compare(m.records(m.deck, numbered))
			assert.Equal(t, len(m.deck.Ballots), got.Ballots.Same, name)
			assert.Empty(t, got.Ballots.Differ, name)
			assert.True(t, got.Agree(), name)
			assert.Equal(t, numbered, got.Ballots.ByNumber)

			// One ballot is recorded with another choice in one contest: so little shows in no total that is
			// given, if another ballot of the precinct has the opposite. The record shows it.
			i := m.marked(r)
			wrong := read(m.deck.Ballots, func(b *Ballot, mark Mark) Mark { return mark })
			c := m.marksAlone(&wrong.Ballots[i])
			if c >= 0 {
				got = m.compare(m.records(wrong, numbered))
				require.Len(t, got.Ballots.Differ, 1, name)
				d := got.Ballots.Differ[0]
				assert.Contains(t, d.Contests, c, name)
				if numbered {
					assert.Equal(t, m.deck.Ballots[i].Number, d.Number, name)
				}
				assert.False(t, got.Agree())
				assert.Zero(t, got.Ballots.Apart, name)
			}

			// A ballot without a record, and one with two.
			got = m.compare(m.records(&Deck{slices.Delete(slices.Clone(m.deck.Ballots), i, i+1)}, numbered))
			require.Len(t, got.Ballots.Differ, 1, name)
			assert.Empty(t, got.Ballots.Differ[0].File)
			got = m.compare(m.records(&Deck{append(slices.Clone(m.deck.Ballots), m.deck.Ballots[i])}, numbered))
			require.Len(t, got.Ballots.Differ, 1, name)
			assert.Equal(t, len(m.deck.Ballots)+1, got.Ballots.Differ[0].Line, name)
		}
	}
}

// marksAlone removes the marks of a ballot in one contest that it votes in, and returns the contest; -1
// where no contest changes alone.
func (m *machine) marksAlone(b *Ballot) int {
	for _, t := range m.count(&Deck{[]Ballot{*b}}) {
		if m.e.Contests[t.Contest].Kind.Value == model.KindParty || t.Contest != b.Marks[0].Contest {
			continue
		}
		b.Marks = slices.DeleteFunc(slices.Clone(b.Marks), func(k Mark) bool { return k.Contest == t.Contest })
		return t.Contest
	}
	return -1
}

// Two ballots of one precinct whose records were exchanged in one contest: no total shows it.
func TestARecordThatNoTotalShowsIsFound(t *testing.T) {
	m := newMachine(t, 0)
	var a, b, contest = -1, -1, -1
	for i := range m.deck.Ballots {
		for j := range i {
			x, y := &m.deck.Ballots[i], &m.deck.Ballots[j]
			if contest < 0 && x.Precinct == y.Precinct && x.Style == y.Style && len(x.Marks) > 0 && len(y.Marks) > 3 &&
				x.Marks[0].Contest == y.Marks[0].Contest && x.Marks[0].Choice != y.Marks[0].Choice {
				a, b, contest = i, j, x.Marks[0].Contest
			}
		}
	}
	require.GreaterOrEqual(t, contest, 0)
	wrong := read(m.deck.Ballots, func(_ *Ballot, mark Mark) Mark { return mark })
	own := func(b *Ballot) (in, out []Mark) {
		for _, k := range b.Marks {
			if k.Contest == contest {
				in = append(in, k)
			} else {
				out = append(out, k)
			}
		}
		return in, out
	}
	x, y := &wrong.Ballots[a], &wrong.Ballots[b]
	xIn, xOut := own(x)
	yIn, yOut := own(y)
	x.Marks, y.Marks = append(yIn, xOut...), append(xIn, yOut...)
	got := m.compare(m.records(wrong, true))
	require.Len(t, got.Differences, 1)
	assert.Empty(t, got.Differences[0].Cells)
	assert.Len(t, got.Differences[0].Ballots, 2)
	assert.False(t, got.Agree())
	assert.Equal(t, 2, got.Ballots.Apart)
	require.Len(t, got.Ballots.Differ, 2)
	assert.ElementsMatch(t, []int{m.deck.Ballots[a].Number, m.deck.Ballots[b].Number},
		[]int{got.Ballots.Differ[0].Number, got.Ballots.Differ[1].Number})
}

// A key by unit, where several units are fed the same ballots: each unit's records are compared with what it
// is fed, by number and without.
func TestRecordsOfSeveralUnits(t *testing.T) {
	for seed := range uint64(15) {
		m := newMachine(t, seed)
		if len(m.e.Units) < 2 || len(m.county.Primary.Units) < 2 {
			continue
		}
		tallies, _, err := m.key.ByUnit(m.e)
		require.NoError(t, err)
		for _, numbered := range []bool{true, false} {
			whole := &results.Results{Name: "units.xml", Election: m.county.Primary.Election}
			for u := range m.e.Units {
				var fed Deck
				for _, b := range m.deck.Ballots {
					if slices.Contains(m.e.Units[u].Precincts.Value, b.Precinct) {
						fed.Ballots = append(fed.Ballots, b)
					}
				}
				at := slices.Index(m.county.Primary.Keys.Units, m.county.Second.Keys.Units[u])
				r := m.records(&fed, numbered)
				for i := range r.Tallies {
					r.Tallies[i].Unit = at
				}
				for i := range r.Ballots {
					r.Ballots[i].Unit = at
				}
				whole.Tallies, whole.Ballots = append(whole.Tallies, r.Tallies...), append(whole.Ballots, r.Ballots...)
			}
			whole.Records = len(whole.Ballots)
			compare := func(r *results.Results) *Compared {
				got, err := Compare(m.e, "key.csv", Rows(m.e, tallies), []*results.Results{r},
					CompareOptions{Deck: m.deck, Rules: rules})
				require.NoError(t, err)
				return got
			}
			got := compare(whole)
			assert.Empty(t, got.Differences, numbered)
			assert.Empty(t, got.Ballots.Differ, numbered)
			assert.Equal(t, len(whole.Ballots), got.Ballots.Same)
			assert.Equal(t, numbered, got.Ballots.ByNumber)
			// The records of one unit lack a ballot.
			last := len(whole.Ballots) - 1
			less := *whole
			less.Ballots, less.Records = whole.Ballots[:last], last
			got = compare(&less)
			require.Len(t, got.Ballots.Differ, 1)
			assert.Empty(t, got.Ballots.Differ[0].File)
		}
		return
	}
	t.Fatal("no county has units")
}

// A contest of the results that pairs with nothing may be the one of the deck that pairs with nothing: the
// ballots are not compared in it, and that is said. Where nothing of the results is left over, the machine
// recorded no votes in it.
func TestRecordsAreComparedInTheContestsThatPair(t *testing.T) {
	m := newMachine(t, 1)
	for _, numbered := range []bool{true, false} {
		r := m.records(m.deck, numbered)
		lost := len(r.Election.Contests) - 1
		voted := 0
		for i := range r.Ballots {
			r.Ballots[i].Votes = slices.DeleteFunc(r.Ballots[i].Votes, func(v *results.Votes) bool {
				if v.Contest == lost && slices.Max(v.Choices) > 0 {
					voted++
				}
				return v.Contest == lost
			})
		}
		require.NotZero(t, voted)
		r.Tallies = slices.DeleteFunc(r.Tallies, func(x results.Tally) bool { return x.Contest == lost })
		e := *r.Election
		e.Contests = slices.Clone(e.Contests[:lost])
		e.Origins.Contests = nil
		e.Styles = slices.Clone(e.Styles)
		for s := range e.Styles {
			e.Styles[s].Content = slices.DeleteFunc(slices.Clone(e.Styles[s].Content),
				func(p model.Placement) bool { return p.Contest == lost })
		}
		r.Election = &e
		got := m.compare(r)
		assert.Len(t, got.Ballots.Differ, voted, numbered)
		assert.Empty(t, got.Ballots.LeftOut)

		e.Contests = append(e.Contests, model.Contest{Title: model.Say(model.Plain("Sewer bond of another town")),
			Kind: model.Say(model.KindMeasure), Choices: []model.Choice{{Name: model.Say(model.Plain("Aye"))}}})
		got = m.compare(r)
		assert.Empty(t, got.Ballots.Differ, numbered)
		assert.Equal(t, len(m.deck.Ballots), got.Ballots.Same)
		assert.Len(t, got.Ballots.LeftOut, 1)
		assert.Contains(t, got.Summary(m.e),
			"NOT COMPARED ballot by ballot: 1 contest that no contest of the records pairs with.")
	}
}
