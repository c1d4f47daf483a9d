package deck_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/model/results"
)

// Whatever results say, they are held against the key, or one line says why not; and the same results
// give the same differences.
func FuzzCompare(f *testing.F) {
	var t testing.T
	n := nistDeck(&t, "gen-03")
	key := n.key.Rows(n.e)
	var table bytes.Buffer
	require.NoError(f, results.WriteKey(&table, key))
	f.Add(table.Bytes())
	for _, name := range []string{"err-gen-03.xml", "cvr-gen-03.json", "err-gen-03.json"} {
		if data, err := os.ReadFile(filepath.Join(standard, "gen-03", name)); err == nil {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		compare := func() (*deck.Compared, error) {
			r, err := results.Read(results.Bytes("results", bytes.Clone(data)))
			if err != nil {
				return nil, err
			}
			return deck.Compare(n.e, "key.csv", key, []*results.Results{r, r},
				deck.CompareOptions{Deck: n.d, Rules: n.key.Rules})
		}
		got, err := compare()
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		for i := range got.Differences {
			got.Differences[i].CauseWords()
			for j := range got.Differences[i].Cells {
				got.Differences[i].Cells[j].Place(n.e)
				got.Differences[i].Cells[j].What(n.e)
			}
		}
		got.Summary(n.e)
		require.LessOrEqual(t, got.Held+got.InTotals+got.NotStated, len(key))
		again, err := compare()
		require.NoError(t, err)
		require.Equal(t, got, again)
	})
}
