package baseline_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/checks/internal/planted"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// seeds are those of the counties, with their shapes.
func counties(t *testing.T, visit func(c *planted.County)) {
	t.Helper()
	n := uint64(6)
	switch {
	case testing.Short():
		n = 2
	case os.Getenv("CI") == "true":
		n = 12
	}
	for seed := range n {
		visit(planted.New(seed+1, shapeOf(seed+1)))
	}
}

// shapeOf is the shape of a county; in the short run it is a small one.
func shapeOf(seed uint64) planted.Shape {
	shape := planted.ShapeOf(seed)
	if testing.Short() {
		shape.Precincts = min(shape.Precincts, 40)
	}
	return shape
}

// countiesOfAKind is in how many counties a mistake of each kind is planted.
func countiesOfAKind() int {
	if os.Getenv("CI") == "true" {
		return 2
	}
	return 1
}

// values of exports in sequence, as a case reads them: through one second entry.
func values(second *model.Election, exports ...*model.Election) []*baseline.Values {
	var out []*baseline.Values
	var names []*baseline.Named
	for _, e := range exports {
		var earlier []*baseline.Named
		if n := len(names); n > 0 {
			earlier = append(earlier, names[n-1], names[0])
		}
		v, n := baseline.Of(pairing.Of(e, second, "", nil), earlier...)
		out, names = append(out, v), append(names, n)
	}
	return out
}

func subjects(list []baseline.Change) []string {
	var out []string
	for _, c := range list {
		for _, p := range append([]string{}, orOne(c.Precincts)...) {
			out = append(out, fmt.Sprintf("%s/%s/%s/%s/%s/%s %q→%q %s", c.Thing, c.ID, c.Part, c.Field, c.Language, c.Member,
				c.Before, c.After, p))
		}
	}
	slices.Sort(out)
	return out
}

func orOne(list []string) []string {
	if len(list) == 0 {
		return []string{""}
	}
	return list
}

// What means nothing is no change: another order of lists, other identifiers, ballots
// shared out among styles otherwise.
func TestAnExportThatSaysTheSameChangesNothing(t *testing.T) {
	same := []string{"everything in the export in another order",
		"choices in another order in the file, ballots stating theirs",
		"other identifiers in the export", "party lines of a choice in another order", "decomposed letters in the export",
		"persons named otherwise on both sides", "one style per precinct in the export"}
	tried := 0
	counties(t, func(c *planted.County) {
		for _, v := range planted.Variants() {
			if !slices.Contains(same, v.Name) {
				continue
			}
			after, _, ok, err := v.Change(c)
			require.NoError(t, err)
			if !ok {
				continue
			}
			tried++
			for name, second := range map[string]*model.Election{"all keyed": c.Second.Election, "nothing keyed": {}} {
				list := values(second, c.Primary.Election, after)
				require.Empty(t, subjects(baseline.Diff(list[0], list[1])), "seed %d, %s, %s", c.Seed, v.Name, name)
			}
		}
	})
	require.Greater(t, tried, 10)
}

// Every mistake that can be planted in an export is a change, whatever was keyed.
func TestEveryPlantedMistakeIsAChange(t *testing.T) {
	for i, kind := range planted.Kinds() {
		if kind.Side != "primary" || testing.Short() && i%3 > 0 { // each takes two comparisons of values
			continue
		}
		tried, most := 0, countiesOfAKind()
		for seed := uint64(1); seed <= 40 && tried < most; seed++ {
			county := planted.New(seed, shapeOf(seed))
			before := county.Primary.Election.Clone()
			if kind.Plant(rand.New(rand.NewPCG(seed, 5)), county, &planted.Claims{}, "") == nil {
				continue
			}
			tried++
			for name, second := range map[string]*model.Election{"all keyed": county.Second.Election, "nothing keyed": {}} {
				list := values(second, before, county.Primary.Election)
				require.NotEmpty(t, baseline.Diff(list[0], list[1]), "seed %d, %s, %s", seed, kind.Name, name)
			}
		}
		require.NotZero(t, tried, "no county has a place for %q", kind.Name)
	}
}

// What is taken over is what was accepted: afterwards exactly the rest differs.
func TestWhatIsTakenOverIsWhatWasAccepted(t *testing.T) {
	merged := 0
	counties(t, func(county *planted.County) {
		c := county
		kinds := planted.Kinds()
		r := rand.New(rand.NewPCG(c.Seed, 77))
		for range 12 {
			other := c.Clone()
			claims := &planted.Claims{}
			for range 1 + r.IntN(5) {
				kinds[r.IntN(len(kinds))].Plant(r, other, claims, "")
			}
			list := values(c.Second.Election, c.Primary.Election, other.Primary.Election)
			before, after := list[0], list[1]
			changes := baseline.Diff(before, after)
			if len(changes) == 0 {
				continue
			}
			merged++
			all := baseline.Merge(before, after, func(*baseline.Change, string) bool { return true })
			require.Empty(t, subjects(baseline.Diff(all, after)), "seed %d", c.Seed)
			none := baseline.Merge(before, after, func(*baseline.Change, string) bool { return false })
			require.Empty(t, subjects(baseline.Diff(before, none)), "seed %d", c.Seed)

			salt := r.Uint64()
			chosen := func(c *baseline.Change, precinct string) bool {
				return rand.New(rand.NewPCG(salt, hash(subjects([]baseline.Change{*c})[0]+precinct))).IntN(2) == 0
			}
			some := baseline.Merge(before, after, chosen)
			left := baseline.Diff(some, after)
			gone := baseline.Diff(before, some)
			known := map[string]bool{}
			for _, s := range subjects(changes) {
				known[s] = true
			}
			// A value is either as before or as after: nothing is made up.
			for _, c := range append(left, gone...) {
				// Orders and headings are those of what stands on the ballot then.
				if c.Member != "" || c.Follows || c.Field == finding.Order || c.Field == finding.Headings {
					continue
				}
				for _, s := range subjects([]baseline.Change{c}) {
					require.True(t, known[s], "seed %d: %s", county.Seed, s)
				}
			}
		}
	})
	require.Positive(t, merged)
}

func hash(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := 0; i < len(s); i++ {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}
