package report_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// The annex is covered by the signatures on the report: beside a report, a changed one shows, and a
// missing one is named.
func TestTheAnnexIsHeldAgainstTheSignedReport(t *testing.T) {
	_, made := signed(t)
	dir := filepath.Join(t.TempDir(), "report")
	require.NoError(t, made.WriteFolder(dir))
	path, annex := filepath.Join(dir, "report.json"), filepath.Join(dir, "annex.json")
	require.True(t, verify(t, path, casefile.Expect{}).Good())
	b, err := os.ReadFile(annex)
	require.NoError(t, err)
	require.Equal(t, casefile.DigestOf(b).String(), made.Annex)

	changed := strings.Replace(string(b), "County Judge", "County Court", 1)
	require.NotEqual(t, string(b), changed)
	require.NoError(t, os.WriteFile(annex, []byte(changed), 0o600))
	faultAt(t, verify(t, path, casefile.Expect{}), "annex.json", "changed")

	require.NoError(t, os.Remove(annex))
	checked := verify(t, path, casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.Contains(t, checked.Words(), "annex.json: it is not beside the report, so the ballots that were signed were "+
		"not")
}

// What the ballots of the case say is made again from it, like the report.
func TestAnAnnexThatTheCaseDoesNotGiveShows(t *testing.T) {
	r := casetest.Finished(t)
	made, err := report.Make(r)
	require.NoError(t, err)
	annex, err := made.Ballots().JSON()
	require.NoError(t, err)
	forged := []byte(strings.Replace(string(annex), "County Judge", "County Court", 1))
	b, err := made.JSON()
	require.NoError(t, err)
	b = []byte(strings.Replace(string(b), made.Annex, casefile.DigestOf(forged).String(), 1))
	people := []casefile.PersonID{programmer, second, supervisor}
	var on []casefile.Signature
	for _, p := range people {
		s, err := r.Case().SignReport(p, b)
		require.NoError(t, err)
		on = append(on, s)
	}
	require.NoError(t, r.Case().SignOff(b, forged, on, nil, people...))
	checked := verify(t, r.Case().Path(), casefile.Expect{})
	require.False(t, checked.Good())
	require.Contains(t, checked.Words(), "made again from the case, its annex says something else, first at "+
		"/contests/8/title")
}

// A report that an earlier version signed holds its ballots itself, and still shows them.
func TestAnEarlierReportShowsItsBallots(t *testing.T) {
	b, err := os.ReadFile(filepath.Join(earlierEvidence(t), "report.json"))
	require.NoError(t, err)
	r, err := report.Parse(b)
	require.NoError(t, err)
	require.Equal(t, 1, r.Rendering)
	require.Len(t, r.Ballots().Contests, 26)
	_, page, pdf := forms(t, r)
	for _, text := range []string{asRead(page), poppler(t, pdf, "pdftotext", "-raw", "FILE", "-")} {
		for _, words := range []string{"Ballot styles", "BS-10", "Marisol Tejada-Quinn", "TW-1101",
			"The county at a glance"} {
			require.Contains(t, squeeze(text), squeeze(words))
		}
		require.NotContains(t, text, "annex.json")
	}
}

// Ballots that print the same are one line, whatever their labels; where anything that is printed
// differs, they are two.
func TestEqualBallotsAreOneLineOfTheAnnex(t *testing.T) {
	lines := func(change func(e *model.Election)) int {
		e := casetest.County(60, true)
		e.Styles = append(e.Styles, e.Styles[0].Clone()) // its last precinct votes the same under another label
		one, two := &e.Styles[0], &e.Styles[len(e.Styles)-1]
		two.Label = model.Say("BS-99")
		two.Precincts = []int{one.Precincts[len(one.Precincts)-1]}
		one.Precincts = one.Precincts[:len(one.Precincts)-1]
		change(e)
		r := casetest.Opened(t, casetest.New(t), sheets.FromElection(e, ""), "export.xml", casetest.Export(t, e))
		made, err := report.Make(r)
		require.NoError(t, err)
		require.Len(t, made.Ballots().Styles, len(e.Styles))
		_, page, _ := annexForms(t, made)
		_, rows, _ := strings.Cut(page, "Contests, in order")
		rows, _, _ = strings.Cut(rows, "</table>")
		return strings.Count(rows, "<tr>")
	}
	same := lines(func(*model.Election) {})
	last := func(e *model.Election) *model.Style { return &e.Styles[len(e.Styles)-1] }
	for name, change := range map[string]func(*model.Election){
		"a contest is left off": func(e *model.Election) { last(e).Content = last(e).Content[1:] },
		"two contests change places": func(e *model.Election) {
			c := last(e).Content
			c[0], c[1] = c[1], c[0]
		},
		"another order of choices": func(e *model.Election) {
			last(e).Content[0].Order = model.Say([]int{1, 0, 2, 3, 4, 5})
		},
		"a heading": func(e *model.Election) {
			last(e).Content[0].Headings = model.Say([]model.Text{model.Plain("County")})
		},
	} {
		require.Equal(t, same+1, lines(change), name)
	}
}
