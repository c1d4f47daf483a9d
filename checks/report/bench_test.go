package report_test

import (
	"errors"
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

// formVariable makes the test binary write one form of the report in the folder that it
// names, and print its peak memory: in a process of its own, as cproof does it.
const formVariable = "REPORT_FORM"

func TestMain(m *testing.M) {
	if form, folder, ok := strings.Cut(os.Getenv(formVariable), " "); ok {
		if err := writeForm(form, folder); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	time.Local = newYork()
	os.Exit(m.Run())
}

func writeForm(form, folder string) error {
	b, err := os.ReadFile(filepath.Join(folder, "report.json"))
	if err != nil {
		return err
	}
	r, err := report.Parse(b)
	if err != nil {
		return err
	}
	if b, err = os.ReadFile(filepath.Join(folder, "annex.json")); err != nil {
		return err
	}
	if err := r.TakeAnnex(b); err != nil {
		return err
	}
	switch form {
	case "html":
		err = r.HTML(io.Discard)
	case "pdf":
		err = r.PDF(io.Discard)
	case "annex.html":
		err = r.AnnexHTML(io.Discard)
	case "annex.pdf":
		err = r.AnnexPDF(io.Discard)
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
func peakOf(b *testing.B, form, folder string) float64 {
	b.Helper()
	self, err := os.Executable()
	require.NoError(b, err)
	command := exec.Command(self)
	command.Env = append(os.Environ(), formVariable+"="+form+" "+folder)
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

// BenchmarkReport measures, in a county of 5,000 precincts with 200 findings, how long it takes to
// sign a report and to write it, with its annex, as multiples of the comparison and of reading the
// case and comparing, which take turns with it in the same run ("sign-of-compare" and so on: at most
// 3 of reading and comparing). "json", "html" and "pdf" are the report alone, "annex" its annex in
// three forms; each is made of the case as it stands. Beside it is the peak memory of each form in
// a process of its own, as cproof has it (at most 500 MB).
func BenchmarkReport(b *testing.B) {
	for _, county := range []struct {
		name   string
		shared bool
	}{{"a style for each town", true}, {"a style for each precinct", false}} {
		b.Run(county.name, func(b *testing.B) { measureReport(b, largeCounty(b, county.shared)) })
	}
}

func measureReport(b *testing.B, r *review.Review) {
	b.Helper()
	s := casetest.Now(b, r)
	exceptions := map[string]string{}
	missing, err := r.MissingToSign()
	require.NoError(b, err)
	for _, m := range missing {
		exceptions[m.ID] = "measured, not decided"
	}
	least := map[string]time.Duration{}
	measure := func(name string, act func() error) {
		start := time.Now()
		require.NoError(b, act())
		if took := time.Since(start); least[name] == 0 || took < least[name] {
			least[name] = took
		}
	}
	made := func(write func(*report.Report) error) func() error {
		return func() error {
			out, err := report.Make(r)
			if err != nil {
				return err
			}
			return write(out)
		}
	}
	to := func(write func(*report.Report, io.Writer) error) func() error {
		return made(func(out *report.Report) error { return write(out, io.Discard) })
	}
	for b.Loop() {
		for range 3 {
			measure("compare", func() error { checks.Compare(s.Primary, s.Second, s.Options); return nil })
			measure("reading", func() error { casetest.Now(b, review.New(r.Case())); return nil })
			measure("json", made(func(out *report.Report) error { _, err := out.JSON(); return err }))
			measure("html", to((*report.Report).HTML))
			measure("pdf", to((*report.Report).PDF))
			measure("annex", made(func(out *report.Report) error {
				return errors.Join(out.AnnexHTML(io.Discard), out.AnnexPDF(io.Discard))
			}))
		}
	}
	for name, took := range least {
		b.ReportMetric(float64(took.Milliseconds()), name+"-ms")
		if name != "compare" && name != "reading" {
			b.ReportMetric(float64(took)/float64(least["compare"]), name+"-of-compare")
		}
	}
	start := time.Now()
	signed, err := report.SignOff(r, exceptions, programmer, second, supervisor)
	took := time.Since(start)
	require.NoError(b, err)
	b.ReportMetric(float64(took)/float64(least["compare"]), "sign-of-compare")
	b.ReportMetric(float64(took.Milliseconds()), "sign-ms")
	folder := filepath.Join(b.TempDir(), "report")
	require.NoError(b, signed.WriteFolder(folder))
	for _, form := range []string{"html", "pdf", "annex.html", "annex.pdf"} {
		b.ReportMetric(peakOf(b, form, folder), form+"-MB")
	}
}
