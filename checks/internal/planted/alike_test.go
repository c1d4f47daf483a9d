package planted

import (
	"math/rand/v2"
	"testing"

	"counterproof/checks"
)

// No two findings of one result read alike: each is read alone, in a cell or aloud.
func TestNoTwoFindingsReadAlike(t *testing.T) {
	kinds := Kinds()
	from := firstSeed(t, 0)
	for seed := from; seed < from+seeds(t, 6); seed++ {
		county := New(seed, ShapeOf(seed))
		for _, k := range kinds {
			c := county.Clone()
			r := rand.New(rand.NewPCG(seed, digest(k.Name)))
			if k.Plant(r, c, &Claims{}, "") == nil {
				continue
			}
			seen := map[string]bool{}
			for _, f := range checks.Compare(c.Primary.Election, c.Second.Election, checks.Options{}).Findings {
				if seen[f.Message] {
					t.Errorf("%s, seed %d: twice %q", k.Name, seed, f.Message)
				}
				seen[f.Message] = true
			}
		}
	}
}
