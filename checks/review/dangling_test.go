package review_test

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/internal/planted"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// An export points at something that it does not hold, and the pair asks that this be mended. What
// it lacked for want of it then comes back, and nothing of that is a change that nobody asked for.
func TestWhatAMissingTargetTookAwayIsAskedForWithIt(t *testing.T) {
	shape := planted.Small()
	shape.Fusion = planted.NoFusion
	county := planted.New(7, shape)
	clean := exportOf(t, county.Primary.Election)
	precinct := regexp.MustCompile(`<GpUnitIds>(\S+) \S`).FindSubmatch(clean) // on a style with others
	require.NotNil(t, precinct)
	for _, c := range []struct{ name, class, id string }{
		{"a party", "Party", "party-1"},
		{"a candidate", "Candidate", "candidate-3"},
		{"a contest", "Contest", "contest-2"},
		{"a precinct", "GpUnit", string(precinct[1])},
		{"a heading", "Header", "header-2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			element := regexp.MustCompile(`(?s)<` + c.class + ` ObjectId="` + c.id + `".*?</` + c.class + `>`)
			broken := element.ReplaceAll(clean, nil)
			require.NotEqual(t, len(clean), len(broken))
			r := casetest.Opened(t, casetest.New(t), sheets.FromElection(county.Second.Election, ""), "broken.xml", broken)
			items := casetest.Now(t, r).Items
			for _, i := range items {
				t.Log(i.Check, i.Message)
			}
			require.Len(t, items, 1)
			require.NoError(t, r.Decide(review.Verdict{Findings: []string{items[0].ID},
				Outcome: casefile.OutcomeFixConfiguration, Reason: "it is not there", Document: "Proof 2"}, programmer,
				casetest.Second))
			casetest.Bring(t, r, "clean.xml", clean)
			for _, m := range unaskedIn(t, r) { // what is never keyed is for the pair to confirm
				require.Regexp(t, "^(The precincts of district|Candidate in no contest)", m)
			}
			for _, i := range casetest.Now(t, r).Items {
				if !i.Unasked {
					require.Equal(t, review.StatusCleared, i.Status, i.Message)
				}
			}
		})
	}
}
