package desk

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// A real oddity is the first line, with its contest, however many headings a further language lacks.
func TestWhatIsOddComesBeforeWhatAFurtherLanguageLacks(t *testing.T) {
	k, _ := open(t, "1-01", "1-02")
	keys(k, "A⏎")
	for n := range 5 {
		keys(k, fmt.Sprintf("Member of Council⌃Ward %c⏎c⏎1⏎Ada %c⏎⏎⏎⏎", 'N'+n, 'N'+n))
	}
	keys(k, "⏎1-01..2⏎")
	k.Open(Page{PageFace, 1})
	k.GoTo(Stop{Kind: Title, Row: 2, Place: 2})
	k.Remove() // from the face: it is on none
	require.True(t, k.Read("es"))
	k.Show(Page{PageFace, 1}, Stop{Kind: Title, Row: 1, Place: 1, Language: "es"})
	keys(k, "Miembro⏎")

	list := k.LookAgain(casefile.ScopeBallots)
	require.Len(t, list, 3)
	assert.Equal(t, "on no face", list[0].Words)
	assert.Equal(t, "Member of Council · Ward O", k.Where(list[0].Flags[0]))
	assert.Equal(t, "party line not keyed, in 5 places", list[1].Words)
	assert.Equal(t, "A, Member of Council · Ward N, Ada N", k.Where(list[1].Flags[0]))
	assert.Equal(t, "9 titles, headings and texts not keyed in Spanish", list[2].Words)
	assert.Len(t, list[2].Flags, 9)
	assert.Equal(t, "A, Member of Council · Ward N", k.Where(list[2].Flags[0]))
}

// At the seal of an amendment only what it opened can be looked at again.
func TestWhatIsSealedIsNotLookedAtAgainAfterAnAmendment(t *testing.T) {
	c, r := newCase(t, roster("1-01")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎⏎c⏎7⏎Ada⏎-⏎⏎Proof⏎Clerk⏎⏎c⏎7⏎Bo⏎-⏎⏎⏎⏎1-01⏎")
	require.Len(t, k.LookAgain(casefile.ScopeBallots), 2)
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	require.NoError(t, c.Amend(casefile.Amendment{Contests: []casefile.Row{{Table: casefile.Contests, Row: 1}},
		Document: "Order 12", Date: "2027-09-20", Reason: "withdrawn"}, "p1", "p2"))
	k = OpenKeying(r, Options{})
	list := k.LookAgain(casefile.ScopeBallots)
	require.Len(t, list, 1)
	assert.Equal(t, "A, Judge", k.Where(list[0].Flags[0]))
}
