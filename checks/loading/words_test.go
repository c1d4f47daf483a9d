package loading_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

func TestReadingsAreSaidInWords(t *testing.T) {
	for words, r := range map[string]cards.Reading{
		"none":          {Field: cards.Header},
		"1-01, 1-02":    {Field: cards.Header, List: []string{"1-01", "1-02"}},
		"no seal there": {Field: cards.SealRemoved},
		"turns":         {Field: cards.Key, Value: cards.Turns},
		"does not turn": {Field: cards.Key, Value: cards.Fails},
		"all zero":      {Field: cards.Zero, Value: cards.AllZero},
		"not all zero":  {Field: cards.Zero, Value: cards.NotZero},
		"1:29":          {Field: cards.LoadTime, Value: "89"},
		"0:05":          {Field: cards.LoadTime, Value: "5"},
		"C-12":          {Field: cards.Label, Value: "C-12"},
	} {
		require.Equal(t, words, loading.ReadingWords(r))
	}
}
