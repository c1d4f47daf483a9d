package baseline_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

var twoFiles = [2]string{"report.xml", "definition.xml"}

func valuesOf(t *testing.T, data []byte, second *model.Election, earlier ...*baseline.Named) (*baseline.Values,
	*baseline.Named) {
	t.Helper()
	e, _, err := cdf.Read([]cdf.Part{{Name: "a", Data: data}}, cdf.Options{Hold: true})
	require.NoError(t, err)
	return baseline.Of(pairing.Of(e, second, "", nil), earlier...)
}

// TestWhatTwoFormatsSayOtherwiseIsSeen holds the SP 1500-100 report of each NIST test election against its
// SP 1500-20 ballot definition. They agree; and where one value of the definition is altered that changes
// what is compared of it, they disagree.
func TestWhatTwoFormatsSayOtherwiseIsSeen(t *testing.T) {
	needsPublished(t)
	sets := enumerations(t)
	step := 1
	if testing.Short() {
		step = 7
	}
	// What finds a precinct, and the name of a contest beside its title, is not compared.
	passed := func(c baseline.Change) bool {
		return c.IsUnread() || c.IsReference() || c.Follows || c.Thing == finding.Precinct && c.Field != finding.Whole &&
			c.Field != finding.Sites
	}
	for _, name := range []string{"gen-01", "gen-03", "prim-01"} {
		t.Run(name, func(t *testing.T) {
			folder := "../../../shared/standards/test-elections/" + name + "/"
			report, err := os.ReadFile(folder + "pe-err-" + name + ".xml")
			require.NoError(t, err)
			definition, err := os.ReadFile(folder + "bd-" + name + ".xml")
			require.NoError(t, err)
			_, second := readHeld(t, report)
			one, names := valuesOf(t, report, second)
			other, _ := valuesOf(t, definition, second, names)
			require.Empty(t, baseline.Disagreements(one, one, other, twoFiles))

			var ids []string
			for _, m := range objectID.FindAllSubmatch(definition, -1) {
				ids = append(ids, string(m[1]))
			}
			changed, seen := 0, 0
			for i, l := range xmlLeaves(t, definition) {
				value := string(definition[l.from:l.to])
				with := altered(l, value, sets, ids)
				if i%step != 0 || with == value || l.member() == "Language" || l.member() == "@Language" {
					continue
				}
				data := slices.Concat(definition[:l.from], []byte(with), definition[l.to:])
				e, _, err := cdf.Read([]cdf.Part{{Name: "b", Data: data}}, cdf.Options{Hold: true})
				if err != nil {
					continue
				}
				after, _ := baseline.Of(pairing.Of(e, second, "", nil), names)
				groups := baseline.Disagreements(one, one, after, twoFiles)
				if slices.ContainsFunc(baseline.Diff(other, after), func(c baseline.Change) bool { return !passed(c) }) {
					changed++
					assert.NotEmpty(t, groups, "%s: %s → %s", l.path, value, with)
				} else {
					assert.Empty(t, groups, "%s: %s → %s", l.path, value, with)
				}
				for _, g := range groups {
					seen++
					require.NotContains(t, g.Words, "changed", "%s", l.path)
					require.True(t, strings.Contains(g.Words, twoFiles[0]) || strings.Contains(g.Words, twoFiles[1]), g.Words)
				}
			}
			t.Logf("%d altered, %d disagreements", changed, seen)
			require.Greater(t, changed, 10)
		})
	}
}

// TestALanguageByAnotherTagIsTheSame: one system writes en-US in one format and en, or nothing, in another.
func TestALanguageByAnotherTagIsTheSame(t *testing.T) {
	needsPublished(t)
	report, err := os.ReadFile("../../../shared/standards/test-elections/prim-01/pe-err-prim-01.xml")
	require.NoError(t, err)
	definition, err := os.ReadFile("../../../shared/standards/test-elections/prim-01/bd-prim-01.xml")
	require.NoError(t, err)
	_, second := readHeld(t, report)
	one, names := valuesOf(t, report, second)
	for _, tag := range []string{"en-US", "und"} {
		data := strings.ReplaceAll(string(definition), `Language="en"`, `Language="`+tag+`"`)
		other, _ := valuesOf(t, []byte(data), second, names)
		require.Empty(t, baseline.Disagreements(one, one, other, twoFiles), tag)

		require.Contains(t, data, ">Gloria La Riva<")
		other, _ = valuesOf(t, []byte(strings.ReplaceAll(data, ">Gloria La Riva<", ">Gloria La Rive<")), second, names)
		groups := baseline.Disagreements(one, one, other, twoFiles)
		require.Len(t, groups, 1)
		require.Equal(t, `the name of "Gloria La Riva" in "President of the United States" is "Gloria La Riva" in `+
			`report.xml and "Gloria La Rive" in definition.xml`, groups[0].Words)
	}
}

// TestSheetsOfAReportAgreeWithIt: sheets cannot say all that a report can, and that is no disagreement.
func TestSheetsOfAReportAgreeWithIt(t *testing.T) {
	needsPublished(t)
	for _, name := range []string{"gen-01", "gen-03", "prim-01"} {
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile("../../../shared/standards/test-elections/" + name + "/pe-err-" + name + ".xml")
			require.NoError(t, err)
			_, second := readHeld(t, data)
			one, names := valuesOf(t, data, second)
			export := func(e *model.Election) *baseline.Values {
				as, err := sheets.FromElection(e, "en").Export("en")
				require.NoError(t, err)
				other, _ := baseline.Of(pairing.Of(as, second, "", nil), names)
				return other
			}
			for _, g := range baseline.Disagreements(one, one, export(second), twoFiles) {
				t.Error(g.Words)
			}
			other := *second
			other.Contests = slices.Clone(second.Contests)
			other.Contests[1].VoteFor = model.Say(7)
			groups := baseline.Disagreements(one, one, export(&other), twoFiles)
			require.Len(t, groups, 1)
			require.Contains(t, groups[0].Words, `and "7" in definition.xml`)
		})
	}
}
