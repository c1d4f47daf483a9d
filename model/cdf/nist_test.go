package cdf

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// standards is where the published schemas and test elections lie (NIST SP
// 1500-100 and the NIST Voting Common Data Format test data sets), beside the
// repository.
const standards = "../../../shared/standards"

// published returns the path of a published file, which CI must have.
func published(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(standards, name)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the published file is missing: %v", err)
		}
		t.Skipf("the published file is not here: %v", err)
	}
	return path
}

func readPublished(t testing.TB, name string) (*model.Election, Contents) {
	t.Helper()
	e, c, err := ReadFiles([]string{published(t, "test-elections/"+name)}, Options{})
	require.NoError(t, err)
	return e, c
}

// TestNISTElectionsAreTheSameInXMLAndJSON: the two files of each NIST test
// election say the same, and as much as its README.md says. The counts are taken
// from reading the READMEs ("3 parties", "Contest Totals: 19"); precincts are those
// that ballots are for. PRIM-01 differs: its README speaks of 5 ballot styles of 6
// contests, one for each party, where both files have one style for each of the 2
// precincts that holds the 30 contests of all parties, as an open primary allows.
func TestNISTElectionsAreTheSameInXMLAndJSON(t *testing.T) {
	for _, election := range []struct {
		folder                                 string
		name, date, jurisdiction               string
		precincts, styles, contests, parties   int
		contestsOnEachBallot, choices, writeIn int
	}{
		{"gen-01", "GEN-01 General Election", "2000-11-07", "Test County", 4, 4, 19, 3, 10, 58, 16},
		{"gen-03", "GEN-03 General Election", "2004-11-02", "Test County", 2, 2, 8, 2, 6, 22, 6},
		{"prim-01", "PRIM-01", "2008-02-19", "Bibb County", 2, 2, 30, 5, 30, 81, 30},
	} {
		t.Run(election.folder, func(t *testing.T) {
			x, xc := readPublished(t, election.folder+"/pe-err-"+election.folder+".xml")
			j, jc := readPublished(t, election.folder+"/pe-err-"+election.folder+".json")
			assert.Equal(t, []string{"XML", "JSON"}, []string{xc.Parts[0].Format, jc.Parts[0].Format})
			assert.Empty(t, x.Origins.Dangling)
			assert.Empty(t, j.Origins.Dangling)
			x.Origins, j.Origins = model.Origins{}, model.Origins{}
			assert.Empty(t, cmp.Diff(x, j))
			xc.Parts, jc.Parts = nil, nil
			assert.Empty(t, cmp.Diff(xc, jc))

			assert.Equal(t, election.name, x.Facts.Name.Value.In("en"))
			assert.Equal(t, election.date, x.Facts.Date.Value)
			assert.Equal(t, election.jurisdiction, x.Facts.Jurisdiction.Value.In("en"))
			assert.Len(t, x.Styles, election.styles)
			assert.Len(t, x.Contests, election.contests)
			assert.Len(t, x.Parties, election.parties)
			voting := map[int]bool{}
			for _, s := range x.Styles {
				for _, p := range s.Precincts {
					voting[p] = true
				}
				assert.Len(t, s.Content, election.contestsOnEachBallot)
			}
			assert.Len(t, voting, election.precincts)
			choices, writeIn := 0, 0
			for _, c := range x.Contests {
				choices += len(c.Choices)
				for _, choice := range c.Choices {
					if choice.WriteIn {
						writeIn++
					}
				}
			}
			assert.Equal(t, election.choices, choices)
			assert.Equal(t, election.writeIn, writeIn)
		})
	}
}

// TestNISTResultsReadAsBallots: a report with counts says the same about the
// ballots as the one before the election; the counts are listed as not compared.
func TestNISTResultsReadAsBallots(t *testing.T) {
	for _, election := range []string{"gen-01", "gen-03", "prim-01"} {
		for _, format := range []string{".xml", ".json"} {
			t.Run(election+format, func(t *testing.T) {
				before, _ := readPublished(t, election+"/pe-err-"+election+format)
				after, c := readPublished(t, election+"/err-"+election+format)
				assert.Positive(t, c.Uncompared["ContestSelection.VoteCounts"])
				assert.Equal(t, len(before.Contests), len(after.Contests))
				assert.Empty(t, cmp.Diff(before.Styles, after.Styles))
			})
		}
	}
}

// TestAnotherStandardIsNamed: files of other NIST formats say what they are.
func TestAnotherStandardIsNamed(t *testing.T) {
	for name, want := range map[string]string{
		"cvr-gen-01.xml":  "CastVoteRecordReport of NIST SP 1500-103 (cast vote records)",
		"cvr-gen-01.json": "NIST SP 1500-103 (cast vote records)",
	} {
		t.Run(name, func(t *testing.T) {
			path := published(t, "test-elections/gen-01/"+name)
			_, _, err := ReadFiles([]string{path}, Options{})
			require.ErrorContains(t, err, want)
			assert.ErrorContains(t, err, path+", line ")
			assert.ErrorContains(t, err, wantReport)
		})
	}
}
