package review

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/planted"
)

// Every kind of mistake, made silently between two exports, shows as a change; and
// nothing does where nothing changed.
func TestEverySilentChangeBetweenExportsShows(t *testing.T) {
	for _, kind := range planted.Kinds() {
		if kind.Side != "primary" {
			continue
		}
		t.Run(kind.Name, func(t *testing.T) {
			tried := 0
			for seed := uint64(1); seed <= 40 && tried < 2; seed++ {
				county := planted.New(seed, planted.ShapeOf(seed))
				before := county.Primary.Election.Clone()
				if kind.Plant(rand.New(rand.NewPCG(seed, 5)), county, &planted.Claims{}, "") == nil {
					continue
				}
				tried++
				var exports between
				require.Empty(t, exports.changes(before, before.Clone(), checks.Options{}))
				changed := exports.changes(before, county.Primary.Election, checks.Options{})
				require.NotEmpty(t, changed, "seed %d: the change shows nowhere", seed)
			}
			require.NotZero(t, tried, "no county has a place for it")
		})
	}
}
