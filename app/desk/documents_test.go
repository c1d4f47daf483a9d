package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestTheDocumentOnTheDesk(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	kept := ""
	k := OpenKeying(r, Options{Keep: func(d string) { kept = d }})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Certified list of October 1, 2027⏎")
	require.Equal(t, "Certified list of October 1, 2027", kept)

	k.KeyDocument()
	require.Equal(t, Document, k.Focus().Kind)
	require.Equal(t, []Item{{Words: "Certified list of October 1, 2027"}}, k.Items(), "the list is shown at once")
	require.Equal(t, -1, k.Pick())
	keys(k, "⏎")
	assert.Equal(t, "Certified list of October 1, 2027", k.Document(), "an empty Enter leaves it")
	k.KeyDocument()
	keys(k, "Ballot proof of October 8, 2027⏎")
	require.Equal(t, NextContest, k.Focus().Kind)
	assert.Equal(t, "Ballot proof of October 8, 2027", kept)

	// After a restart it is still there, although nothing was keyed from it, and what is keyed new has it.
	k = OpenKeying(r, Options{Document: kept})
	assert.Equal(t, kept, k.Document())
	k.Open(Page{PageFace, 1})
	k.Show(Page{PageFace, 1}, Stop{Kind: NextContest, Row: 1})
	keys(k, "Clerk⏎")
	assert.Equal(t, kept, r.Get(casefile.Contests, 2, "source"))
	k.Show(Page{PageFace, 1}, Stop{Kind: NextContest, Row: 1})

	// Another spelling of a known document is proposed; Ctrl+Enter keeps it as typed.
	k.KeyDocument()
	k.Type("ballot proof, 8 October 2027")
	require.Equal(t, []Item{{Words: "Ballot proof of October 8, 2027"}}, k.Items())
	k.Enter()
	assert.Equal(t, "Ballot proof of October 8, 2027", k.Document())
	k.KeyDocument()
	k.Type("")
	k.MovePick(1)
	k.Enter()
	assert.Equal(t, "Certified list of October 1, 2027", k.Document(), "picked with an arrow key")
	k.KeyDocument()
	keys(k, "ballot proof, 8 October 2027⌃")
	assert.Equal(t, "ballot proof, 8 October 2027", k.Document())
}

func TestSpellingsOfOneDocument(t *testing.T) {
	for _, x := range []struct {
		a, b string
		same bool
	}{
		{"Ballot proof of October 8, 2027", "Ballot proof, 8 October 2027", true},
		{"Certified list of candidates", "certified list of candidate", true},
		{"Ballot proof BS-01", "Ballot proof BS-02", false},
		{"Ballot proof of October 8, 2027", "Ballot proof of October 9, 2027", false},
		{"Proof A", "Proof B", false},
		{"", "", false},
	} {
		assert.Equal(t, x.same, sameDocument(x.a, x.b), x.a+" / "+x.b)
	}
}

func TestTheListPutsFirstWhatBeginsWithTheTypedLetters(t *testing.T) {
	k, _ := open(t, "1-01", "1-02")
	keys(k, "A⏎")
	for _, title := range []string{"Town Supervisor⏎Alder Falls⏎c⏎1⏎Ada⏎-⏎⏎⏎", "Member of County Council⏎⏎c⏎1⏎Bo⏎-⏎⏎⏎",
		"County Judge⏎⏎c⏎1⏎Cy⏎-⏎⏎⏎"} {
		keys(k, title)
		require.Equal(t, NextContest, k.Focus().Kind)
	}
	k.Type("Town Offices")
	k.PinHeading()
	keys(k, "Town Clerk⌃⏎c⏎1⏎Di⏎-⏎⏎⏎⏎1-01⏎B⏎")
	first := func(typed string) Item {
		k.Type(typed)
		require.NotEmpty(t, k.Items(), typed)
		return k.Items()[0]
	}
	assert.Equal(t, Item{Words: "Town Offices", IsHeading: true}, first("Town Off"))
	assert.Equal(t, "County Judge", first("co").Words)
	assert.Equal(t, "Member of County Council", first("council").Words)
	assert.Equal(t, "Town Supervisor · Alder Falls", first("tsa").Words, "letters that only abbreviate still do")
}
