package planted

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatMeansNothingIsSilent(t *testing.T) {
	assert.GreaterOrEqual(t, len(Variants()), 25)
	counties := make([]*County, seeds(t, 8))
	from := firstSeed(t, 0)
	for i := range counties {
		seed := from + uint64(i)
		counties[i] = New(seed, ShapeOf(seed))
	}
	for _, v := range Variants() {
		t.Run(v.Name, func(t *testing.T) {
			t.Parallel()
			tried := 0
			for _, c := range counties {
				report, ok := v.Try(c)
				if ok {
					tried++
				}
				if report != "" {
					t.Error(report)
				}
			}
			for seed := from + uint64(len(counties)); tried == 0; seed++ {
				require.Less(t, seed, from+100, "no county has a place for it")
				if report, ok := v.Try(New(seed, ShapeOf(seed))); ok {
					tried++
					assert.Empty(t, report)
				}
			}
		})
	}
}
