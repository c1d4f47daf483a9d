package review_test

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/planted"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// BenchmarkCorrection measures, in a county of 5,000 precincts, how long it takes from
// one correction to the new list of findings, as a share of a full comparison
// measured in the same run ("of-compare"). The commit to the disk is left out.
func BenchmarkCorrection(b *testing.B) {
	primary, keyed := planted.Elections(7, planted.Shape{Precincts: 5000, LoneStyles: true})
	var export bytes.Buffer
	require.NoError(b, cdf.WriteXML(&export, primary, cdf.WriteOptions{}))
	c := newCase(b, "county")
	key(b, c, sheets.FromElection(keyed, ""))
	require.NoError(b, c.Seal(second, casefile.Seal{Scope: casefile.ScopeBallots, Without: c.Unkeyed(casefile.ScopeBallots)}))
	require.NoError(b, c.Seal(second, casefile.Seal{Scope: casefile.ScopeUnits, Without: c.Unkeyed(casefile.ScopeUnits)}))
	r := review.New(c)
	_, err := r.BringIn(programmer, review.File{Name: "export.xml", Data: export.Bytes()})
	require.NoError(b, err)
	s := now(b, r)
	start := time.Now()
	checks.Compare(s.Primary, s.Second, s.Options)
	full := time.Since(start)
	var looking time.Duration
	b.ResetTimer()
	for n := range b.N {
		require.NoError(b, c.Correct("Proof", "misread", []casefile.Change{casefile.Set(casefile.Contests, 3, "title", []string{"Another Title", "A Further Title"}[n%2])}, programmer, second))
		start := time.Now()
		now(b, r)
		looking += time.Since(start)
	}
	b.ReportMetric(float64(looking)/float64(b.N)/float64(full), "of-compare")
	b.ReportMetric(float64(full.Milliseconds()), "compare-ms")
	b.ReportMetric(float64(looking.Milliseconds())/float64(b.N), "look-ms")
}
