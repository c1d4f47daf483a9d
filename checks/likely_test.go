package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// message is that of the one finding of a code.
func message(t *testing.T, findings []finding.Finding, code finding.Code) string {
	t.Helper()
	var out []string
	for _, f := range findings {
		if f.Check == code {
			out = append(out, f.Message)
		}
	}
	require.Len(t, out, 1, code)
	return out[0]
}

func TestWhatMayBeMeantByANameIsTold(t *testing.T) {
	with := func(change func(e *model.Election)) []finding.Finding {
		primary := fullElection()
		change(primary)
		return Compare(primary, fullElection(), Options{}).Findings
	}
	found := with(func(e *model.Election) { e.Units[0].Name = "U7" })
	assert.Equal(t, "Unit U1 was keyed, and the export has no unit of that name; U7, which was not keyed, has the same "+
		"site and card.", message(t, found, "unit-absent"))
	assert.Equal(t, "The export has a unit U7, which was not keyed; U1, which the export does not have, has the same "+
		"site and card.", message(t, found, "unit-unkeyed"))
	found = with(func(e *model.Election) { e.Units[0].Name = "Ul" })
	assert.Contains(t, message(t, found, "unit-absent"),
		"the export has Ul in its place, at the same site; the names differ in letters that look the same and are not")
	found = with(func(e *model.Election) { e.Units = append(e.Units, e.Units[0]) })
	assert.Equal(t, "The export has unit U1 more often than it was keyed.", message(t, found, "unit-unkeyed"))

	found = with(func(e *model.Election) { e.Precincts[5].Name = model.Plain("3-2") })
	assert.Equal(t, `Precinct "3-02" was keyed, and the export has no precinct of that name, number or identifier; it has `+
		`"3-2", which was not keyed.`, message(t, found, "precinct-absent"))
	found = with(func(e *model.Election) { e.Precincts[5].Name = model.Plain("3-O2") })
	assert.Contains(t, message(t, found, "precinct-absent"),
		`"3-O2" was not keyed and differs in letters that look the same and are not`)
	found = with(func(e *model.Election) { e.Precincts[5].Name = model.Plain("North") })
	assert.Equal(t, `Precinct "3-02" was keyed, and the export has no precinct of that name, number or identifier.`,
		message(t, found, "precinct-absent"))
}

func TestAnOverloadedUnitIsFoundWhereThePrimaryLacksAPrecinct(t *testing.T) {
	second, primary := fullElection(), fullElection()
	for _, e := range []*model.Election{primary, second} {
		e.Units = e.Units[:2]
	}
	second.Units[0].Precincts = model.Say([]int{0, 1, 2})
	primary.Units[0].Precincts = model.Say([]int{0, 1})
	primary.Precincts[2].Name = model.Plain("elsewhere") // 2-01 as keyed
	found := Compare(primary, second, Options{UnitLimit: 2}).Findings
	assert.Contains(t, message(t, found, "unit-load"),
		"Unit U1 was keyed with 3 precincts in its card header; the limit is 2.")
}

func TestRankedContestsAreListedAsNotKeyed(t *testing.T) {
	primary, second := fullElection(), fullElection()
	for i := range second.Contests {
		second.Contests[i].Variation = model.Stated[string]{}
	}
	assert.NotContains(t, strings.Join(Compare(primary, second, Options{}).Coverage.NotKeyed, "; "), "vote variation")
	primary.Contests[1].Variation = model.Say("rcv")
	assert.Contains(t, Compare(primary, second, Options{}).Coverage.NotKeyed,
		"vote variation rcv of Reeve of Fennick: the second entry states none")
}

func TestAPrecinctWithoutABallotIsToldOnce(t *testing.T) {
	// 3-01 is split in two; 3-02 and 3-03 vote together.
	primary := fullElection()
	add := func(name, kind string, members ...int) int {
		primary.Precincts = append(primary.Precincts, model.Precinct{Name: model.Plain(name), Kind: kind, Members: members})
		return len(primary.Precincts) - 1
	}
	a, b := add("3-01 A", "split-precinct"), add("3-01 B", "split-precinct")
	primary.Precincts[4].Members = []int{a, b}
	c := add("3-02/03", "combined-precinct", 5, 6)
	primary.Styles[2].Precincts = []int{a, b, c}
	second := fullElection()
	second.Precincts = append(second.Precincts, model.Precinct{Name: model.Plain("3-01 A")},
		model.Precinct{Name: model.Plain("3-01 B")}, model.Precinct{Name: model.Plain("3-02/03")})
	second.Styles[2].Precincts = []int{7, 8, 9}
	conflicts := func(precincts ...int) []string {
		e := primary.Clone()
		e.Styles[2].Precincts = precincts
		var out []string
		for _, f := range Compare(e, second, Options{}).Findings {
			if f.Check == "style-conflict" {
				out = append(out, f.Precincts...)
			}
		}
		return out
	}
	assert.Empty(t, conflicts(a, b, c))
	assert.Equal(t, []string{"3-01 A"}, conflicts(b, c))
	assert.Equal(t, []string{"3-01 A", "3-01 B"}, conflicts(c))
	assert.Equal(t, []string{"3-02/03"}, conflicts(a, b))
	// One of the two has a ballot of its own: then the other is what has none.
	assert.Equal(t, []string{"3-03"}, conflicts(5, a, b))
}
