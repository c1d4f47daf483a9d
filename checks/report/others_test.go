package report_test

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// A report names what came in in another format, and with which export it was compared; what was signed
// can be made again from the case.
func TestAReportNamesWhatCameInInAnotherFormat(t *testing.T) {
	r := casetest.Finished(t)
	data := casetest.Definition(t, casetest.File(t, "corrected.xml"))
	wrong := bytes.Replace(data, []byte("<VotesAllowed>2<"), []byte("<VotesAllowed>3<"), 1)
	casetest.Bring(t, r, "wrong.xml", wrong)
	made, err := report.Make(r)
	require.NoError(t, err)
	require.False(t, made.Finished)
	var found string
	for _, f := range made.Findings {
		if f.Check == "exports-differ" {
			found = f.ID
		}
	}
	require.NotEmpty(t, found)
	require.NoError(t, r.Decide(review.Verdict{Findings: []string{found}, Outcome: casefile.OutcomeFixConfiguration,
		Reason: "exported on another day", Document: "Certified list 3"}, programmer, second))
	casetest.Bring(t, r, "definition.xml", data)

	signedOff, err := report.SignOff(r, nil, programmer, second, supervisor)
	require.NoError(t, err)
	require.Len(t, signedOff.Exports, 2)
	require.Len(t, signedOff.Others, 2)
	require.Equal(t, []string{"definition.xml", "corrected.xml", "SP 1500-20 version 1"},
		[]string{signedOff.Others[1].Name, signedOff.Others[1].With, signedOff.Others[1].Format})
	require.Contains(t, signedOff.Limit, "definition.xml came in in another format: it was compared with corrected.xml, "+
		"once, and not with what was keyed.")
	var page bytes.Buffer
	require.NoError(t, signedOff.HTML(&page))
	require.Contains(t, page.String(), "Exports in another format: each was compared once")
	require.Contains(t, page.String(), "by export 4, “definition.xml”, in another format")
	require.NoError(t, signedOff.PDF(io.Discard))
	checked := verify(t, r.Case().Path(), casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.True(t, strings.Contains(checked.Words(), "Made again from the case, it is the same byte for byte"))
}
