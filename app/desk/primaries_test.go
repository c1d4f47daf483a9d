package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// primaryDesk is a desk at the party of a face, with two parties keyed.
func primaryDesk(t *testing.T) (*Keying, *casefile.Keying) {
	k, r := open(t, "1-01", "1-02")
	k.Open(Page{Kind: PageElection})
	keys(k, "Primary⏎2027-06-02⏎Tarnwick⏎HRT⏎Hearth Party⏎MER⏎Meridian Party⏎")
	k.Open(Page{PageFace, 1})
	k.Reveal(FaceParty)
	require.Equal(t, FaceParty, k.Focus().Kind)
	return k, r
}

func TestAClosedPrimaryOffersTheKeyedParties(t *testing.T) {
	words := func(k *Keying) (out []string) {
		for _, item := range k.Items() {
			out = append(out, item.Words)
		}
		return out
	}
	k, r := primaryDesk(t)
	assert.Equal(t, []string{"HRT · Hearth Party", "MER · Meridian Party"}, words(k), "before anything is typed")
	assert.Equal(t, -1, k.Pick(), "and none of them is what an empty Enter takes")
	k.Type("mer")
	assert.Empty(t, words(k), "typed in full")
	k.Type("meri")
	assert.Equal(t, []string{"MER · Meridian Party"}, words(k))
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, "MER", r.Get(casefile.Faces, 1, "party"))

	k, r = primaryDesk(t)
	k.MovePick(1)
	k.MovePick(1)
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, "MER", r.Get(casefile.Faces, 1, "party"), "picked with the arrow")
}

func TestAClosedPrimaryRefusesOtherParties(t *testing.T) {
	for typed, want := range map[string]string{"hrt": "HRT", "Hearth Party": "HRT", "hearth": "HRT", "HRT, mer": "HRT|MER",
		"-": "-", "GRO": "", "HRT, GRO": "", "Judge": ""} {
		k, r := primaryDesk(t)
		k.Type(typed)
		k.Enter()
		require.NoError(t, k.Flush())
		assert.Equal(t, want, r.Get(casefile.Faces, 1, "party"), typed)
		if want == "" {
			assert.Contains(t, k.Message(), "none of the parties that were keyed: HRT, MER", typed)
		}
	}
	k, r := primaryDesk(t)
	k.GoTo(Stop{Kind: NextContest, Row: 1})
	keys(k, "Judge⏎⏎c⏎1⏎Ada⏎HRT⏎⏎Proof⏎")
	k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Reveal(PrimaryParty)
	keys(k, "GRO⏎")
	assert.Contains(t, k.Message(), "none of the parties")
	k.Type("MER")
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, "MER", r.Get(casefile.Contests, 1, "primary_party"))

	k, _ = open(t, "1-01")
	k.Reveal(FaceParty)
	keys(k, "HRT⏎")
	assert.Contains(t, k.Message(), "key the parties on the page of the election first")
}

func TestAnEmptyEnterTakesNoParty(t *testing.T) {
	k, r := primaryDesk(t)
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Empty(t, r.Get(casefile.Faces, 1, "party"))
	assert.NotEqual(t, FaceParty, k.Focus().Kind)
}
