package report_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// formVariable makes the test binary write one form of the report in the file that it
// names, and print its peak memory: in a process of its own, as cproof does it.
const formVariable = "REPORT_FORM"

func TestMain(m *testing.M) {
	if form, file, ok := strings.Cut(os.Getenv(formVariable), " "); ok {
		if err := writeForm(form, file); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	time.Local = newYork()
	os.Exit(m.Run())
}

func writeForm(form, file string) error {
	b, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	r, err := report.Parse(b)
	if err != nil {
		return err
	}
	switch form {
	case "html":
		err = r.HTML(io.Discard)
	case "pdf":
		err = r.PDF(io.Discard)
	default:
		_, err = r.JSON()
	}
	if err != nil {
		return err
	}
	status, err := os.ReadFile("/proc/self/status") // Linux
	if err != nil {
		return err
	}
	var kB int
	for line := range strings.Lines(string(status)) {
		_, _ = fmt.Sscanf(line, "VmHWM: %d kB", &kB)
	}
	fmt.Println(kB)
	return nil
}

// peakOf is the peak memory of writing a form, in MB.
func peakOf(b *testing.B, form, file string) float64 {
	b.Helper()
	self, err := os.Executable()
	require.NoError(b, err)
	command := exec.Command(self)
	command.Env = append(os.Environ(), formVariable+"="+form+" "+file)
	command.Stderr = os.Stderr
	out, err := command.Output()
	require.NoError(b, err)
	var kB float64
	_, err = fmt.Sscan(string(out), &kB)
	require.NoError(b, err)
	return kB / 1024
}

// largeCounty is a county of 5,000 precincts with 30 contests on each ballot, keyed and
// sealed, with an export that gives 200 findings.
func largeCounty(t testing.TB, shared bool) *review.Review {
	t.Helper()
	const precincts, findings = 5000, 200
	keyed, export := casetest.County(precincts, shared), casetest.County(precincts, shared)
	for i := range findings {
		name := &export.Contests[i*3].Choices[i%4].Name
		*name = model.Say(model.Plain(name.Value.In("") + "e"))
	}
	r := casetest.Opened(t, casetest.New(t), sheets.FromElection(keyed, ""), "export.xml", casetest.Export(t, export))
	require.Len(t, casetest.Now(t, r).Items, findings)
	return r
}

// decided has the pair decide each finding by an act of its own.
func decided(t testing.TB, r *review.Review) {
	t.Helper()
	for _, i := range casetest.Now(t, r).Items {
		require.NoError(t, r.Decide(review.Verdict{Findings: []string{i.ID},
			Outcome: casefile.OutcomeFixConfiguration, Reason: "The list has no e at the end of " + i.Choice,
			Document: "Certified list, 1 October 2027"}, programmer, second))
	}
}

// The report of a large county stays one that can be read: 200 findings, each decided by an act of
// its own, take at most 60 pages, and the HTML at most 5 MB.
func TestTheReportOfALargeCountyIsShort(t *testing.T) {
	if testing.Short() {
		t.Skip("5,000 precincts and 200 decisions: long; run without -short")
	}
	r := largeCounty(t, false)
	decided(t, r)
	made, err := report.Make(r)
	require.NoError(t, err)
	require.Len(t, made.Findings, 200)
	canonical, page, pdf := forms(t, made)
	if *keep != "" {
		for end, content := range map[string]string{".json": string(canonical), ".html": page, ".pdf": pdf} {
			require.NoError(t, os.WriteFile(filepath.Join(*keep, "decided"+end), []byte(content), 0o644))
		}
	}
	pages := strings.Count(poppler(t, pdf, "pdftotext", "FILE", "-"), "\f")
	t.Logf("%d pages, %.1f MB of HTML, %.1f MB of JSON", pages, float64(len(page))/1e6, float64(len(canonical))/1e6)
	require.LessOrEqual(t, pages, 60)
	require.Less(t, len(page), 5_000_000)
	for _, f := range made.Findings {
		require.Contains(t, page, f.ID)
	}
}

// BenchmarkReport measures, in a county of 5,000 precincts with 200 findings, how long
// each form of the report takes, made of the case as it stands, as a multiple of the
// comparison itself, which takes turns with it ("json-of-compare" and so on: at most 5
// where towns share ballots), and its peak memory in a process of its own (at most 500
// MB). Where each precinct has a ballot style of its own the report has more than 5,000
// pages; that is measured beside it, and as a multiple of reading the case and
// comparing ("json-of-reading-and-comparing" and so on).
func BenchmarkReport(b *testing.B) {
	for _, county := range []struct {
		name   string
		shared bool
	}{{"a style for each town", true}, {"a style for each precinct", false}} {
		b.Run(county.name, func(b *testing.B) {
			r := largeCounty(b, county.shared)
			s := casetest.Now(b, r)
			file := filepath.Join(b.TempDir(), "report.json")
			least := map[string]time.Duration{}
			measure := func(name string, act func()) {
				start := time.Now()
				act()
				if took := time.Since(start); least[name] == 0 || took < least[name] {
					least[name] = took
				}
			}
			forms := map[string]func(*report.Report) ([]byte, error){
				"json": (*report.Report).JSON,
				"html": func(r *report.Report) ([]byte, error) {
					var out bytes.Buffer
					return nil, r.HTML(&out)
				},
				"pdf": func(r *report.Report) ([]byte, error) {
					var out bytes.Buffer
					return nil, r.PDF(&out)
				},
			}
			for b.Loop() {
				for range 3 {
					measure("compare", func() { checks.Compare(s.Primary, s.Second, s.Options) })
					measure("reading-and-comparing", func() { casetest.Now(b, review.New(r.Case())) })
					for name, write := range forms {
						measure(name, func() {
							made, err := report.Make(r)
							require.NoError(b, err)
							_, err = write(made)
							require.NoError(b, err)
						})
					}
				}
			}
			made, err := report.Make(r)
			require.NoError(b, err)
			canonical, err := made.JSON()
			require.NoError(b, err)
			require.NoError(b, os.WriteFile(file, canonical, 0o600))
			for name := range forms {
				for _, of := range []string{"compare", "reading-and-comparing"} {
					b.ReportMetric(float64(least[of].Milliseconds()), of+"-ms")
					b.ReportMetric(float64(least[name])/float64(least[of]), name+"-of-"+of)
				}
				b.ReportMetric(peakOf(b, name, file), name+"-MB")
			}
		})
	}
}
