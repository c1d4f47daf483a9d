package planted

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Ten mistakes in one county are found as each is alone.
func TestTenMistakesInOneCountyAreFoundEach(t *testing.T) {
	kinds := Kinds()
	from := firstSeed(t, 0)
	var expected, found, noise int
	for seed := from; seed < from+seeds(t, 4); seed++ {
		county := New(seed, ShapeOf(seed))
		order := rand.New(rand.NewPCG(seed, 10)).Perm(len(kinds))
		for at := 0; at < len(order); at += 40 {
			var list []*Kind
			for _, i := range order[at:min(at+40, len(order))] {
				list = append(list, kinds[i])
			}
			o, _ := Together(list, 10, county)
			expected, found, noise = expected+o.Expected, found+o.Found, noise+o.Noise
			if o.Report != "" {
				t.Log(o.Report)
			}
			assert.Equal(t, o.Expected, o.Found, "each is found")
		}
	}
	assert.LessOrEqual(t, 50*noise, expected, "of %d expected findings %d; %d beyond them", expected, found, noise)
}
