package casefile

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A report that was signed is held against the case as it stood then.
func TestACaseIsReadAsItStoodAfterAnEntry(t *testing.T) {
	c := staffed(t, newPath(t))
	keys := func(title string) {
		k, err := c.Keying(c.State().Holders(SeatSecond)[0].ID)
		require.NoError(t, err)
		require.NoError(t, k.Set(Change{Field: Field{Table: Contests, Row: 1, Column: "title"}, Value: title}))
	}
	keys("County Judge")
	then := c.State()
	keys("County Clerk")

	was, err := c.At(then.Seq)
	require.NoError(t, err)
	defer was.Close()
	require.Equal(t, then.Head, was.State().Head)
	rows, err := was.Sheets(0)
	require.NoError(t, err)
	require.Equal(t, "County Judge", rows.Contests[0].Title)
	last := int64(0)
	for e, err := range was.Entries(0) {
		require.NoError(t, err)
		last = e.Seq
	}
	require.Equal(t, then.Seq, last)
	require.NotEmpty(t, was.ReadOnly())

	now, err := c.Sheets(0)
	require.NoError(t, err)
	require.Equal(t, "County Clerk", now.Contests[0].Title)
	for _, seq := range []int64{0, -1, c.State().Seq + 1} {
		_, err := c.At(seq)
		require.ErrorIs(t, err, ErrRule)
	}
}
