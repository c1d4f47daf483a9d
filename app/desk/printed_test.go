package desk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAFaceIsPrintedAsItWasKeyed(t *testing.T) {
	k, _ := twoContests(t)
	k.Open(Page{PageFace, 1})
	k.GoTo(Stop{Kind: ChoiceName, Row: 1, Place: 1})
	k.Type("Ada <b>Quill</b>")
	k.Step(1)
	k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Reveal(ChoiceOrder)
	keys(k, "ba⏎")
	var b strings.Builder
	require.NoError(t, k.Printed().Write(&b))
	for _, want := range []string{"<h1>BS-01</h1>", "Judge", "County", "Vote for 1", "Ada &lt;b&gt;Quill&lt;/b&gt;",
		">ALD<",
		"Order on this face: Bo (BRK), Ada", "Shall it?", "1-01", "This is no ballot and no proof."} {
		assert.Contains(t, b.String(), want)
	}
	b.Reset()
	k.Open(Page{Kind: PageUnits})
	require.NoError(t, k.Printed().Write(&b))
	assert.Contains(t, b.String(), "Nothing is keyed here yet.")
	keys(k, "U1⏎Hall⏎1-01..2⏎")
	b.Reset()
	require.NoError(t, k.Printed().Write(&b))
	assert.Contains(t, b.String(), "1-01, 1-02")
}
