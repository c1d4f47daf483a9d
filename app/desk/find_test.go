package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestFindLooksOnThisFaceFirst(t *testing.T) {
	k, _ := twoContests(t)
	keys(k, "cl⏎ta⏎⏎1-02⏎")
	k.Open(Page{PageFace, 2})
	hits := k.Find("cl")
	require.NotEmpty(t, hits)
	assert.Equal(t, Page{PageFace, 2}, hits[0].Page, "the clerk is on both faces; this one is open")
	assert.Equal(t, Title, hits[0].Stop.Kind)
	hits = k.Find("Judge")
	require.NotEmpty(t, hits)
	assert.Equal(t, Page{PageFace, 1}, hits[0].Page, "the judge is on the other alone")

	k.Open(Page{PageFace, 1})
	k.GoTo(Stop{Kind: Title, Row: 2, Place: 2})
	hits = k.Find("vote")
	assert.Empty(t, hits)
	hits = k.Find("a") // Ada, Clerk Cy Alder…: those below the cursor come before those above it
	at := func(name string) int {
		for i, h := range hits {
			if k.Value(h.Stop) == name {
				return i
			}
		}
		return -1
	}
	require.GreaterOrEqual(t, at("Ada"), 0)
	assert.Less(t, at("Tax"), at("Ada"), "from the cursor on")
}

func TestFindGoesToTheNextPlace(t *testing.T) {
	k, _ := twoContests(t)
	keys(k, "cl⏎⏎1-02⏎")
	k.Open(Page{PageFace, 1})
	assert.False(t, k.FindNext())
	assert.Contains(t, k.Message(), "Ctrl+F searches")
	k.GoTo(Stop{Kind: FaceLabel, Row: 1})
	k.Sought("bs-0")
	require.True(t, k.FindNext())
	assert.Equal(t, Page{PageFace, 2}, k.Page(), "the cursor is at BS-01 already")
	require.True(t, k.FindNext())
	assert.Equal(t, Page{PageFace, 1}, k.Page())

	k.Sought("ta")
	var seen []string
	for range 3 {
		require.True(t, k.FindNext())
		seen = append(seen, k.Value(k.Focus()))
	}
	assert.Equal(t, []string{"Tax", "Tax", "Tax"}, seen, "the one place that there is, again")
	k.Sought("nowhere")
	assert.False(t, k.FindNext())
	assert.Contains(t, k.Message(), `nothing that was keyed has "nowhere"`)
}

func TestFindFindsHeadingsAndSites(t *testing.T) {
	k, _ := twoContests(t)
	hits := k.Find("county")
	require.NotEmpty(t, hits)
	assert.Equal(t, Heading, hits[0].Stop.Kind)
	k.Open(Page{Kind: PageUnits})
	keys(k, "U1⏎Fire House⏎1-01⏎")
	hits = k.Find("fire")
	require.NotEmpty(t, hits)
	assert.Equal(t, UnitSite, hits[0].Stop.Kind)
	assert.Empty(t, k.e.Value(casefile.Units, 2, "site"))
}
