package deck_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/model/results"
)

// Whatever the bytes of a deck: it is counted, or one line says why not. In a contest for so many votes
// nothing gets lost: votes, overvotes and undervotes are vote-for on each ballot; and the deck is the
// same when its rows are written and read again.
func FuzzCount(f *testing.F) {
	f.Add([]byte(head+"1,1-01,,,mayor,10,1\n2,1-02,,HAR,council,1,1\n2,1-02,,HAR,council,2,1\n3,1-01,,,,,\n"), byte(1))
	f.Add([]byte(head+"1,1-01,A,,chair,1,1\n1,1-01,A,,chair,1,2\n1,1-01,A,,board,2,3\n1,1-01,A,,straight,1,1\n"), byte(0))
	f.Add([]byte("contest;position;mark;ballot;precinct\nrange;1;7;999999999;1-01\n"), byte(2))
	f.Fuzz(func(t *testing.T, data []byte, rule byte) {
		e := entryOf(t, thornbury)
		marks, err := results.ReadDeck("deck.csv", data)
		if err != nil {
			return
		}
		d, err := deck.Of(e, marks)
		if err != nil {
			assert.NotContains(t, err.Error(), "\n")
			return
		}
		rules := deck.Rules{StraightParty: append(deck.StraightParties(), "")[int(rule)%4]}
		key, err := deck.Count(e, d, rules)
		require.NoError(t, err)
		for _, of := range key.Tallies {
			all := of.Overvotes + of.Undervotes
			for _, n := range of.Votes {
				all += n
			}
			votes := e.Contests[of.Contest].VoteFor.Value
			if e.Contests[of.Contest].Variation.Value == "rcv" || !e.Contests[of.Contest].VoteFor.Known {
				votes = 1
			}
			require.Equal(t, of.Ballots*votes, all, "%+v", of)
			require.LessOrEqual(t, of.OvervotedBallots+of.UndervotedBallots, of.Ballots)
		}
		var out bytes.Buffer
		require.NoError(t, results.WriteDeck(&out, d.Rows(e)))
		again, err := results.ReadDeck("again.csv", out.Bytes())
		require.NoError(t, err)
		same, err := deck.Of(e, again)
		require.NoError(t, err, strings.TrimSpace(out.String()))
		require.Equal(t, d, same)
		out.Reset()
		require.NoError(t, results.WriteKey(&out, key.Rows(e)))
		if len(key.Tallies) > 0 {
			_, err = results.ReadKey("key.csv", out.Bytes())
			require.NoError(t, err)
		}
	})
}
