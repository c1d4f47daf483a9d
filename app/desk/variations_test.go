package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/casefile"
)

func TestARankedContestIsKeyed(t *testing.T) {
	for typed, want := range map[string]string{"r": "rcv", "R": "rcv", "ranked": "rcv", "rcv": "rcv", "n": "n-of-m",
		"c": "cumulative", "approval": "approval", "x": ""} {
		k, r := open(t, "1-01")
		keys(k, "A⏎Mayor⏎⏎c⏎3⏎Ada⏎-⏎Bo⏎-⏎Cy⏎⏎Proof⏎⏎1-01⏎")
		k.Open(Page{PageFace, 1})
		k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
		k.Reveal(Variation)
		require.Equal(t, Variation, k.Focus().Kind)
		keys(k, typed)
		assert.Equal(t, want == "", k.Next() == "", "what it means is said before Enter")
		k.Enter()
		require.NoError(t, k.Flush())
		assert.Equal(t, want, r.Get(casefile.Contests, 1, "variation"), typed)
		assert.Equal(t, want == "", k.Message() != "", typed)
		assert.Equal(t, want == "rcv", k.Ranked(1))
		e, err := r.Sheets().Election()
		require.NoError(t, err)
		if want != "" {
			assert.Equal(t, model.Say(want), e.Contests[0].Variation)
		}
	}
}
