package report_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// BenchmarkEvidence measures, in a county of 5,000 precincts, each with a ballot style of
// its own, and 200 findings, how long it takes to write the evidence and to verify it,
// as multiples of opening the case, reading its export and comparing, in the same run.
func BenchmarkEvidence(b *testing.B) {
	r := largeCounty(b, false)
	missing, err := r.MissingToSign()
	require.NoError(b, err)
	exceptions := map[string]string{}
	for _, m := range missing {
		exceptions[m.ID] = "measured, not decided"
	}
	made, err := report.SignOff(r, exceptions, programmer, second, supervisor)
	require.NoError(b, err)
	canonical, err := made.JSON()
	require.NoError(b, err)
	require.NoError(b, r.Case().Close())
	var reading, writing, verifying time.Duration
	for b.Loop() {
		start := time.Now()
		c, err := casefile.Open(r.Case().Path(), casefile.Options{ReadOnly: true})
		require.NoError(b, err)
		casetest.Now(b, review.New(c))
		reading += time.Since(start)

		dir := filepath.Join(b.TempDir(), "evidence")
		if keep := os.Getenv("EVIDENCE"); keep != "" {
			dir = keep // to be looked at
		}
		start = time.Now()
		require.NoError(b, report.Evidence(c, dir))
		writing += time.Since(start)
		require.NoError(b, c.Close())

		start = time.Now()
		checked := verify(b, dir, casefile.Expect{})
		verifying += time.Since(start)
		require.True(b, checked.Good(), checked.Words())
	}
	b.ReportMetric(float64(writing)/float64(reading), "writing-of-reading")
	b.ReportMetric(float64(verifying)/float64(reading), "verifying-of-reading")
	b.ReportMetric(float64(reading.Milliseconds())/float64(b.N), "reading-ms")
	b.ReportMetric(float64(len(canonical))/1e6, "report-MB")
}
