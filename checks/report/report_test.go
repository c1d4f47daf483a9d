package report_test

import (
	"bytes"
	"crypto/ed25519"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
)

func forms(t testing.TB, r *report.Report) (canonical []byte, page, pdf string) {
	t.Helper()
	canonical, err := r.JSON()
	require.NoError(t, err)
	var h, p bytes.Buffer
	require.NoError(t, r.HTML(&h))
	require.NoError(t, r.PDF(&p))
	return canonical, h.String(), p.String()
}

func TestOneReportGivesTheSameBytesTwiceAndWhenReadBack(t *testing.T) {
	r, made := signed(t)
	canonical, page, pdf := forms(t, made)
	again, err := report.Signed(r.Case())
	require.NoError(t, err)
	require.Len(t, again, 1)
	require.Empty(t, again[0].Superseded)
	backJSON, backPage, backPDF := forms(t, again[0])
	require.Equal(t, canonical, backJSON)
	require.Equal(t, page, backPage)
	require.True(t, pdf == backPDF, "the PDF differs")
	state := r.Case().State()
	require.Len(t, state.SignOffs, 1)
	for _, s := range state.SignOffs[0].Terms.Reported {
		p, ok := state.Person(s.Person)
		require.True(t, ok)
		require.True(t, ed25519.Verify(p.PublicKey, canonical, s.Signature))
		changed := bytes.Replace(canonical, []byte("Tarnwick"), []byte("Tarnwisk"), 1)
		require.NotEqual(t, canonical, changed)
		require.False(t, ed25519.Verify(p.PublicKey, changed, s.Signature))
	}
}

func TestEveryFindingAndDecisionIsInEveryForm(t *testing.T) {
	_, made := signed(t)
	require.Len(t, made.Findings, 14)
	_, page, pdf := forms(t, made)
	text := html.UnescapeString(page)
	for _, f := range made.Findings {
		require.Contains(t, text, f.ID)
		require.NotEmpty(t, f.Decisions)
		for _, d := range f.Decisions {
			require.Contains(t, text, d.Reason)
		}
	}
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is missing; install poppler-utils")
		}
		t.Skip("pdftotext is not installed")
	}
	file := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(file, []byte(pdf), 0o600))
	out, err := exec.Command(tool, "-layout", file, "-").Output()
	require.NoError(t, err)
	read := strings.Join(strings.Fields(string(out)), " ")
	for _, f := range made.Findings {
		require.Contains(t, read, f.ID)
	}
	for _, p := range made.People {
		require.Contains(t, read, p.Name)
	}
	require.Contains(t, read, "Tarnwick County")
}

func TestNamesCannotBreakThePage(t *testing.T) {
	c := casetest.New(t, `<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "Ada \U0001F5F3 \u202eQuill")
	r := casetest.Opened(t, c, casetest.Sheets(t), "export.xml", casetest.File(t, "export.xml"))
	made, err := report.Make(r)
	require.NoError(t, err)
	_, page, pdf := forms(t, made)
	require.NotContains(t, page, "<script>alert")
	require.NotContains(t, page, "<img src=x")
	require.NotEmpty(t, pdf)
}

func TestWhatIsNoReportIsRefused(t *testing.T) {
	_, made := signed(t)
	canonical, _, _ := forms(t, made)
	_, err := report.Parse(canonical)
	require.NoError(t, err)
	for name, b := range map[string][]byte{
		"nothing":              nil,
		"no JSON":              []byte("report"),
		"another format":       []byte(`{"format":"counterproof-result/1"}`),
		"not canonical":        append([]byte(" "), canonical...),
		"cut short":            canonical[:len(canonical)/2],
		"with an unknown word": bytes.Replace(canonical, []byte(`{"amendments"`), []byte(`{"aaa":1,"amendments"`), 1),
	} {
		_, err := report.Parse(b)
		require.Error(t, err, name)
	}
}
