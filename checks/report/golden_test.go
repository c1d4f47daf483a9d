package report_test

import (
	"encoding/binary"
	"flag"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/cryptotest"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"counterproof/checks/report"
)

var update = flag.Bool("update", false, "write the golden files of the report's text")

// goldenReport is the demo's signed report with keys and times that are always the
// same, so that its bytes are.
func goldenReport(t *testing.T) *report.Report {
	t.Helper()
	cryptotest.SetGlobalRandom(t, 20271102)
	_, made := signed(t)
	return made
}

func golden(t *testing.T, name, text string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), text, "the report reads otherwise; look at its pages (-keep), then run with -update")
}

var (
	blockTags = regexp.MustCompile(
		`</?(h[1-6]|p|li|dt|dd|tr|section|article|div|table|caption|ul|ol|dl|pre|main|header|footer)\b[^>]*>`)
	cellTags = regexp.MustCompile(`</?(td|th|span|br)\b[^>]*>`)
	allTags  = regexp.MustCompile(`<[^>]*>`)
)

// asRead is the HTML as it is read: a line for each block, without tags.
func asRead(page string) string {
	_, page, _ = strings.Cut(page, "<body>")
	page = blockTags.ReplaceAllString(page, "\n")
	page = cellTags.ReplaceAllString(page, " ")
	page = html.UnescapeString(allTags.ReplaceAllString(page, ""))
	var lines []string
	for line := range strings.Lines(page) {
		if line = strings.Join(strings.Fields(line), " "); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// poppler runs one of the tools of poppler-utils on a PDF and returns what it prints.
func poppler(t testing.TB, pdf, name string, arguments ...string) string {
	t.Helper()
	tool, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is missing; install poppler-utils", name)
		}
		t.Skipf("%s is not installed", name)
	}
	file := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(file, []byte(pdf), 0o600))
	for i, a := range arguments {
		if a == "FILE" {
			arguments[i] = file
		}
	}
	out, err := exec.Command(tool, arguments...).Output()
	require.NoError(t, err)
	return string(out)
}

func TestTheDemosReportReadsAsItDid(t *testing.T) {
	made := goldenReport(t)
	for name, give := range map[string]func(testing.TB, *report.Report) ([]byte, string, string){
		"demo": forms, "annex": annexForms} {
		_, page, pdf := give(t, made)
		golden(t, name+".html.txt", asRead(page))
		text := poppler(t, pdf, "pdftotext", "-layout", "FILE", "-")
		text = regexp.MustCompile(` +\n`).ReplaceAllString(text, "\n")
		golden(t, name+".pdf.txt", regexp.MustCompile(` {4,}`).ReplaceAllString(text, "    "))
	}
}

// The report's words, apart from headings and labels: everything that somebody wrote,
// decided or signed.
func everyWord(r *report.Report) []string {
	var list []string
	add := func(words ...string) { list = append(list, words...) }
	who := func(by []report.Who) {
		for _, w := range by {
			add(w.Name, w.Party)
		}
	}
	add(r.Election.Name, r.Election.Jurisdiction, r.Case, r.Result)
	add(r.Cautions...)
	add(r.CannotSee...)
	for _, f := range r.Findings {
		add(f.ID, f.Message, f.Contest, f.Choice, f.Unit, f.Site, f.Primary, f.Second)
		for _, d := range f.Decisions {
			add(d.Reason, d.Document)
			who(d.By)
		}
	}
	for _, c := range r.Corrections {
		add(c.Reason, c.Document)
		who(c.By)
		for _, x := range c.Changes {
			add(x.Was, x.Now)
		}
	}
	for _, e := range r.Exports {
		for _, f := range e.Files {
			add(f.Name)
		}
		add(e.Asked...)
		add(e.Unasked...)
	}
	for _, p := range r.People {
		add(p.Name, p.Party)
	}
	add(r.Second.Documents...)
	for _, c := range r.Ballots().Contests {
		add(c.Title, c.Subtitle, c.Text)
		for _, x := range c.Choices {
			if !x.WriteIn {
				add(x.Name)
			}
			add(x.Lines...)
		}
	}
	for _, s := range r.Ballots().Styles {
		add(s.Label)
	}
	for _, u := range r.Ballots().Units {
		add(u.Name, u.Site)
	}
	return list
}

// squeeze takes all blanks away: where a line was broken tells nothing.
func squeeze(s string) string { return strings.Join(strings.Fields(s), "") }

func TestEveryFindingDecisionReasonAndNameIsInEveryForm(t *testing.T) {
	_, made := signed(t)
	_, page, pdf := forms(t, made)
	_, annexPage, annexPDF := annexForms(t, made)
	require.Len(t, made.Findings, 15)
	// pages are read in the order of their content: -layout would mix the columns of a
	// ballot. Head and foot of each page are between its words and the next page's.
	var paper strings.Builder
	for _, form := range []string{pdf, annexPDF} {
		for _, one := range strings.Split(poppler(t, form, "pdftotext", "-raw", "FILE", "-"), "\f") {
			paper.WriteString(one)
		}
	}
	printed, read := squeeze(paper.String()), squeeze(asRead(page)+asRead(annexPage))
	for _, words := range everyWord(made) {
		require.Contains(t, read, squeeze(words))
		require.Contains(t, printed, squeeze(words))
	}
	require.Greater(t, len(everyWord(made)), 400)
}

func TestThePDFOpensOnItsFrontPageAndHasAnOutline(t *testing.T) {
	_, made := signed(t)
	_, _, pdf := forms(t, made)
	front := poppler(t, pdf, "pdftotext", "-l", "1", "FILE", "-")
	for _, words := range []string{"Comparison report", made.Election.Name, made.Result[:40], "Signatures", "Cautions",
		"What this check cannot see", "Page 1 of "} {
		require.Contains(t, strings.Join(strings.Fields(front), " "), words)
	}
	catalog := regexp.MustCompile(`(?s)/Type /Catalog.*?endobj`).FindString(pdf)
	require.Contains(t, catalog, "/OpenAction [3 0 R /Fit]", "the first page is object 3")
	require.Contains(t, catalog, "/PageMode /UseOutlines")
	require.Contains(t, catalog, "/Outlines ")
	require.Contains(t, pdf, "/Title (Front page)")
	outline := []string{"Coverage", "The county at a glance", "Findings", "Corrections of the second entry",
		"Exports in sequence", "Public keys, with the signatures", "How to check it without this program"}
	for _, f := range made.Findings {
		outline = append(outline, fmt.Sprintf("%d  ", f.Number))
	}
	for _, s := range made.Styles {
		outline = append(outline, "Ballot style "+s.Label)
	}
	for _, title := range outline {
		require.Contains(t, pdf, "/Title (\xfe\xff"+utf16BigEndian(title), title)
	}
	pages := strings.Split(poppler(t, pdf, "pdftotext", "FILE", "-"), "\f")
	pages = pages[:len(pages)-1]
	for i, one := range pages {
		require.Contains(t, one, "Journal head", "page %d", i+1)
		require.Regexp(t, `Page \d+ of \d+`, one, "page %d", i+1)
	}
}

// utf16BigEndian is how a PDF writes text.
func utf16BigEndian(s string) string {
	var b []byte
	for _, u := range utf16.Encode([]rune(s)) {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return string(b)
}
