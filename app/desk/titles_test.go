package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// A label or precincts that are typed where the next contest goes are asked about before they become a
// contest's title; real titles are not.
func TestALabelOrPrecinctsAreNoTitleBeforeASecondEnter(t *testing.T) {
	for typed, asks := range map[string]bool{
		"BS-02": true, "bs-10": true, "1-01": true, "1-01..1-02": true, "1-01, 1-03": true, "1-01 to 1-03": true,
		"Proposition 1": false, "BS": false, "County Judge": false, "1-09": false, "Member of Council, Ward 1": false,
	} {
		k, r := open(t, "1-01", "1-02", "1-03")
		keys(k, "BS-01⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎⏎1-01⏎BS-02⏎"+typed+"⏎")
		if !asks {
			assert.Equal(t, typed, r.Get(casefile.Contests, 2, "title"))
			continue
		}
		assert.Empty(t, r.Get(casefile.Contests, 2, "title"), typed)
		assert.Contains(t, k.Message(), "a new contest on BS-02")
		keys(k, "⏎")
		assert.Equal(t, typed, r.Get(casefile.Contests, 2, "title"), "the proof may really print it")
	}
	k, r := open(t, "1-01")
	keys(k, "A⏎1-01⌃")
	assert.Empty(t, r.Get(casefile.Contests, 1, "title"), "Ctrl+Enter is no answer to a question that was not asked yet")
}

// A long contest that Enter put on the face can be held against the proof beside the next field.
func TestWhatWasPlacedIsNamedWithItsVotes(t *testing.T) {
	k, _ := twoContests(t)
	require.Empty(t, k.Placed())
	keys(k, "cl⏎")
	assert.Equal(t, "Clerk: vote for 1, 1 position", k.Placed())
	k.Type("x")
	assert.Empty(t, k.Placed())
}

// A desk that opens on a case begins where keying goes on, not on a face that is finished.
func TestTheDeskOpensWhereKeyingGoesOn(t *testing.T) {
	c, r := newCase(t, roster("1-01", "1-02")...)
	k := OpenKeying(r, Options{})
	assert.Equal(t, Page{Kind: PageElection}, k.Page(), "nothing is keyed yet")
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎⏎1-01⏎")
	k = OpenKeying(r, Options{})
	assert.Equal(t, Page{PageFace, 2}, k.Page())
	assert.Equal(t, FaceLabel, k.Focus().Kind)
	keys(k, "B⏎ju⏎")
	k = OpenKeying(r, Options{})
	assert.Equal(t, Page{PageFace, 2}, k.Page(), "it has no precinct yet")
	keys(k, "⏎1-02⏎")
	k = OpenKeying(r, Options{})
	assert.Equal(t, Page{PageFace, 1}, k.Page(), "every precinct has its face: no further one is begun")
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	k = OpenKeying(r, Options{})
	assert.Equal(t, Page{Kind: PageUnits}, k.Page())
}
