package planted

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestNeitherOfTwoMistakesHidesTheOther plants every pair of kinds that can stand
// together, on one contest and on two. It goes through all pairs with PLANTED_SEEDS
// set, else through one in eight with CI=true, one in 24 without, and one in 96 in the
// short run. PLANTED_FROM is the county's seed.
func TestNeitherOfTwoMistakesHidesTheOther(t *testing.T) {
	county := New(firstSeed(t, 7), Small())
	kinds := Kinds()
	step := uint64(24)
	switch {
	case testing.Short():
		step = 192
	case seeds(t, 0) > 0:
		step = 1
	case os.Getenv("CI") == "true":
		step = 8
	}
	for i, a := range kinds {
		t.Run(a.Name, func(t *testing.T) {
			t.Parallel()
			for j, b := range kinds {
				for _, same := range []bool{true, false} {
					if same && i == j || (digest(a.Name+b.Name)+uint64(county.Seed))%step != 0 {
						continue
					}
					o, ok := Pair(a, b, county, same)
					if !ok {
						continue
					}
					assert.Equal(t, o.Expected, o.Found, fmt.Sprintf("a mistake is hidden:\n%s", o.Report))
					if o.Noise > 0 {
						t.Log(o.Report) // both are found; that there are more findings is told, and counted in the table
					}
				}
			}
		})
	}
}
