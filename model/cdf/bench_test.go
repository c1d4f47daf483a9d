package cdf

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// county writes the export of an invented county: as many precincts as ballot
// styles, 30 contests on each ballot, and the order of choices stated for each.
// The county of the benchmarks, 5,000 precincts, is about 40 MB.
func county(precincts int) []byte {
	const (
		perBallot  = 30
		countywide = 12
		choices    = 6
		indent     = "         "
	)
	contests := countywide + max(perBallot, precincts/20)
	var b bytes.Buffer
	p := func(format string, a ...any) { fmt.Fprintf(&b, format, a...) }
	p("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ElectionReport xmlns=%q xmlns:xsi=%q>\n   <Election>\n", namespace,
		xsiNamespace)
	on := func(s, n int) int { // the n-th contest on ballot s
		if n < countywide {
			return n
		}
		return countywide + (s/20+n*7)%(contests-countywide)
	}
	for s := range precincts {
		p("      <BallotStyle>\n%s<ExternalIdentifier>\n%s   <Type>local-level</Type>\n%s   <Value>Style "+
			"%d</Value>\n%s</ExternalIdentifier>\n", indent, indent, indent, s+1, indent)
		p("%s<GpUnitIds>precinct-%05d</GpUnitIds>\n", indent, s)
		for n := range perBallot {
			c := on(s, n)
			p("%s<OrderedContent xsi:type=\"OrderedContest\">\n%s   <ContestId>contest-%03d</ContestId>\n%s   "+
				"<OrderedContestSelectionIds>", indent, indent, c, indent)
			for i := range choices {
				if i > 0 {
					p(" ")
				}
				p("selection-%03d-%d", c, (i+s)%choices)
			}
			p("</OrderedContestSelectionIds>\n%s</OrderedContent>\n", indent)
		}
		p("      </BallotStyle>\n")
	}
	for c := range contests {
		for i := range choices {
			p("      <Candidate ObjectId=\"candidate-%03d-%d\">\n%s<BallotName><Text Language=\"en\">Candidate %c of "+
				"%d</Text></BallotName>\n%s<PartyId>party-%d</PartyId>\n      </Candidate>\n", c, i, indent, 'A'+i, c, indent, i%3)
		}
	}
	for c := range contests {
		p("      <Contest xsi:type=\"CandidateContest\" ObjectId=\"contest-%03d\">\n%s<BallotTitle><Text "+
			"Language=\"en\">Office %d</Text></BallotTitle>\n", c, indent, c)
		for i := range choices {
			p("%s<ContestSelection xsi:type=\"CandidateSelection\" "+
				"ObjectId=\"selection-%03d-%d\"><CandidateIds>candidate-%03d-%d</CandidateIds></ContestSelection>\n", indent, c,
				i, c, i)
		}
		p("%s<ElectionDistrictId>district-%03d</ElectionDistrictId>\n%s<Name>Office "+
			"%d</Name>\n%s<VotesAllowed>1</VotesAllowed>\n      </Contest>\n", indent, c, indent, c, indent)
	}
	p("      <ElectionScopeId>county</ElectionScopeId>\n      <Name><Text Language=\"en\">General " +
		"Election</Text></Name>\n      <StartDate>2027-11-02</StartDate>\n      <EndDate>2027-11-02</EndDate>\n      " +
		"<Type>general</Type>\n   </Election>\n")
	p("   <Format>precinct-level</Format>\n   <GeneratedDate>2027-09-20T09:00:00Z</GeneratedDate>\n")
	in := make([][]int, contests)
	for s := range precincts {
		for n := countywide; n < perBallot; n++ {
			in[on(s, n)] = append(in[on(s, n)], s)
		}
	}
	p("   <GpUnit xsi:type=\"ReportingUnit\" ObjectId=\"county\"><ComposingGpUnitIds>")
	for s := range precincts {
		p("precinct-%05d ", s)
	}
	p("</ComposingGpUnitIds><Name><Text Language=\"en\">Wendle County</Text></Name><Type>county</Type></GpUnit>\n")
	for c := range contests {
		p("   <GpUnit xsi:type=\"ReportingUnit\" ObjectId=\"district-%03d\"><ComposingGpUnitIds>", c)
		if c < countywide {
			p("county")
		}
		for _, s := range in[c] {
			p("precinct-%05d ", s)
		}
		p("</ComposingGpUnitIds><Name><Text Language=\"en\">District "+
			"%d</Text></Name><Type>other</Type><OtherType>ward</OtherType></GpUnit>\n", c)
	}
	for s := range precincts {
		p("   <GpUnit xsi:type=\"ReportingUnit\" ObjectId=\"precinct-%05d\"><Name><Text Language=\"en\">Precinct "+
			"%d</Text></Name><Number>%d</Number><Type>precinct</Type></GpUnit>\n", s, s+1, s+1)
	}
	p("   <Issuer>Wendle County</Issuer>\n   <IssuerAbbreviation>WC</IssuerAbbreviation>\n")
	for i := range 3 {
		p("   <Party ObjectId=\"party-%d\"><Name><Text Language=\"en\">Party %d</Text></Name></Party>\n", i, i)
	}
	p("   <SequenceStart>1</SequenceStart>\n   <SequenceEnd>1</SequenceEnd>\n   <Status>pre-election</Status>\n   " +
		"<VendorApplicationId>generated</VendorApplicationId>\n</ElectionReport>\n")
	return b.Bytes()
}

func countyFile(tb testing.TB, precincts int) (string, []byte) {
	tb.Helper()
	data := county(precincts)
	path := filepath.Join(tb.TempDir(), "county.xml")
	require.NoError(tb, os.WriteFile(path, data, 0o600))
	return path, data
}

// tokenWalk is the reference: what encoding/xml takes to pass over the tokens.
func tokenWalk(tb testing.TB, data []byte) time.Duration {
	start := time.Now()
	for d := xml.NewDecoder(bytes.NewReader(data)); ; {
		_, err := d.Token()
		if err == io.EOF {
			return time.Since(start)
		}
		if err != nil {
			tb.Fatal(err)
		}
	}
}

// xmllint is the other reference: a tree, or with --stream a bare walk.
func xmllint(tb testing.TB, arguments ...string) (time.Duration, bool) {
	program, err := exec.LookPath("xmllint")
	if err != nil {
		return 0, false
	}
	cmd := exec.Command(program, append(arguments, "--noout")...)
	start := time.Now()
	require.NoError(tb, cmd.Run())
	return time.Since(start), true
}

// peak runs a program from a fresh process of this test binary and returns the
// largest memory it had, in bytes. (A child's figure includes what its parent had
// when it was started, so the parent must be small.)
func peak(tb testing.TB, arguments ...string) float64 {
	tb.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^TestMeasurePeak$", "-test.v")
	cmd.Env = append(os.Environ(), measurePeak+"="+strings.Join(arguments, "\x1f"))
	out, err := cmd.CombinedOutput()
	require.NoError(tb, err, "%s", out)
	_, rest, _ := strings.Cut(string(out), "peak KiB: ")
	kib, err := strconv.ParseFloat(strings.Fields(rest)[0], 64)
	require.NoError(tb, err)
	return kib * 1024
}

const (
	measurePeak = "CDF_MEASURE_PEAK"
	readOnly    = "CDF_READ_ONLY"
)

// TestMeasurePeak is the small process between a benchmark and what it measures.
func TestMeasurePeak(t *testing.T) {
	run := os.Getenv(measurePeak)
	if run == "" {
		t.Skip("only for BenchmarkReadMemory")
	}
	arguments := strings.Split(run, "\x1f")
	cmd := exec.Command(arguments[0], arguments[1:]...)
	require.NoError(t, cmd.Run())
	// Linux counts Maxrss in KiB.
	fmt.Printf("peak KiB: %d\n", cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss)
}

// TestReadOnly is what BenchmarkReadMemory measures.
func TestReadOnly(t *testing.T) {
	path := os.Getenv(readOnly)
	if path == "" {
		t.Skip("only for BenchmarkReadMemory")
	}
	e, _, err := ReadFiles([]string{path}, Options{})
	require.NoError(t, err)
	require.NotEmpty(t, e.Styles)
}

// BenchmarkRead reads the export of 5,000 precincts and says, against references
// measured in the same run, how long that takes: x/token-walk is the ratio to a
// bare walk over its tokens with encoding/xml, x/xmllint-stream and x/xmllint to
// xmllint --noout with and without --stream. All take turns, and of each the best
// round counts: what disturbs a run only ever adds to it.
func BenchmarkRead(b *testing.B) {
	path, data := countyFile(b, 5000)
	const never = time.Hour
	ours, walk, stream, tree := never, never, never, never
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		start := time.Now()
		_, _, err := ReadFiles([]string{path}, Options{})
		ours = min(ours, time.Since(start))
		require.NoError(b, err)
		b.StopTimer()
		walk = min(walk, tokenWalk(b, data))
		if d, ok := xmllint(b, path, "--stream"); ok {
			stream = min(stream, d)
		}
		if d, ok := xmllint(b, path); ok {
			tree = min(tree, d)
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(ours.Milliseconds()), "ms-best")
	b.ReportMetric(ours.Seconds()/walk.Seconds(), "x/token-walk")
	if tree < never {
		b.ReportMetric(ours.Seconds()/stream.Seconds(), "x/xmllint-stream")
		b.ReportMetric(ours.Seconds()/tree.Seconds(), "x/xmllint")
	}
}

// BenchmarkReadTwice says how much longer twice as many precincts take.
func BenchmarkReadTwice(b *testing.B) {
	once, _ := countyFile(b, 5000)
	twice, _ := countyFile(b, 10000)
	small, large := time.Hour, time.Hour
	for b.Loop() {
		for path, best := range map[string]*time.Duration{once: &small, twice: &large} {
			start := time.Now()
			_, _, err := ReadFiles([]string{path}, Options{})
			*best = min(*best, time.Since(start))
			require.NoError(b, err)
		}
	}
	b.ReportMetric(large.Seconds()/small.Seconds(), "x/half-size")
}

// BenchmarkReadMemory reads the export in a process of its own and reports the
// largest memory it had, also as a ratio to that of xmllint --noout.
func BenchmarkReadMemory(b *testing.B) {
	path, _ := countyFile(b, 5000)
	b.Setenv(readOnly, path)
	var ours, lint float64
	for b.Loop() {
		ours = max(ours, peak(b, os.Args[0], "-test.run=^TestReadOnly$"))
		if program, err := exec.LookPath("xmllint"); err == nil {
			lint = max(lint, peak(b, program, "--noout", path))
		}
	}
	b.ReportMetric(ours/1e6, "peak-MB")
	if lint > 0 {
		b.ReportMetric(ours/lint, "x/xmllint-peak")
	}
}
