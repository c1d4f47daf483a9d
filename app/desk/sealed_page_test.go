package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// After the seal nothing on the page offers to key something new, and a key says why nothing happens.
func TestASealedPageOffersNothingToKey(t *testing.T) {
	c, r := newCase(t, roster("1-01")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎⏎1-01⏎")
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	k.Refresh()
	k.Open(Page{PageFace, 1})
	require.True(t, k.Quiet())
	for _, s := range k.Stops() {
		assert.NotContains(t, []StopKind{NextContest, NextChoice, Document}, s.Kind)
	}
	for _, p := range k.Pages() {
		assert.NotEqual(t, Page{PageFace, 2}, p.Page, "no further face")
	}
	assert.False(t, k.MayType())
	assert.Contains(t, k.Message(), "sealed")
	for _, act := range []func(){k.Enter, k.EnterAsTyped, k.Remove, k.PinHeading, k.KeyDocument, k.More, k.Insert,
		func() { k.Move(1) }, k.Copy} {
		k.Type("")
		k.message = ""
		act()
		assert.Contains(t, k.Message(), "sealed")
	}
	assert.Equal(t, "Judge", r.Get(casefile.Contests, 1, "title"))

	k.Open(Page{Kind: PageUnits})
	require.False(t, k.Quiet(), "the units are not sealed")
	assert.True(t, k.MayType())
}

// While the programmer's key alone is open, nothing is keyed, and the desk says what to do.
func TestNobodyKeysWhileKeyingIsBarred(t *testing.T) {
	_, r := newCase(t, roster("1-01")...)
	why := ""
	k := OpenKeying(r, Options{May: func() string { return why }})
	k.Open(Page{PageFace, 1})
	require.True(t, k.MayType())
	keys(k, "A⏎Judge")
	why = "the programmer's key is open"
	assert.False(t, k.MayType())
	assert.Equal(t, why, k.Message())
	keys(k, "⏎")
	assert.Empty(t, r.Get(casefile.Contests, 1, "title"))
	assert.Equal(t, why, k.Message())
	assert.Equal(t, "Judge", k.Text(), "what was typed before is not lost")
	assert.False(t, k.Undo())
	assert.Equal(t, "A", r.Get(casefile.Faces, 1, "style"))
	why = ""
	keys(k, "⏎")
	assert.Equal(t, "Judge", r.Get(casefile.Contests, 1, "title"))
}
