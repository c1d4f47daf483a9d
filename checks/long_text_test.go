//go:build unix

package checks

import (
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// A text of megabytes is compared in time that grows with its length: ten times the text,
// at most twenty times the processor's time, the best of three tries.
func TestLongTextsCostByTheirLength(t *testing.T) {
	if testing.Short() || os.Getenv("CI") != "true" {
		t.Skip("long; run with CI=true")
	}
	for name, change := range map[string]func(s string) string{
		"one letter": func(s string) string { return s[:len(s)/2] + "#" + s[len(s)/2+1:] },
		"all words":  func(s string) string { return strings.Repeat("zq wy vu ", len(s)/9) },
		"one word":   func(s string) string { return strings.ReplaceAll(s, " ", "") },
	} {
		took := func(n int) time.Duration {
			text := strings.Repeat("Shall the town spend 1,250 crowns on the weir? ", n/47)
			p, s := smallCounty(), smallCounty()
			p.Contests[0].Text, s.Contests[0].Text = model.Say(model.Plain(change(text))), model.Say(model.Plain(text))
			start := spent()
			found := Compare(p, s, Options{}).Findings
			took := max(spent()-start, 50*time.Millisecond)
			require.Len(t, found, 1)
			return took
		}
		best := math.Inf(1)
		for try := 0; try < 3 && best > 20; try++ {
			small := took(200_000)
			best = min(best, float64(took(2_000_000))/float64(small))
		}
		assert.LessOrEqual(t, best, 20.0, name)
	}
}
