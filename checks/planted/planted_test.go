package planted

import (
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
)

// seeds is how many counties a test goes through: more with PLANTED_SEEDS set.
func seeds(t *testing.T, usual int) uint64 {
	if n, err := strconv.Atoi(os.Getenv("PLANTED_SEEDS")); err == nil {
		usual = n
	}
	if testing.Short() {
		usual = min(usual, 3)
	}
	return uint64(usual)
}

func TestEveryPlantedMistakeIsFound(t *testing.T) {
	counties := make([]*County, seeds(t, 10))
	for i := range counties {
		counties[i] = New(uint64(i), ShapeOf(uint64(i)))
	}
	for _, k := range Kinds() {
		t.Run(k.Name, func(t *testing.T) {
			t.Parallel()
			planted := 0
			for _, c := range counties {
				o, ok := Trial(k, c)
				if !ok {
					continue
				}
				planted++
				if o.Report != "" {
					t.Error(o.Report)
				}
			}
			for seed := uint64(len(counties)); planted == 0; seed++ { // kinds that few counties have a place for
				require.Less(t, seed, uint64(200), "no county has a place for it")
				if o, ok := Trial(k, New(seed, ShapeOf(seed))); ok {
					planted++
					assert.Empty(t, o.Report)
				}
			}
		})
	}
}

func TestEveryCodeIsPlanted(t *testing.T) {
	kinds := Kinds()
	assert.GreaterOrEqual(t, len(kinds), 60)
	names := map[string]bool{}
	for _, k := range kinds {
		assert.False(t, names[k.Name], "two kinds are called %q", k.Name)
		names[k.Name] = true
		assert.Equal(t, len(k.Also) > 0, k.Why != "", "%s: further codes need a reason", k.Name)
		require.NotNil(t, checks.Find(k.Code), "%s: %s is no check", k.Name, k.Code)
	}
	for _, c := range checks.All() {
		if c.Code == "unasked-change" || c.Code == "keyers-differ" {
			continue // these need a case, not two elections
		}
		planted := slices.ContainsFunc(kinds, func(k *Kind) bool { return k.Code == c.Code }) || c.Code == "precinct-unkeyed"
		assert.True(t, planted, "no kind of mistake leads to %s", c.Code)
	}
}

func TestACountyAgreesWithItself(t *testing.T) {
	for seed := range seeds(t, 40) {
		c := New(seed, ShapeOf(seed))
		found := checks.Compare(c.Primary.Election, c.Second.Election, checks.Options{})
		for _, f := range found.Findings {
			t.Errorf("seed %d: %s", seed, show(f))
		}
	}
}
