package report_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/model"
	"counterproof/model/sheets"
)

// The picture shows the contests and the ballots that differ, and counts the rest: what agrees apart
// from what was not keyed in full.
func TestThePictureShowsWhatDiffersAndCountsTheRest(t *testing.T) {
	keyed, export := casetest.County(150, false), casetest.County(150, false)
	// A contest of the whole county, and one of the second of three towns of 50 precincts.
	export.Contests[4].VoteFor = model.Say(2)
	town := export.Styles[60].Content[15].Contest
	export.Contests[town].VoteFor = model.Say(2)
	// What nobody keyed is no difference, and does not agree.
	unkeyed := export.Styles[0].Content[2].Contest
	keyed.Contests[unkeyed].VoteFor = model.Stated[int]{}
	r := casetest.Opened(t, casetest.New(t), sheets.FromElection(keyed, ""), "export.xml", casetest.Export(t, export))
	made, err := report.Make(r)
	require.NoError(t, err)
	require.Len(t, made.Findings, 2)
	v := made.Overview
	require.Equal(t, []string{"Commissioner of Works 5, county district 1", "Commissioner of Works 2, town district 2"},
		v.Contests, "in ballot order")
	require.Equal(t, []report.OverviewRow{
		{Style: "BS-0001 and 99 more", Precincts: 100, Ballot: "a", Cells: "o."},
		{Style: "BS-0051 and 49 more", Precincts: 50, Ballot: "a", Cells: "oo"},
	}, v.Rows)
	require.Equal(t, []int{len(export.Contests) - 3, 1, 0, 0, 0, 0},
		[]int{v.SameContests, v.PartContests, v.MoreContests, v.SameStyles, v.PartStyles, v.MoreStyles})
}

// However much differs, the picture stays one that can be looked at, and says what it leaves out.
func TestThePictureOfALargeCountyHasAnEnd(t *testing.T) {
	keyed, export := casetest.County(150, false), casetest.County(150, false)
	for i := range export.Styles {
		export.Contests[export.Styles[i].Content[22].Contest].VoteFor = model.Say(2) // of each school district
		c := export.Styles[i].Content[14+i%8].Contest
		export.Contests[c].VoteFor = model.Say(2) // of each town
	}
	r := casetest.Opened(t, casetest.New(t), sheets.FromElection(keyed, ""), "export.xml", casetest.Export(t, export))
	made, err := report.Make(r)
	require.NoError(t, err)
	v := made.Overview
	require.Len(t, v.Rows, 60)
	require.Len(t, v.Contests, 64)
	require.Equal(t, 50+3*8, len(v.Contests)+v.MoreContests)
	shown := 0 // one precinct has each ballot
	for _, row := range v.Rows {
		shown += row.Precincts
	}
	require.Equal(t, len(export.Styles), shown+v.MoreStyles, "each ballot is in a row or counted")
	require.Positive(t, v.MoreStyles)
	require.Zero(t, v.SameStyles+v.PartStyles)
	_, page, _ := forms(t, made)
	require.Contains(t, asRead(page), fmt.Sprintf("Not shown, although something differed, because the picture would be "+
		"too large: %d ballot styles and 10 contests. The findings name them.", v.MoreStyles))
}
