package report_test

import (
	"html"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// hostile is put into every place where a name can stand.
const hostile = "</style></td><script>alert(1)</script><img src=x " +
	"onerror=alert(1)>\"'&amp;=1+1\u202e\u2066\u200b\u2028\U0001F5F3"

// hostileReport is made of a case in which everything that has a name is called so: on
// both sides, and otherwise on the second, so that all of it is in findings too.
func hostileReport(t testing.TB) *report.Report {
	t.Helper()
	entry := func(more string) *model.Election {
		n := 0
		name := func() model.Text {
			n++
			return model.Plain(string(rune('a'+n%26)) + string(rune('a'+n/26%26)) + hostile + more)
		}
		e := casetest.County(60, true)
		e.Facts.Name, e.Facts.Jurisdiction = model.Say(name()), model.Say(name())
		for i := range e.Parties {
			e.Parties[i].Name, e.Parties[i].Abbreviation = model.Say(name()), model.Say(name())
		}
		for i := range e.Sites {
			e.Sites[i].Name = name()
		}
		for i := range e.Units {
			e.Units[i].Name = name().In("")
		}
		for i := range e.Precincts {
			// What names a precinct is the same on both sides.
			e.Precincts[i].Number = strings.TrimSuffix(name().In(""), more)
			e.Precincts[i].Name = model.Plain(e.Precincts[i].Number)
		}
		for i := range e.Contests {
			c := &e.Contests[i]
			c.Title, c.Subtitle, c.Text = model.Say(name()), model.Say(name()), model.Say(name())
			c.Name = c.Title
			for k := range c.Choices {
				if !c.Choices[k].WriteIn {
					c.Choices[k].Name = model.Say(name())
				}
			}
		}
		for i := range e.Styles {
			e.Styles[i].Label = model.Say(name().In(""))
			for k := range e.Styles[i].Content {
				e.Styles[i].Content[k].Headings = model.Say([]model.Text{name()})
			}
			e.Styles[i].Closing = model.Say([]model.Text{name()})
		}
		return e
	}
	c := casetest.New(t, "Odile "+hostile, "Wren "+hostile, "Bram "+hostile)
	rows := sheets.FromElection(entry("2"), "Proof "+hostile)
	r := casetest.Opened(t, c, rows, hostile+".xml", casetest.Export(t, entry("1")))
	reasons := map[string]string{}
	decision := review.Verdict{Outcome: casefile.OutcomeAsCertified, Reason: "Reason " + hostile,
		Document: "Document 1 " + hostile}
	for _, item := range casetest.Now(t, r).Items[:40] {
		decision.Findings = append(decision.Findings, item.ID)
	}
	require.NoError(t, r.Decide(decision, programmer, second))
	title := casetest.Row(t, c, casefile.Contests, "vote_for", "1")
	require.NoError(t, c.Correct("Document "+hostile, "Reason "+hostile,
		[]casefile.Change{casefile.Set(casefile.Contests, title, "title", hostile)}, programmer, second))
	require.NoError(t, c.Map(casefile.Mapping{Kind: "unit", Primary: hostile, Second: hostile, Reason: hostile},
		programmer, second))
	require.NoError(t, c.CompareAs(casefile.ComparedAs{Reason: hostile}, programmer, second))
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	for _, m := range missing {
		reasons[m.ID] = "Exception " + hostile
	}
	out, err := report.SignOff(r, reasons, programmer, second, supervisor)
	require.NoError(t, err)
	require.NotEmpty(t, out.Corrections)
	require.NotEmpty(t, out.Mappings)
	require.NotEmpty(t, out.Missing)
	require.Greater(t, len(out.Findings), 100)
	// The case's own name for the election stands at the head of each page.
	out.Election = report.Election{Name: hostile, Date: "2027-11-02", Jurisdiction: hostile}
	return out
}

// tag is what a browser could take for one.
var tag = regexp.MustCompile(`<[/!]?([A-Za-z][A-Za-z0-9]*)([^>]*)>`)

func TestNamesCannotBreakOrScriptThePages(t *testing.T) {
	if testing.Short() {
		t.Skip("sets a report of hostile names: long; run without -short")
	}
	_, page, pdf := forms(t, hostileReport(t))
	ours := map[string]bool{}
	for name := range strings.FieldsSeq(
		`DOCTYPE html head meta title style body main footer header section h1 h2 h3 h4 p ul ol li strong span mark
		code dl dt dd table caption thead tbody tr th td div article br pre`) {
		ours[name] = true
	}
	attribute := regexp.MustCompile(
		`^(\s+(lang|charset|http-equiv|content|name|class|scope|tabindex|aria-label)="[^"<>]*"|\s+html)*$`)
	for _, found := range tag.FindAllStringSubmatch(page, -1) {
		if !ours[found[1]] || !attribute.MatchString(found[2]) {
			t.Fatalf("%s is no tag of the report", found[0])
		}
	}
	require.Equal(t, 1, strings.Count(page, "</style>"))
	read := html.UnescapeString(page)
	require.Contains(t, read,
		"<script>alert(1)</script><img src=x onerror=alert(1)>\"'&amp;=1+1<U+202E><U+2066><U+200B><U+2028>\U0001F5F3",
		"it is all to be read")
	printed := poppler(t, pdf, "pdftotext", "-raw", "FILE", "-")
	require.Contains(t, squeeze(printed), squeeze("=1+1<U+202E><U+2066><U+200B><U+2028><U+1F5F3>"))
	for form, text := range map[string]string{"HTML": read, "PDF": printed} {
		for _, r := range text {
			if r != '\n' && r != '\f' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Zl, r)) {
				t.Fatalf("the %s holds %U", form, r)
			}
		}
	}
	// What a reader of PDF shows beside the pages: title and outline.
	for _, r := range []rune{0x202e, 0x2066, 0x200b, 0x2028} {
		for _, title := range regexp.MustCompile(`(?s)/Title \(\xfe\xff(.*?)\)\n`).FindAllString(pdf, -1) {
			require.NotContains(t, title, utf16BigEndian(string(r)))
		}
	}
	// Compressed streams hold any bytes by chance; actions stand in the dictionaries around them.
	outside := regexp.MustCompile(`(?s)\bstream\r?\n.*?\bendstream`).ReplaceAllString(pdf, "")
	require.Contains(t, outside, "/Type /Catalog")
	require.Contains(t, outside, "/Outlines ")
	require.NotRegexp(t, `/(JavaScript|JS|Launch|URI|AA)\b`, outside)
}
