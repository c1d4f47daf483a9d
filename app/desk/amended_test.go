package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestAnAmendedContestIsKeyedFromNothing(t *testing.T) {
	c, r := newCase(t, roster("1-01", "1-02")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎County Clerk⏎⏎c⏎1⏎Dee Marsh⏎ALD⏎⏎Proof⏎⏎1-01⏎")
	keys(k, "B⏎County Judge⏎⏎c⏎1⏎Ada Quill⏎ALD⏎Ada Quill⏎GRO⏎Bo Reed⏎BRK⏎_⏎⏎⏎⏎1-02⏎")
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-01", Reason: "a new candidate",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: 2}}, Rekey: true}, "p1", "p2"))
	k.Refresh()
	require.Equal(t, Page{PageFace, 2}, k.Page(), "the page with the contest opens")
	require.Equal(t, Stop{Kind: Title, Row: 2, Place: 2}, k.Focus())
	require.Equal(t, k.Focus(), OpenKeying(r, Options{}).Focus(), "and so it does the next time")

	for _, text := range []string{"Ada", "Bo", "County J"} {
		assert.Empty(t, k.Find(text), "nothing of it is found")
	}
	require.False(t, k.Undo(), "nor brought back")
	keys(k, "County Judge⏎⏎c⏎2⏎")
	require.Equal(t, NextChoice, k.Focus().Kind)
	keys(k, `"⏎`)
	assert.Empty(t, r.Get(casefile.Choices, 2, "name"), "the name above is not that of before")
	k.Escape()
	keys(k, "Ada Quill⏎ALD⏎Cy Lund⏎BRK⏎Ada Quill⏎GRO⏎_⏎⏎")
	for row, name := range map[int]string{2: "Ada Quill", 3: "Ada Quill", 5: "Write-in", 6: "Cy Lund"} {
		assert.Equal(t, name, r.Get(casefile.Choices, row, "name"), "row %d", row)
	}
	assert.Equal(t, "GRO", r.Get(casefile.Choices, 3, "party_lines"), "in the order in which they stood")
	assert.Empty(t, r.Get(casefile.Choices, 4, "name"), "Bo Reed is not keyed again")
	assert.Empty(t, c.Untyped())
	k.Open(Page{Kind: PageElection})
	k.Open(Page{PageFace, 2})
	assert.Equal(t, 2, k.allStops[k.at(k.Focus())].Contest, "the page opens at the contest")
}

// A candidate withdraws; the keys are faster than the disk.
func TestAnAmendedContestThatLosesACandidate(t *testing.T) {
	c, r := newCase(t, roster("1-01", "1-02")...)
	first := OpenKeying(r, Options{})
	first.Open(Page{PageFace, 1})
	keys(first, "A⏎Senator⏎⏎c⏎1⏎Chad Snow⏎ALD⏎Don Etler⏎BRK⏎Write-In⏎⏎⏎Proof⏎Clerk⏎⏎c⏎1⏎Dee Marsh⏎ALD⏎⏎⏎1-01⏎")
	keys(first, "B⏎Sen⏎⏎1-02⏎")
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-01",
		Reason:   "a candidate withdraws",
		Contests: []casefile.Row{{Table: casefile.Contests, Row: 1}}, Rekey: true}, "p1", "p2"))
	posted := make(chan func(), 1000)
	k := OpenKeying(r, Options{Post: func(f func()) { posted <- f }})
	for _, words := range []string{"Senator", "", "c", "1", "Chad Snow", "ALD", "Write-In", "", ""} {
		keys(k, words+"⏎")
	}
	require.NoError(t, k.Flush())
	assert.Contains(t, entered(r), "Senator//candidate/1 | Chad Snow ALD | [Write-In]")
	assert.Empty(t, c.Untyped())
}
