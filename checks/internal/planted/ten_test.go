package planted

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/checks"
)

// Ten mistakes of any kinds in one county hide none of each other. Findings beyond those expected are
// at most 0.02 for each mistake.
func TestTenMistakesInOneCountyAreAllFound(t *testing.T) {
	kinds := Kinds()
	var total Outcome
	from := firstSeed(t, 100)
	for seed := from; seed < from+seeds(t, 20); seed++ {
		county := New(seed, ShapeOf(seed))
		r := rand.New(rand.NewPCG(seed, 10))
		claims := &Claims{}
		var expected []Expect
		var names []string
		for try := 0; len(names) < 10 && try < 300; try++ {
			k := kinds[r.IntN(len(kinds))]
			planted, held := county.Clone(), len(claims.held)
			more := k.Plant(r, planted, claims, "")
			if more == nil {
				claims.held = claims.held[:held]
				continue
			}
			if claims.Contest != "" { // two mistakes on one contest are for the pairs
				claims.Avoid, claims.Contest = append(claims.Avoid, claims.Contest), ""
			}
			county, expected, names = planted, append(expected, more...), append(names, k.Name)
		}
		found := checks.Compare(county.Primary.Election, county.Second.Election, checks.Options{}).Findings
		o := county.Judge(merged(expected), found)
		what := fmt.Sprintf("seed %d, %q:\n%s", seed, names, o.Report)
		assert.Equal(t, o.Expected, o.Found, what)
		if o.Noise > 0 {
			t.Log(what)
		}
		total.Expected += o.Expected
		total.Noise += o.Noise
	}
	assert.LessOrEqual(t, float64(total.Noise), 0.02*float64(total.Expected), "findings beyond the expected ones")
	t.Logf("%d expected findings, %d beyond them", total.Expected, total.Noise)
}
