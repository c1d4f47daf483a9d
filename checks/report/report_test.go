package report_test

import (
	"bytes"
	"crypto/ed25519"
	"testing"

	"github.com/stretchr/testify/require"

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

func annexForms(t testing.TB, r *report.Report) (canonical []byte, page, pdf string) {
	t.Helper()
	canonical, err := r.Ballots().JSON()
	require.NoError(t, err)
	var h, p bytes.Buffer
	require.NoError(t, r.AnnexHTML(&h))
	require.NoError(t, r.AnnexPDF(&p))
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
