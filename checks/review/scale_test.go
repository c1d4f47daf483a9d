package review_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// BenchmarkCorrection measures, in a county of 5,000 precincts with 30 contests each,
// how long it takes from one signed correction to the new list of findings, as a
// multiple of a full comparison measured beside each ("of-compare"). The commit to the
// disk is left out. After a second export both are compared with the new second entry, and
// what changed between them is worked out anew: at most 4 comparisons.
func BenchmarkCorrection(b *testing.B) {
	for _, form := range []struct {
		name   string
		shared bool
	}{{"a style for each town", true}, {"a style for each precinct", false}} {
		r := sealedCounty(b, 5000, form.shared)
		b.Run(form.name, func(b *testing.B) { measureCorrections(b, r) })
		for _, i := range casetest.Now(b, r).Items {
			// Contests that the corrections do not touch.
			if i.Check == "choice-name" && i.Primary == i.Second+"e" {
				decide(b, r, casefile.OutcomeFixConfiguration, i.ID)
			}
		}
		_, err := r.BringIn(programmer, review.File{Name: "again.xml",
			Data: append(countyExport(b, 5000, form.shared), '\n')})
		require.NoError(b, err)
		b.Run(form.name+", after a second export", func(b *testing.B) { measureCorrections(b, r) })
	}
}

func measureCorrections(b *testing.B, r *review.Review) {
	c := r.Case()
	var full, looking, worst time.Duration
	n := 0
	for b.Loop() {
		s := casetest.Now(b, r)
		start := time.Now()
		checks.Compare(s.Primary, s.Second, s.Options)
		full += time.Since(start)
		seq := int(c.State().Seq) // what is keyed is another each time
		change := []casefile.Change{
			casefile.Set(casefile.Contests, 3, "title", fmt.Sprint("Another Title ", seq)),
			casefile.Set(casefile.Contests, 100, "vote_for", fmt.Sprint(seq%97+2)),
			casefile.Set(casefile.Choices, 400, "name", fmt.Sprint("Another Name ", seq)),
		}[n%3]
		require.NoError(b, c.Correct("Proof", "misread", []casefile.Change{change}, programmer, second))
		start = time.Now()
		casetest.Now(b, r)
		took := time.Since(start)
		looking += took
		worst = max(worst, took)
		n++
	}
	b.ReportMetric(float64(looking)/float64(full), "of-compare")
	b.ReportMetric(float64(worst)*float64(n)/float64(full), "worst-of-compare")
	b.ReportMetric(float64(full.Microseconds())/float64(n)/1000, "compare-ms")
	b.ReportMetric(float64(looking.Microseconds())/float64(n)/1000, "look-ms")
	b.ReportMetric(0, "ns/op")
}
