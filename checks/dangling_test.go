package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func TestReferencesToOneMissingThingAreOneFinding(t *testing.T) {
	e := smallCounty()
	d := model.Dangling{From: "BallotStyle at line 3", Field: "GpUnitIds", To: "p7", File: "a.xml", Line: 3}
	for _, r := range []model.Referrer{{From: "BallotStyle at line 5", File: "a.xml", Line: 5},
		{From: "BallotStyle at line 7", File: "a.xml", Line: 7}, {From: "BallotStyle at line 9", File: "a.xml", Line: 9},
		{From: "BallotStyle at line 11", File: "a.xml", Line: 11}} {
		d.Add(r)
	}
	alone := model.Dangling{From: "BallotStyle at line 3", Field: "GpUnitIds", To: "p8", Line: 3}
	alone.Add(model.Referrer{From: alone.From, Line: 3}) // named twice by one style
	e.Origins.Dangling = []model.Dangling{d, alone}
	found := Inspect(e, Options{})
	require.Len(t, found, 2)
	assert.Equal(t, `BallotStyle at line 3 names a precinct or other area that the export does not hold: "p8" (GpUnitIds).`,
		found[1].Message)
	assert.Equal(t, `5 places of the export name a precinct or other area that the export does not hold: "p7" (BallotStyle, `+
		`GpUnitIds): the first in `+
		`BallotStyle at line 3, BallotStyle at line 5, BallotStyle at line 7, BallotStyle at line 9.`, found[0].Message)
	assert.Equal(t, "a.xml line 3; a.xml line 5; a.xml line 7; a.xml line 9", found[0].Places.Primary)

	// Which thing comes first is no part of what the finding is.
	e.Origins.Dangling[0].From = "BallotStyle at line 2"
	again := Inspect(e, Options{})
	assert.Contains(t, []string{again[0].ID, again[1].ID}, found[0].ID)
}
