package review_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/sheets"
)

// sealedCounty is a county keyed and sealed, with its export brought in. The export has
// mistakes of wording, votes, ballots and cards in it.
func sealedCounty(t testing.TB, n int, shared bool) *review.Review {
	t.Helper()
	r := casetest.Opened(t, casetest.New(t), sheets.FromElection(casetest.County(n, shared), ""), "export.xml",
		countyExport(t, n, shared))
	require.Greater(t, len(casetest.Now(t, r).Items), 40)
	return r
}

// countyExport is a county's export with mistakes in it.
func countyExport(t testing.TB, n int, shared bool) []byte {
	t.Helper()
	e := casetest.County(n, shared)
	for i := range 20 {
		e.Contests[7+i*3].VoteFor = model.Say(2)
		name := &e.Contests[8+i*3].Choices[1].Name
		*name = model.Say(model.Plain(name.Value.In("") + "e"))
	}
	e.Styles[1].Content = append(e.Styles[1].Content[:3:3], e.Styles[1].Content[4:]...)
	e.Units[3].Precincts = model.Say(e.Units[3].Precincts.Value[1:])
	return casetest.Export(t, e)
}
