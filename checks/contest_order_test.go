package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func TestContestsExchangedAroundOneThatIsGoneAreTheSameFinding(t *testing.T) {
	// The first and the last contest are exchanged, around one that one side lacks or both
	// do. Either of the two may be said to have moved: the finding names the same one.
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
		right, neither, gone := ballot(0, 1, 2, 3), ballot(0, 1, 3), ballot(0, 3, 1)
		for _, sides := range [][4]*model.Election{{gone, right, gone, neither}, {right, gone, neither, gone}} {
			found := Compare(sides[0], sides[1], Options{}).Findings
			require.Len(t, found, 2)
			require.EqualValues(t, "contest-order", found[1].Check)
			without := Compare(sides[2], sides[3], Options{}).Findings
			require.Len(t, without, 1)
			assert.Equal(t, found[1].ID, without[0].ID, "%s / %s", found[1].Message, without[0].Message)
		}
	}
}
