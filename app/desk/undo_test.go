package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUndoSaysWhichPageItChanged(t *testing.T) {
	k, r := twoContests(t)
	keys(k, "cl⏎")
	k.Open(Page{Kind: PageUnits})
	require.True(t, k.Undo())
	assert.Equal(t, Page{PageFace, 2}, k.Page())
	assert.Equal(t, "undone on BS-02", k.Message())
	k.Open(Page{Kind: PageElection})
	require.True(t, k.Redo())
	assert.Equal(t, "done again on BS-02", k.Message())

	// The same for what an earlier session keyed.
	require.NoError(t, k.Flush())
	k = OpenKeying(r, Options{})
	require.Equal(t, Page{PageFace, 1}, k.Page())
	require.True(t, k.Undo())
	require.NoError(t, k.Flush())
	assert.Equal(t, Page{PageFace, 2}, k.Page())
	assert.Equal(t, "undone on BS-02", k.Message())
	require.True(t, k.Redo())
	assert.Equal(t, "done again on BS-02", k.Message())
	k.Undo()
	k.Undo()
	assert.Contains(t, k.Message(), "undone on ")
}
