package baseline_test

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/checks/internal/planted"
	"counterproof/model"
)

// Every change that can be planted in an export is said in words for people: what came or
// went as such, both values of what is another, and of the election only what is its own.
func TestEveryChangeHasItsWords(t *testing.T) {
	if testing.Short() {
		t.Skip("every kind planted: long; run without -short")
	}
	begins := regexp.MustCompile(`^(the |unit |precinct |polling site |a |references |party |district |")`)
	said := 0
	look := func(second, before, after *model.Election, where string) {
		list := values(second, before, after)
		own := values(second, second)[0]
		for _, g := range baseline.Groups(own, list[0], list[1], baseline.Diff(list[0], list[1])) {
			said++
			require.Regexp(t, begins, g.Words, where)
			require.NotContains(t, g.Words, "from nothing to nothing", where)
			require.NotContains(t, g.Words, "\x1f", where)
			ofElection := g.Changes[0].Thing == finding.Election
			require.Equal(t, ofElection, strings.HasSuffix(strings.Split(g.Words, " changed from ")[0], "of the election"),
				"%s: %s", where,
				g.Words)
		}
	}
	for i, kind := range planted.Kinds() {
		if kind.Side != "primary" || testing.Short() && i%3 > 0 { // each takes four comparisons
			continue
		}
		for seed, tried := uint64(1), 0; seed <= 40 && tried < countiesOfAKind(); seed++ {
			county := planted.New(seed, shapeOf(seed))
			before := county.Primary.Election.Clone()
			if kind.Plant(rand.New(rand.NewPCG(seed, 5)), county, &planted.Claims{}, "") == nil {
				continue
			}
			tried++
			look(county.Second.Election, before, county.Primary.Election, kind.Name)
			look(county.Second.Election, county.Primary.Election, before, kind.Name+", undone")
		}
	}
	require.Greater(t, said, 100)
}

// What points at nothing is counted, and says so in both directions.
func TestReferencesToNothingAreCounted(t *testing.T) {
	county := planted.New(1, planted.ShapeOf(1))
	with := func(n int) *model.Election {
		e := county.Primary.Election.Clone()
		for range n {
			e.Origins.Dangling = append(e.Origins.Dangling,
				model.Dangling{From: "BallotStyle b1", Field: "GpUnitIds", To: "gp-99"})
		}
		return e
	}
	words := func(before, after int) []string {
		list := values(county.Second.Election, with(before), with(after))
		var out []string
		for _, g := range baseline.Groups(values(county.Second.Election, county.Second.Election)[0], list[0], list[1],
			baseline.Diff(list[0], list[1])) {
			out = append(out, g.Words)
		}
		return out
	}
	require.Equal(t, []string{"references to nothing in BallotStyle.GpUnitIds changed from 0 to 6"}, words(0, 6))
	require.Equal(t, []string{"references to nothing in BallotStyle.GpUnitIds changed from 6 to 0"}, words(6, 0))
	require.Equal(t, []string{"references to nothing in BallotStyle.GpUnitIds changed from 2 to 6"}, words(2, 6))
}
