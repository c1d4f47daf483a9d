package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

func TestAContestPutBackAmongExchangedOnesLeavesTheirFindingAsItWas(t *testing.T) {
	// The first and the last contest are exchanged, around one that is gone. Either of
	// the two may be said to have moved: the finding names the same one throughout.
	for _, titles := range [][3]string{{"Assessor", "Coroner", "Sheriff"}, {"Sheriff", "Coroner", "Assessor"}} {
		ballot := func(order ...int) *model.Election {
			e := smallCounty()
			for i, title := range titles {
				e.Contests[i+1].Title = say(title)
			}
			for s := range e.Styles {
				e.Styles[s].Content = nil
				for _, c := range order {
					e.Styles[s].Content = append(e.Styles[s].Content, model.Placement{Contest: c})
				}
			}
			return e
		}
		right, wrong := ballot(0, 1, 2, 3), ballot(0, 3, 1)
		for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
			found := Compare(sides[0], sides[1], Options{}).Findings
			require.Len(t, found, 2)
			require.EqualValues(t, "contest-order", found[1].Check)
			for _, e := range found[0].Edits {
				p, s := sides[0].Clone(), sides[1].Clone()
				e.Apply(map[finding.Side]*model.Election{finding.SidePrimary: p, finding.SideSecond: s}[e.Side])
				left := Compare(p, s, Options{}).Findings
				require.Len(t, left, 1, "mended in the %s", e.Side)
				assert.Equal(t, found[1].ID, left[0].ID, "mended in the %s: %s", e.Side, left[0].Message)
			}
		}
	}
}
