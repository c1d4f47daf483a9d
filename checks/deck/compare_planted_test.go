package deck

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/results"
)

// A machine with a fault is made here: it reads the deck of the second entry with the fault, and reports
// in the words of the export. The causes are looked for with what the machine reports alone.

// fault is a fault of a machine.
type machineFault struct {
	name string
	kind []ExplanationKind // those that name it rightly
	// plant makes it; nil where the county has no place for it. precincts says that only counts by
	// precinct can show it.
	plant     func(m *machine, r *rand.Rand) []Tally
	precincts bool
}

func namedChoices(c *model.Contest) (out []int) {
	for j, ch := range c.Choices {
		if !ch.WriteIn {
			out = append(out, j)
		}
	}
	return out
}

var faults = []machineFault{
	{"two choices exchanged", []ExplanationKind{Exchanged}, func(m *machine, r *rand.Rand) []Tally {
		list := m.contests(r, func(c *model.Contest) bool { return len(namedChoices(c)) > 1 })
		if len(list) == 0 {
			return nil
		}
		choices := namedChoices(&m.e.Contests[list[0]])
		k := r.Perm(len(choices))
		return m.count(read(m.deck.Ballots, exchange(list[0], choices[k[0]], choices[k[1]])))
	}, false},
	{"two choices exchanged on one style", []ExplanationKind{Exchanged}, func(m *machine, r *rand.Rand) []Tally {
		list := m.contests(r, func(c *model.Contest) bool { return len(namedChoices(c)) > 1 })
		if len(list) == 0 {
			return nil
		}
		choices := namedChoices(&m.e.Contests[list[0]])
		k := r.Perm(len(choices))
		style := -1
		as := exchange(list[0], choices[k[0]], choices[k[1]])
		return m.count(read(m.deck.Ballots, func(b *Ballot, mark Mark) Mark {
			if style < 0 && mark.Contest == list[0] {
				style = b.Style
			}
			if b.Style == style {
				return as(b, mark)
			}
			return mark
		}))
	}, true},
	{"shifted by one", []ExplanationKind{Shifted}, func(m *machine, r *rand.Rand) []Tally {
		list := m.contests(r, func(c *model.Contest) bool { return len(c.Choices) > 3 })
		if len(list) == 0 {
			return nil
		}
		n := len(m.e.Contests[list[0]].Choices)
		return m.count(read(m.deck.Ballots, func(_ *Ballot, mark Mark) Mark {
			if mark.Contest == list[0] {
				mark.Choice = (mark.Choice + 1) % n
			}
			return mark
		}))
	}, false},
	{"rotation not applied", []ExplanationKind{Rotated}, func(m *machine, r *rand.Rand) []Tally {
		w := &comparison{e: m.e, count: newCounting(m.e, rules)}
		list := m.contests(r, func(c *model.Contest) bool { return true })
		list = slices.DeleteFunc(list, func(c int) bool { return !w.rotates(c) })
		if len(list) == 0 {
			return nil
		}
		c := list[0]
		return m.count(read(m.deck.Ballots, func(b *Ballot, mark Mark) Mark {
			if mark.Contest == c {
				for _, p := range m.e.Styles[b.Style].Content {
					if p.Contest == c && p.Order.Known {
						mark.Choice = slices.Index(p.Order.Value, mark.Choice)
					}
				}
			}
			return mark
		}))
	}, false},
	{"a line credited elsewhere", []ExplanationKind{LineElsewhere}, func(m *machine, r *rand.Rand) []Tally {
		for _, c := range m.contests(r, func(*model.Contest) bool { return true }) {
			for j, p := range persons(&m.e.Contests[c]) {
				if p != j {
					return m.count(read(m.deck.Ballots, func(_ *Ballot, mark Mark) Mark {
						if mark.Contest == c && mark.Choice == j {
							mark.Choice = p
						}
						return mark
					}))
				}
			}
		}
		return nil
	}, false},
	{"a ballot not read", []ExplanationKind{NotRead}, func(m *machine, r *rand.Rand) []Tally {
		i := m.marked(r)
		return m.count(&Deck{slices.Delete(slices.Clone(m.deck.Ballots), i, i+1)})
	}, false},
	{"a ballot read twice", []ExplanationKind{ReadTwice}, func(m *machine, r *rand.Rand) []Tally {
		return m.count(&Deck{append(slices.Clone(m.deck.Ballots), m.deck.Ballots[m.marked(r)])})
	}, false},
	{"over-votes counted", []ExplanationKind{OverCounted, WrongVoteFor}, func(m *machine, r *rand.Rand) []Tally {
		plain := func(c *model.Contest) bool { return c.Variation.Value != "rcv" && c.Variation.Value != "cumulative" }
		for _, c := range m.contests(r, plain) {
			out := m.count(m.deck)
			changed := false
			for _, b := range m.deck.Ballots {
				one := m.count(&Deck{[]Ballot{b}})
				for i := range one {
					if one[i].Contest != c || one[i].OvervotedBallots == 0 {
						continue
					}
					for k := range out {
						t := &out[k]
						if t.Contest != c || t.Precinct != b.Precinct || t.Style != b.Style {
							continue
						}
						changed = true
						t.Votes = slices.Clone(t.Votes)
						for _, mark := range b.Marks {
							if mark.Contest == c {
								t.Votes[mark.Choice]++
							}
						}
						t.Overvotes -= one[i].Overvotes
						t.OvervotedBallots--
					}
				}
			}
			if changed {
				return out
			}
		}
		return nil
	}, false},
	{"marks of a position not read", []ExplanationKind{MarkNotRead}, func(m *machine, r *rand.Rand) []Tally {
		c := m.contests(r, func(c *model.Contest) bool { return len(namedChoices(c)) > 1 })[0]
		wrong := read(m.deck.Ballots, func(_ *Ballot, mark Mark) Mark { return mark })
		for i := range wrong.Ballots {
			b := &wrong.Ballots[i]
			b.Marks = slices.DeleteFunc(b.Marks, func(k Mark) bool { return k.Contest == c && k.Choice == 0 })
		}
		return m.count(wrong)
	}, false},
	{"another vote-for", []ExplanationKind{WrongVoteFor, OverCounted}, func(m *machine, r *rand.Rand) []Tally {
		c := m.contests(r, func(c *model.Contest) bool { return c.VoteFor.Known && c.Variation.Value != "rcv" })[0]
		k, err := Count(withVoteFor(m.e, c, m.e.Contests[c].VoteFor.Value+1), m.deck, rules)
		require.NoError(m.t, err)
		return k.Tallies
	}, false},
	{"two ballots not read", []ExplanationKind{NotRead}, func(m *machine, r *rand.Rand) []Tally {
		i := m.marked(r)
		left := slices.Delete(slices.Clone(m.deck.Ballots), i, i+1)
		same := slices.IndexFunc(left, func(b Ballot) bool {
			return b.Precinct == m.deck.Ballots[i].Precinct && len(b.Marks) > 5
		})
		if same < 0 {
			return nil
		}
		return m.count(&Deck{slices.Delete(left, same, same+1)})
	}, true},
	{"a precinct's ballots counted in another", []ExplanationKind{OtherPrecinct}, func(m *machine, r *rand.Rand) []Tally {
		p, q := m.twoPrecincts(r)
		if p == q {
			return nil
		}
		out := m.count(m.deck)
		for i := range out {
			if out[i].Precinct == p {
				out[i].Precinct = q
			}
		}
		return out
	}, true},
	{"two straight-party positions exchanged", []ExplanationKind{Exchanged}, func(m *machine, _ *rand.Rand) []Tally {
		for c := range m.e.Contests {
			if m.e.Contests[c].Kind.Value == model.KindParty && len(m.e.Contests[c].Choices) > 1 {
				return m.count(read(m.deck.Ballots, exchange(c, 0, 1)))
			}
		}
		return nil
	}, false},
	{"another precinct's counts", []ExplanationKind{OtherPrecinct}, func(m *machine, r *rand.Rand) []Tally {
		p, q := m.twoPrecincts(r)
		if p == q {
			return nil
		}
		out := m.count(m.deck)
		for i := range out {
			switch t := &out[i]; t.Precinct {
			case p:
				t.Precinct = q
			case q:
				t.Precinct = p
			}
		}
		return out
	}, true},
}

func TestFaultsOfMachinesAreFoundWithTheirCause(t *testing.T) {
	if testing.Short() {
		t.Skip("counties with many faults: long; run without -short")
	}
	planted, found, right, first := 0, 0, 0, 0
	list := seeds()
	if !ci() { // all of them take some ten seconds
		list = list[:min(len(list), 3)]
	}
	for _, seed := range list {
		m := newMachine(t, seed)
		for _, byPrecinct := range []bool{true, false} {
			got := m.compare(m.report(m.key.Tallies, byPrecinct, seed%2 == 0))
			assert.Empty(t, got.Differences, "seed %d: nothing differs", seed)
			assert.Empty(t, got.Stray, "seed %d", seed)
			for _, f := range faults {
				if f.precincts && !byPrecinct {
					continue
				}
				tallies := f.plant(m, rand.New(rand.NewPCG(seed, 18)))
				if tallies == nil {
					continue
				}
				name := fmt.Sprintf("seed %d, %s, by precinct %v", seed, f.name, byPrecinct)
				r := m.report(tallies, byPrecinct, seed%2 == 0)
				got := m.compare(r)
				planted++
				if !assert.NotEmpty(t, got.Differences, name) {
					continue
				}
				found++
				bare, err := Compare(m.e, "key.csv", m.key.Rows(m.e), []*results.Results{r},
					CompareOptions{})
				require.NoError(t, err)
				assert.NotEmpty(t, bare.Differences, "%s: without the deck", name)
				rightly := func(c Explanation) bool { return slices.Contains(f.kind, c.Kind) }
				ok := len(got.Differences) == 1 && slices.ContainsFunc(got.Differences[0].Causes, rightly)
				if ok {
					right++
				} else {
					t.Logf("%s: %d differences", name, len(got.Differences))
					for _, d := range got.Differences[:min(3, len(got.Differences))] {
						t.Logf("   %+v %+v %v", d.Cells, d.Causes, choiceNames(m.e, d.Cells[0].Contest))
					}
				}
				if ok && slices.Contains(f.kind, got.Differences[0].Causes[0].Kind) {
					first++
				}
			}
		}
	}
	t.Logf("%d planted, %d found, %d with one difference and the cause named, %d named first", planted, found, right,
		first)
	assert.Equal(t, planted, found)
	assert.GreaterOrEqual(t, float64(right), 0.95*float64(planted))
}

func TestFaultsInTwoContestsAreTwoDifferences(t *testing.T) {
	for seed := range uint64(3) {
		m := newMachine(t, seed)
		list := m.contests(rand.New(rand.NewPCG(seed, 3)), func(c *model.Contest) bool { return len(namedChoices(c)) > 2 })
		a, b := list[0], list[1]
		n := len(m.e.Contests[b].Choices)
		as := exchange(a, 0, 1)
		wrong := read(m.deck.Ballots, func(ballot *Ballot, mark Mark) Mark {
			if mark.Contest == b {
				mark.Choice = (mark.Choice + 1) % n
			}
			return as(ballot, mark)
		})
		for _, byPrecinct := range []bool{true, false} {
			got := m.compare(m.report(m.count(wrong), byPrecinct, false))
			require.Len(t, got.Differences, 2, seed)
			kinds := map[int]ExplanationKind{}
			for _, d := range got.Differences {
				require.NotEmpty(t, d.Causes, seed)
				kinds[d.Cells[0].Contest] = d.Causes[0].Kind
			}
			assert.Equal(t, map[int]ExplanationKind{a: Exchanged, b: Shifted}, kinds, seed)
		}
	}
}
