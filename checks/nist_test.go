package checks_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

const (
	nistFolder = "../../shared/standards/test-elections"
	keyed      = "../testdata/nist"
)

// The three test elections of NIST's Voting Common Data Format Test Method: the
// sheets were keyed from each README, and the differences in expected.csv were
// found by reading README and file side by side (differences.md beside it).
var nistElections = []string{"gen-01", "gen-03", "prim-01"}

// said is what an expectation and a finding have in common.
type said struct{ check, grade, contest, choice, primary, second string }

func nistPrimary(t *testing.T, name, form string) *model.Election {
	t.Helper()
	return nistReport(t, name, "pe-err-", form)
}

// nistReport reads the report before the election ("pe-err-"), the one with counts
// ("err-") or the ballot definition ("bd-").
func nistReport(t *testing.T, name, report, form string) *model.Election {
	t.Helper()
	path := filepath.Join(nistFolder, name, report+name+"."+form)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the NIST test elections are missing: %v", err)
		}
		t.Skipf("the NIST test elections are not beside the repository: %v", err)
	}
	e, _, err := cdf.ReadFiles([]string{path}, cdf.Options{})
	require.NoError(t, err)
	return e
}

func nistSecond(t *testing.T, name string) *model.Election {
	t.Helper()
	rows, err := sheets.ReadDir(filepath.Join(keyed, name))
	require.NoError(t, err)
	e, err := rows.Election()
	require.NoError(t, err)
	return e
}

func expectedOf(t *testing.T, name string) []said {
	t.Helper()
	f, err := os.Open(filepath.Join(keyed, name, "expected.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []said
	for _, r := range rows[1:] {
		out = append(out, said{r[0], r[1], r[2], r[3], r[4], r[5]})
	}
	return out
}

func TestTheNISTElectionsDifferWhereReadingFindsThemToDiffer(t *testing.T) {
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			r := checks.Compare(nistPrimary(t, name, "xml"), nistSecond(t, name), checks.Options{})
			var got []said
			for _, f := range r.Findings {
				contest := f.Contest
				if f.Check == "heading" {
					contest = "" // the heading, not the contest under it, is what differs
				}
				got = append(got, said{string(f.Check), string(f.Grade), contest, f.Choice, f.Primary, f.Second})
			}
			want := expectedOf(t, name)
			for _, list := range [][]said{got, want} {
				for i := range list {
					if list[i].check == "heading" {
						list[i].contest = ""
					}
				}
				sort.Slice(list, func(i, j int) bool {
					return strings.Join([]string{list[i].check, list[i].contest, list[i].choice, list[i].primary, list[i].second},
						"\x00") <
						strings.Join([]string{list[j].check, list[j].contest, list[j].choice, list[j].primary, list[j].second}, "\x00")
				})
			}
			if d := cmp.Diff(want, got, cmp.AllowUnexported(said{})); d != "" {
				t.Errorf("findings are not the differences listed in %s/%s/expected.csv (-expected +found):\n%s", keyed, name, d)
			}
		})
	}
}

func TestXMLAndJSONOfOneElectionGiveTheSameFindings(t *testing.T) {
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			second := nistSecond(t, name)
			fromXML := checks.Compare(nistPrimary(t, name, "xml"), second, checks.Options{})
			fromJSON := checks.Compare(nistPrimary(t, name, "json"), second, checks.Options{})
			for _, r := range []*checks.Result{&fromXML, &fromJSON} {
				for i := range r.Findings {
					r.Findings[i].Places = finding.Places{} // the lines of the files differ
				}
			}
			if d := cmp.Diff(fromXML.Findings, fromJSON.Findings); d != "" {
				t.Errorf("XML and JSON differ (-XML +JSON):\n%s", d)
			}
		})
	}
}

// TestTheNISTBallotDefinitionsGiveTheFindingsOfTheReports: the SP 1500-20 file of each election differs
// from what was keyed where its SP 1500-100 file does, and nowhere else. What the two files state
// differently, no check compares; model/cdf lists it (TestNISTBallotDefinitionsSayWhatTheReportsSay).
func TestTheNISTBallotDefinitionsGiveTheFindingsOfTheReports(t *testing.T) {
	for _, name := range nistElections {
		for _, form := range []string{"xml", "json"} {
			t.Run(name+"."+form, func(t *testing.T) {
				second := nistSecond(t, name)
				report := checks.Compare(nistPrimary(t, name, form), second, checks.Options{})
				definition := checks.Compare(nistReport(t, name, "bd-", form), second, checks.Options{})
				require.NotEmpty(t, definition.Findings)
				for _, r := range []*checks.Result{&report, &definition} {
					for i := range r.Findings {
						r.Findings[i].Places = finding.Places{} // the lines of the files differ
					}
				}
				if d := cmp.Diff(report, definition); d != "" {
					t.Errorf("the ballot definition differs (-SP 1500-100 +SP 1500-20):\n%s", d)
				}
			})
		}
	}
}

// The reports with the counts of the test deck were written anew: by reading them, that
// of GEN-03 differs from the report before the election in the election's name, that of
// PRIM-01 in the name and in that no contest says whose primary it belongs to. Proving
// them finds these differences beside those of the report before the election, and no
// others. GEN-01's has other ballots as well, and is held to its JSON alone.
func TestTheNISTReportsWithCountsDifferInWhatWasWrittenOtherwise(t *testing.T) {
	told := func(r checks.Result) map[said]int {
		out := map[said]int{}
		for _, f := range r.Findings {
			out[said{string(f.Check), string(f.Grade), f.Contest + " " + f.Party, f.Choice, f.Primary, f.Second}]++
		}
		return out
	}
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			second := nistSecond(t, name)
			xml := checks.Compare(nistReport(t, name, "err-", "xml"), second, checks.Options{})
			json := checks.Compare(nistReport(t, name, "err-", "json"), second, checks.Options{})
			require.NotEmpty(t, xml.Findings)
			require.Empty(t, cmp.Diff(told(xml), told(json), cmp.AllowUnexported(said{})), "XML and JSON differ")
			if name == "gen-01" {
				return
			}
			before := nistPrimary(t, name, "xml")
			want := told(checks.Compare(before, second, checks.Options{}))
			want[said{"election", "must-fix", " ", "", "Unnamed Election", second.Facts.Name.Value.In("")}]++
			if name == "prim-01" {
				for _, c := range second.Contests {
					party := second.Parties[c.PrimaryParties.Value[0]].Abbreviation.Value.In("")
					want[said{"primary-party", "must-fix", strings.TrimSpace(c.Title.Value.In("")+" "+c.Subtitle.Value.In("")) + " " +
						party, "", "", party}]++
				}
			}
			if d := cmp.Diff(want, told(xml), cmp.AllowUnexported(said{})); d != "" {
				t.Errorf("(-expected +found):\n%s", d)
			}
		})
	}
}
