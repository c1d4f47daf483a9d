package casefile

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A disk that hangs holds whoever writes. What a window asks to draw the case must be
// answered all the same, or it freezes.
func TestACaseIsShownWhileTheDiskHangs(t *testing.T) {
	c := staffed(t, newPath(t))
	unlockAll(t, c)
	seq := c.State().Seq
	unlocked := c.Unlocked("p2")
	require.True(t, unlocked)
	keying := keying(t, c)

	c.mu.Lock() // as a commit holds it while it waits for the disk
	answered := make(chan bool)
	go func() {
		defer close(answered)
		assert.Equal(t, seq, c.State().Seq)
		assert.Equal(t, unlocked, c.Unlocked("p2"))
		c.Unkeyed(ScopeBallots)
		keying.Sealed(ScopeBallots)
		keying.Can()
		keying.Get(Contests, 1, "title")
		keying.Tables()
		_ = keying.May(Set(Contests, 1, "title", "County Judge"))
		c.Lock("p2")
		assert.False(t, c.Unlocked("p2"))
		assert.Empty(t, c.ReadOnly())
	}()
	select {
	case <-answered:
	case <-time.After(5 * time.Minute):
		t.Error("the case gave no answer while its file was in use")
	}
	c.mu.Unlock()
	<-answered
}

// The state that is shown is that after the last entry, from whichever goroutine.
func TestWhatIsShownFollowsEveryEntry(t *testing.T) {
	c := staffed(t, newPath(t))
	keying := keying(t, c)
	for n := range 5 {
		before := c.State()
		require.NoError(t, keying.Set(Set(Contests, n+1, "title", "Sheriff")))
		assert.Equal(t, before.Seq+1, c.State().Seq)
		assert.NotEqual(t, before.Head, c.State().Head)
	}
}
