package deck

import (
	"fmt"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/planted"
	"counterproof/model"
)

// county is the second entry of a generated county, with the variations that its sheets leave out.
func county(seed uint64, shape planted.Shape) *model.Election {
	c := planted.New(seed, shape)
	variation := map[string]model.Stated[string]{}
	for i, key := range c.Primary.Keys.Contests {
		variation[key] = c.Primary.Contests[i].Variation
	}
	for i, key := range c.Second.Keys.Contests {
		c.Second.Contests[i].Variation = variation[key]
	}
	return c.Second.Election
}

// seeds are the generated counties that a test goes through: general elections with and without fusion
// and straight parties, a closed and an open primary. With CI set, many more.
func seeds() []uint64 {
	if testing.Short() {
		return []uint64{1, 2, 6}
	}
	if !ci() {
		return []uint64{0, 1, 2, 4, 6, 11}
	}
	list := make([]uint64, 30)
	for i := range list {
		list[i] = uint64(i)
	}
	return list
}

func ci() bool { return os.Getenv("CI") == "true" }

// smallCounty keeps the shape of a seed and takes fewer precincts: the ballots differ by district, and
// a deck for hundreds of precincts only takes longer to count.
func smallCounty(seed uint64) *model.Election {
	shape := planted.ShapeOf(seed)
	shape.Precincts = 42
	return county(seed, shape)
}

// rules are those by which the decks of the tests are counted.
var rules = Rules{StraightParty: FillUnmarked}

// votesOf are the votes of each position (first choices, then further ranks), by style and contest.
func votesOf(key *Key) map[[2]int][]int {
	out := map[[2]int][]int{}
	for _, t := range key.Tallies {
		at := [2]int{t.Style, t.Contest}
		votes := slices.Clone(t.Votes)
		for _, r := range t.Ranks {
			votes = append(votes, r...)
		}
		if out[at] == nil {
			out[at] = make([]int, len(votes))
		}
		for j, v := range votes {
			out[at][j] += v
		}
	}
	return out
}

func TestInADesignedDeckEachPositionOfEachStyleHasItsOwnTotal(t *testing.T) {
	for _, seed := range seeds() {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			e := smallCounty(seed)
			d, err := Make(e, Options{Seed: seed, Rules: rules})
			require.NoError(t, err)
			key, err := Count(e, &d.Deck, rules)
			require.NoError(t, err)
			require.Empty(t, key.Left)
			votes := votesOf(key)
			for s := range e.Styles {
				for _, at := range e.Styles[s].Content {
					k := len(e.Contests[at.Contest].Choices)
					got := votes[[2]int{s, at.Contest}][:k]
					assert.True(t, distinct(got) && !slices.Contains(got, 0), "style %d, %s: %v", s,
						e.Contests[at.Contest].Title.Value.In(""), got)
				}
			}
			over, blank := map[[2]int]int{}, map[int]bool{}
			for _, tally := range key.Tallies {
				over[[2]int{tally.Style, tally.Contest}] += tally.OvervotedBallots
			}
			for _, b := range d.Deck.Ballots {
				blank[b.Style] = blank[b.Style] || len(b.Marks) == 0
			}
			limited := map[int]bool{}
			for _, u := range d.Limits {
				limited[u.Contest] = true
			}
			for s := range e.Styles {
				assert.True(t, blank[s], "style %d has no blank ballot", s)
				for _, at := range e.Styles[s].Content {
					assert.True(t, over[[2]int{s, at.Contest}] > 0 || limited[at.Contest], "style %d, %s has no over-vote", s,
						e.Contests[at.Contest].Title.Value.In(""))
				}
			}
			ballots, least := 0, 0
			for _, s := range d.Styles {
				ballots, least = ballots+s.Ballots, least+max(s.Least, s.Precincts)
				assert.GreaterOrEqual(t, s.Ballots, s.Least)
			}
			assert.Len(t, d.Deck.Ballots, ballots)
			t.Logf("%d styles, %d ballots, at least %d", len(d.Styles), ballots, least)
		})
	}
}
