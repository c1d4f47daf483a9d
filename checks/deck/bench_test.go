package deck

import (
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/planted"
)

// BenchmarkMake designs a deck for each style of 5,000 precincts with some 30 contests each, and looks
// what it cannot see, as a ratio to a comparison of the two entries of the same county in the same run.
// Required: Make in at most 30 times the comparison, and under 1 GB.
func BenchmarkMake(b *testing.B) {
	for _, bench := range []struct {
		name string
		seed uint64
		lone bool
	}{{"fusion", 0, false}, {"closed primary", 2, false}, {"a style for each precinct", 1, true},
		{"fusion, a style for each precinct", 0, true}} {
		b.Run(bench.name, func(b *testing.B) {
			shape := planted.ShapeOf(bench.seed)
			shape.Precincts, shape.LoneBallots = 5000, bench.lone
			c := planted.New(bench.seed, shape)
			e := c.Second.Election
			contests := 0
			for _, s := range e.Styles {
				contests += len(s.Content) * len(s.Precincts)
			}
			for b.Loop() {
				began := time.Now()
				result := checks.Compare(c.Primary.Election, e, checks.Options{})
				compare := time.Since(began)
				require.Empty(b, result.Findings)
				runtime.GC()
				began = time.Now()
				d, err := Make(e, Options{Rules: rules})
				made := time.Since(began)
				require.NoError(b, err)
				var memory runtime.MemStats
				runtime.ReadMemStats(&memory)
				began = time.Now()
				_, err = Lint(e, &d.Deck, Options{Rules: rules})
				linted := time.Since(began)
				require.NoError(b, err)
				b.ReportMetric(float64(made)/float64(compare), "x-compare")
				b.ReportMetric(float64(linted)/float64(compare), "x-compare-lint")
				b.ReportMetric(float64(compare.Milliseconds()), "ms-compare")
				b.ReportMetric(float64(memory.Sys)/(1<<20), "MB")
				b.ReportMetric(float64(len(d.Deck.Ballots)), "ballots")
				marks := 0
				for i := range d.Deck.Ballots {
					marks += len(d.Deck.Ballots[i].Marks)
				}
				b.ReportMetric(float64(marks), "marks")
				b.ReportMetric(float64(contests)/float64(len(e.Precincts)), "contests/precinct")
				b.ReportMetric(float64(len(e.Styles)), "styles")
			}
		})
	}
}
