package natural_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks/natural"
)

// A list of ranges, written out again, is the list: no precinct is lost in a range
// and none slips in.
func TestRangesHoldWhatTheListHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		numbers := rapid.SliceOfNDistinct(rapid.IntRange(0, 60), 0, 40, rapid.ID[int]).Draw(t, "numbers")
		pattern := rapid.SampledFrom([]string{"%d", "%02d", "1-%02d", "Ward %d"}).Draw(t, "pattern")
		var names []string
		for _, n := range numbers {
			names = append(names, fmt.Sprintf(pattern, n))
		}
		given := slices.Clone(names)
		list := natural.Ranges(names)
		assert.Equal(t, given, names, "the list itself is not changed")
		var expanded []string
		for _, part := range list {
			first, last, ranged := strings.Cut(part, " to ")
			if !ranged {
				expanded = append(expanded, part)
				continue
			}
			var from, to int
			_, err := fmt.Sscanf(first, pattern, &from)
			require.NoError(t, err)
			_, err = fmt.Sscanf(last, pattern, &to)
			require.NoError(t, err)
			for n := from; n <= to; n++ {
				expanded = append(expanded, fmt.Sprintf(pattern, n))
			}
		}
		assert.ElementsMatch(t, names, expanded, list)
	})
}

func TestNamesStandAsPeopleCount(t *testing.T) {
	sorted := []string{"", "1-01", "1-2", "1-02a", "1-10", "2", "09", "9", "10", "10b", "100", "Ward 3", "Ward 20",
		"Ward 20 North"}
	shuffled := slices.Clone(sorted)
	slices.Reverse(shuffled)
	slices.SortFunc(shuffled, natural.Compare)
	assert.Equal(t, sorted, shuffled)
}

// An order that contradicts itself would print one list in several ways.
func TestTheOrderOfNamesIsOne(t *testing.T) {
	name := rapid.StringMatching(`[a0-2 ]{0,5}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := name.Draw(t, "a"), name.Draw(t, "b"), name.Draw(t, "c")
		ab, bc := natural.Compare(a, b), natural.Compare(b, c)
		assert.Equal(t, a == b, ab == 0)
		assert.Equal(t, ab < 0, natural.Compare(b, a) > 0)
		if ab < 0 && bc < 0 {
			assert.Negative(t, natural.Compare(a, c))
		}
	})
}
