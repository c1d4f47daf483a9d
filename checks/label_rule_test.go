package checks

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// towns labels n precincts of each of three towns.
func towns(n int, format string) (list []string) {
	for town := range 3 {
		for i := range n {
			list = append(list, fmt.Sprintf(format, town+1, i+1))
		}
	}
	return list
}

// A roster whose labels differ by one rule is one finding, and a contest that is really missing is
// seen beside it.
func TestARosterLabelledByAnotherRuleIsOneFindingAndComparisonGoesOn(t *testing.T) {
	plain := towns(26, "%d-%02d")
	for _, c := range []struct {
		name          string
		export, keyed []string
		says          string
	}{
		{"zeros", towns(26, "%03d-%03d"), plain,
			`differ throughout in leading zeros: "001-001" in the export is keyed as "1-01"`},
		{"a point for a hyphen", towns(26, "%d.%02d"), plain, "throughout in spaces or punctuation"},
		{"zeros and a point", towns(26, "%03d.%03d"), plain, "in leading zeros and in spaces or punctuation"},
		{"no separator", towns(26, "%d%02d"), plain, "throughout in spaces or punctuation"},
		{"a word before", towns(26, "Precinct %d-%02d"), plain, `the export has "Precinct" before each of them`},
		{"a word before, keyed", plain, towns(26, "Precinct %d-%02d"), `the second entry has "Precinct" before each of them`},
		{"a word before and zeros", towns(26, "Precinct %03d-%03d"), plain, `the export has "Precinct" before each of them`},
		{"a number before", towns(26, "36-%d-%02d"), plain, `the export has "36" before each of them`},
		{"a word after", towns(26, "%d-%02d Fennick County"), plain, `the export has "Fennick County" after each of them`},
		{"a word of each", towns(26, "ED %d-%02d"), towns(26, "Precinct %d-%02d"), "in the words before their numbers"},
		{"towns by name", towns(26, "Town %d, Precinct %d"), towns(26, "Town %03d Precinct %03d"), "leading zeros"},
	} {
		t.Run(c.name, func(t *testing.T) {
			primary, second := rosters(c.export, c.keyed)
			findings := Compare(primary, second, Options{}).Findings
			require.Len(t, findings, 1, listed(findings))
			assert.Equal(t, codePrecinctNames, findings[0].Check)
			assert.Equal(t, finding.Confirm, findings[0].Grade)
			assert.Len(t, findings[0].Precincts, len(c.keyed))
			assert.Contains(t, findings[0].Message, c.says)

			clerk := model.Contest{Title: say("Town Clerk"), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1),
				Choices: []model.Choice{{Name: say("Cora Finch")}, {Name: say("Dan Vale")}}}
			second.Contests = append(second.Contests, clerk)
			second.Styles[0].Content = append(second.Styles[0].Content, model.Placement{Contest: 1})
			findings = Compare(primary, second, Options{}).Findings
			assert.ElementsMatch(t, []string{"contest-missing", "precinct-names"}, codesOf(findings), listed(findings))

			// A precinct that is really absent stays absent, on either side.
			primary, second = rosters(append(slices.Clone(c.export[:50]), c.export[51:]...), c.keyed)
			findings = Compare(primary, second, Options{}).Findings
			assert.ElementsMatch(t, []string{"precinct-absent", "precinct-names"}, codesOf(findings), listed(findings))
			primary, second = rosters(c.export, append(slices.Clone(c.keyed[:50]), c.keyed[51:]...))
			findings = Compare(primary, second, Options{}).Findings
			assert.ElementsMatch(t, []string{"precinct-unkeyed", "precinct-names"}, codesOf(findings), listed(findings))
		})
	}
}

// Labels that no one rule pairs one to one stay unpaired.
func TestLabelsThatNoOneRuleExplainsStayUnpaired(t *testing.T) {
	for _, c := range []struct {
		name          string
		export, keyed string
		findings      int
	}{
		{"two single slips", "1-01 1-02 1-03 1-04", "1-1 1-2 1-03 1-04", 4},
		{"one mistyped label", "1-01 1-02 1-03 1-04", "1-01 1-02 1-03 1-40", 2},
		{"numbers of two wards", "1-01 1-02 1-03 2-01 2-02 2-03", "01 02 03 04 05 06", 12},
		{"two towns, one missing on each side", "Weir-1 Weir-2 Weir-3 Mill-1 Mill-2 Mill-3",
			"Weir-1 Weir-2 Weir-3 Ford-1 Ford-2 Ford-3", 6},
		{"halves of what the export does not split", "1-01 1-02 1-03", "1-01A 1-01B 1-02A 1-02B 1-03A 1-03B", 9},
		{"numbers that run together", "1-11 11-1 2-1 3-1", "111 112 21 31", 8},
		{"dates that a spreadsheet made, day and month either way", "1-01 1-02 2-01 2-02",
			"1/1/2027 2/1/2027 1/2/2027 2/2/2027", 1},
		{"mostly other labels", "1-01 1-02 1-03 North South East West", "1-1 1-2 1-3 Mill Ford Weir Lock", 14},
	} {
		t.Run(c.name, func(t *testing.T) {
			primary, second := rosters(strings.Fields(c.export), strings.Fields(c.keyed))
			findings := Compare(primary, second, Options{}).Findings
			assert.Len(t, findings, c.findings, listed(findings))
			assert.NotContains(t, codesOf(findings), string(codePrecinctNames))
		})
	}
}

// Exact labels come first, and so does what the pair mapped.
func TestARuleLeavesWhatIsPaired(t *testing.T) {
	primary, second := rosters(strings.Fields("01 02 03 04 5 05 10"), strings.Fields("1 2 3 4 5 10"))
	findings := Compare(primary, second, Options{}).Findings
	require.ElementsMatch(t, []string{"precinct-names", "precinct-unkeyed"}, codesOf(findings), listed(findings))
	for _, f := range findings {
		if f.Check == codePrecinctUnkeyed {
			assert.Equal(t, []string{"05"}, f.Precincts)
		} else {
			assert.Equal(t, []string{"1", "2", "3", "4"}, f.Precincts)
		}
	}
	primary, second = rosters(strings.Fields("01 02 03 04 Mill"), strings.Fields("1 2 3 4 5"))
	mapped := []pairing.Mapped{{Kind: "precinct", Primary: "Mill", Second: "4"}}
	findings = Compare(primary, second, Options{Mapped: mapped}).Findings
	assert.Contains(t, codesOf(findings), string(codePrecinctNames))
	for _, f := range findings {
		assert.NotContains(t, f.Precincts, "4", f.Message)
	}
}

// Where an export gives precincts several labels, those that contradict each other pair nothing.
func TestRulesThatContradictEachOtherPairNothing(t *testing.T) {
	primary, second := rosters(strings.Fields("Precinct_1 Precinct_2 Precinct_3"), strings.Fields("1 2 3"))
	called := func(codes ...string) (list []model.Origin) {
		for _, code := range codes {
			list = append(list, model.Origin{Codes: []string{code}})
		}
		return list
	}
	primary.Origins.Precincts = called("003", "001", "002")
	assert.NotContains(t, codesOf(Compare(primary, second, Options{}).Findings), string(codePrecinctNames))
	primary.Origins.Precincts = called("001", "002", "003")
	assert.Equal(t, []string{string(codePrecinctNames)}, codesOf(Compare(primary, second, Options{}).Findings))
}
