package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// twoContests is a desk on the next face, after a face BS-01 of three contests under one heading.
func twoContests(t *testing.T) (*Keying, *casefile.Keying) {
	k, r := open(t, "1-01", "1-02", "1-03")
	k.Open(Page{PageFace, 1})
	keys(k, "BS-01⏎County")
	k.PinHeading()
	keys(k, "Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎⏎Proof⏎Clerk⏎⏎c⏎1⏎Cy⏎ALD⏎⏎Tax⏎⏎m⏎1⏎Shall it?⏎Yes⏎No⏎⏎⏎1-01⏎")
	require.Equal(t, Page{PageFace, 2}, k.Page())
	keys(k, "BS-02⏎")
	return k, r
}

// onFace are the contests of a face in the record, with their headings.
func onFace(r *casefile.Keying, face int) (out []string) {
	t := r.Tables()
	t.Each(casefile.Placements, func(row int, _ []string) {
		if t.Ref(casefile.Placements, row, "face") == face {
			words := t.Value(casefile.Contests, t.Ref(casefile.Placements, row, "contest"), "title")
			if h := t.Value(casefile.Placements, row, "heading"); h != "" {
				words = h + ": " + words
			}
			out = append(out, words)
		}
	})
	return out
}

func TestWhatIsCopiedIsNoPartOfTheEntryBeforeItIsConfirmed(t *testing.T) {
	k, r := twoContests(t)
	assert.Equal(t, "BS-01", k.CopySource(), "it is offered")
	k.Copy()
	require.Len(t, k.Copies(), 3)
	assert.Empty(t, onFace(r, 2))
	assert.Empty(t, k.Items(), "no list stands between the field and what is copied")
	assert.Equal(t, []string{"COUNTY", "Judge", "Vote for 1", "Ada (ALD)", "Bo (BRK)"}, k.Copies()[0].Words,
		"all of it can be compared with the paper")
	assert.Equal(t, "the proof prints Judge here, as on BS-01", k.Next(), "what Enter will say")

	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, []string{"County: Judge"}, onFace(r, 2), "one contest for one Enter")
	assert.Equal(t, "2 contests for BS-02", k.Unconfirmed())
	var all []string
	for _, f := range k.Odd(casefile.ScopeBallots) {
		all = append(all, f.Words)
	}
	assert.Contains(t, all, "copied from BS-01 and not compared with the proof: 2 contests")
	require.NoError(t, k.Flush())
	assert.Empty(t, OpenKeying(r, Options{}).Unconfirmed(), "who opens the case again has what was confirmed, and no more")
	assert.Equal(t, []string{"County: Judge"}, onFace(r, 2))
}

func TestOnlyWhatDiffersIsKeyedOnACopy(t *testing.T) {
	k, r := twoContests(t)
	k.Copy()
	k.Enter()
	keys(k, "Coroner⏎⏎c⏎1⏎Di⏎-⏎⏎")
	require.Equal(t, NextContest, k.Focus().Kind)
	k.Remove()
	assert.Len(t, k.Copies(), 1, "the clerk is not on this face")
	k.Enter()
	assert.Equal(t, "Beside BS-01: without Clerk; with Coroner.", k.Differs())
	assert.Empty(t, k.Unconfirmed())
	keys(k, "⏎1-02⏎")
	assert.Equal(t, Page{PageFace, 3}, k.Page(), "an empty Enter completes the face again")
	require.NoError(t, k.Flush())
	assert.Equal(t, []string{"County: Judge", "Coroner", "Tax"}, onFace(r, 2))
}

func TestARoomOrAHeadingComesBeforeTheCopy(t *testing.T) {
	k, r := twoContests(t)
	k.Copy()
	k.Enter()
	k.Type("Town")
	k.PinHeading()
	k.Enter()
	assert.Contains(t, k.Message(), "the heading stands above a contest")
	keys(k, "Mayor⏎⏎c⏎1⏎Di⏎-⏎⏎")
	k.GoTo(Stop{Kind: Title, Row: 1, Place: k.e.places[2][0]})
	k.Insert()
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, []string{"County: Judge", "Town: Mayor"}, onFace(r, 2), "Enter in the room above keys nothing")
	assert.Equal(t, "2 contests for BS-02", k.Unconfirmed())
}

func TestUndoMakesACopiedContestUnconfirmedAgain(t *testing.T) {
	k, r := twoContests(t)
	k.Copy()
	k.Enter()
	k.Enter()
	k.Undo()
	require.NoError(t, k.Flush())
	assert.Equal(t, []string{"County: Judge"}, onFace(r, 2))
	assert.Equal(t, "Clerk", k.Copies()[0].Words[0])
}

func TestACopyOfTheFaceWhoseLabelIsTyped(t *testing.T) {
	k, _ := twoContests(t)
	keys(k, "Tax⏎⏎1-02⏎BS-03⏎BS-01")
	k.Copy()
	assert.Len(t, k.Copies(), 3)
	assert.Empty(t, k.Text())
	k.Copy()
	assert.Empty(t, k.Copies(), "the same key ends it")
	assert.Contains(t, k.Message(), "3 contests were not confirmed")
	keys(k, "BS-77")
	k.Copy()
	assert.Contains(t, k.Message(), "no face of the label BS-77")

	k, _ = open(t, "1-01")
	k.Copy()
	assert.Contains(t, k.Message(), "no other face has contests yet")
	k.Open(Page{Kind: PageUnits})
	k.Copy()
	assert.Contains(t, k.Message(), "this page cannot")
}

func TestACopyHasTheOrderAndTheWordingsOfItsSource(t *testing.T) {
	k, r := twoContests(t)
	k.Open(Page{PageFace, 1})
	k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Reveal(ChoiceOrder)
	keys(k, "ba⏎")
	require.True(t, k.Read("es"))
	k.GoTo(Stop{Kind: Heading, Row: 1, Place: 1, Language: "es"})
	keys(k, "Condado⏎")
	require.True(t, k.Read(""))
	k.Open(Page{PageFace, 2})
	k.Copy()
	assert.Contains(t, k.Copies()[0].Words, "in the order Bo (BRK), Ada (ALD)")
	k.Enter()
	require.NoError(t, k.Flush())
	row := r.Tables().Last(casefile.Placements)
	assert.Equal(t, "2|1", r.Get(casefile.Placements, row, "choice_order"))
	assert.Equal(t, "Condado", r.Get(casefile.Placements, row, "heading[es]"))
}
