package casefile

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/sheets"
)

// A sheet may be longer than the longest entry, and is read among the entries.
func TestASheetMayBeLongerThanAnEntry(t *testing.T) {
	if testing.Short() {
		t.Skip("tens of megabytes: long; run without -short")
	}
	c := staffed(t, newPath(t))
	s := smallEntry()
	text := strings.Repeat("Shall the county borrow for the repair of its bridges? ", 10_000)
	for i := range maxEntry/len(text) + 2 {
		s.Contests = append(s.Contests, sheets.ContestRow{Contest: "q" + itoa(i), Title: "Question " + itoa(i),
			Kind: "measure", Text: strings.TrimSpace(text)})
	}
	require.NoError(t, keying(t, c).Load("long", s))
	c = reopen(t, c)
	now, err := c.Sheets(0)
	require.NoError(t, err)
	require.Len(t, now.Contests, len(s.Contests))
	require.NoError(t, c.Close())
	r, err := Verify(c.Path(), Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}

// What would be too long to read again is not recorded.
func TestAnEntryOfNoMeasureIsNotRecorded(t *testing.T) {
	if testing.Short() {
		t.Skip("tens of megabytes: long; run without -short")
	}
	c := staffed(t, newPath(t))
	k := keying(t, c)
	const value = 1 << 20
	texts := func(n int) (changes []Change) {
		for row := range n {
			changes = append(changes, Set(Contests, row+1, "text", strings.Repeat("x", value)))
		}
		return changes
	}
	err := k.Set(texts(maxEntry / value)...)
	require.ErrorIs(t, err, ErrRule)
	require.ErrorContains(t, err, "several steps")
	require.NoError(t, k.Set(texts(maxEntry/value-1)...))
	c = reopen(t, c)
	require.Len(t, keying(t, c).Get(Contests, maxEntry/value-1, "text"), value)
}
