package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

func TestUndoSaysWhatItTookBackAndOnWhichPage(t *testing.T) {
	k, _ := twoContests(t)
	keys(k, "cl⏎")
	k.Open(Page{Kind: PageUnits})
	require.True(t, k.Undo())
	assert.Equal(t, Page{PageFace, 2}, k.Page())
	assert.Equal(t, "undone on BS-02: “Clerk” on the face", k.Message())
	k.Open(Page{Kind: PageElection})
	require.True(t, k.Redo())
	assert.Equal(t, "done again on BS-02: “Clerk” on the face", k.Message())

	typed := ""
	for _, act := range []struct{ script, words string }{
		{"A⏎", "label “A”"},
		{"County Judge⏎", "“County Judge” on the face"},
		{"Probate⏎", "subtitle “Probate”"},
		{"c⏎", "kind “candidate”"},
		{"2⏎", "vote for “2”"},
		{"Ada Quill⏎", "name “Ada Quill”"},
		{"-⏎", "party lines “-”"},
		{"⏎Proof⏎⏎1-01..2⏎", "precincts 1-01, 1-02"},
	} {
		k, _ = open(t, "1-01", "1-02")
		typed += act.script
		keys(k, typed)
		require.True(t, k.Undo())
		assert.Equal(t, "undone on "+k.PageName(k.Page())+": "+act.words, k.Message())
	}
	k, _ = open(t, "1-01", "1-02")
	keys(k, typed)
	k.Show(Page{PageFace, 1}, Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Type("3")
	k.Enter()
	k.Undo()
	assert.Equal(t, "undone on A: vote for “3” in place of “2”", k.Message())
}

// What came in otherwise than by typing, or before the case was opened, is out of reach of undo.
func TestUndoTakesBackOnlyWhatWasTypedInThisSitting(t *testing.T) {
	c, r := newCase(t, roster("1-01")...)
	require.NoError(t, r.Load("sheets", &sheets.Sheets{Contests: []sheets.ContestRow{{Contest: "clerk", Title: "Clerk"}}}))
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎")
	require.True(t, k.Undo())
	require.True(t, k.Undo())
	require.False(t, k.Undo(), "the sheets came in before")
	assert.Contains(t, k.Message(), "nothing to undo")
	assert.Equal(t, "Clerk", r.Get(casefile.Contests, 1, "title"))
	require.Equal(t, []string{"1-01"}, k.Roster())
	require.True(t, k.Redo())
	require.True(t, k.Redo())
	require.False(t, k.Redo())
	require.NoError(t, k.Close())

	k = OpenKeying(r, Options{})
	require.False(t, k.Undo(), "that was keyed before the case was opened")
	require.NotEmpty(t, k.Message())
	k.Open(Page{PageFace, 2})
	keys(k, "B⏎")
	require.NoError(t, r.Load("roster", &sheets.Sheets{Precincts: roster("1-01", "1-02")}))
	k.Refresh()
	require.False(t, k.Undo(), "a roster came in after what was typed")
	assert.Equal(t, []string{"1-01", "1-02"}, k.Roster())
	assert.Equal(t, "B", r.Get(casefile.Faces, 2, "style"))

	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots, Without: []string{"1-01", "1-02"}}))
	k.Refresh()
	require.False(t, k.Undo())
	assert.Contains(t, k.Message(), "sealed")
}

func TestTypingAfterUndoSaysThatItCannotBeDoneAgain(t *testing.T) {
	k, _ := open(t, "1-01")
	keys(k, "A⏎Judge⏎")
	require.True(t, k.Undo())
	keys(k, "Clerk⏎")
	assert.Contains(t, k.Message(), "cannot be done again")
	assert.False(t, k.Redo())
	keys(k, "Probate⏎")
	assert.Empty(t, k.Message(), "said once")
}

// Undo takes the document on the desk back too: the next contest is not keyed from a slip.
func TestUndoTakesTheDocumentBack(t *testing.T) {
	kept := ""
	_, r := newCase(t, roster("1-01")...)
	k := OpenKeying(r, Options{Keep: func(d string) { kept = d }})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎")
	require.Equal(t, "the contest is complete; the document it was keyed from is next", k.Next())
	keys(k, "⏎Board of Education⏎")
	require.Equal(t, "Board of Education", k.Document())
	require.True(t, k.Undo())
	assert.Empty(t, k.Document())
	assert.Equal(t, NothingMark, kept)
	k = OpenKeying(r, Options{Document: kept})
	k.Show(Page{PageFace, 1}, Stop{Kind: NextContest, Row: 1})
	keys(k, "Board of Education⏎")
	assert.Empty(t, r.Get(casefile.Contests, 2, "source"))
}

// A copy that undo left without its face blocks nothing.
func TestUndoOfACopiedFaceLeavesNothingBehind(t *testing.T) {
	k, _ := twoContests(t)
	for k.Page() != (Page{PageFace, 3}) {
		k.Turn(1)
	}
	k.Copy()
	require.Equal(t, FaceLabel, k.Focus().Kind, "its label stands above the contests")
	keys(k, "BS-03⏎")
	require.NotEmpty(t, k.Copies())
	require.NotEmpty(t, k.Unconfirmed())
	require.True(t, k.Undo())
	require.Contains(t, func() (out []Page) {
		for _, p := range k.Pages() {
			out = append(out, p.Page)
		}
		return out
	}(), k.Page(), "the page in view is on the list")
	if k.CopiedFrom() == "" {
		require.Empty(t, k.Unconfirmed())
		return
	}
	require.NotEmpty(t, k.Unconfirmed())
	k.Copy()
	require.Empty(t, k.Unconfirmed())
}

// What is half typed for the next contest is not lost where the one before is taken back.
func TestUndoLeavesWhatIsHalfTyped(t *testing.T) {
	k, _ := twoContests(t)
	keys(k, "cl⏎tsd")
	require.Equal(t, NextContest, k.Focus().Kind)
	require.True(t, k.Undo())
	assert.Equal(t, "tsd", k.Text())
}
