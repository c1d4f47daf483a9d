package wording

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

func TestCut(t *testing.T) {
	short := strings.Repeat("x", MostShown)
	assert.Equal(t, short, Cut(short, short))
	long := strings.Repeat("ä", MostShown) // two bytes each
	for _, text := range []string{long, "x" + long} {
		shown := Cut(text, text)
		assert.True(t, utf8.ValidString(shown))
		assert.Less(t, len(shown), MostShown+150)
		assert.True(t, strings.HasPrefix(text, strings.SplitN(shown, " (…)", 2)[0]))
	}
	assert.Contains(t, Cut(long, long), "in all 40000 bytes, SHA-256 ")
	assert.NotEqual(t, Cut(long+"a", long+"a"), Cut(long+"b", long+"b"))
}
