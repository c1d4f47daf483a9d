package casefile

import (
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A program that was killed and that nobody has asked after still has a number, and
// holds no case open.
func TestAProgramThatEndedAndWasNotAskedAfterIsGone(t *testing.T) {
	c := exec.Command("sleep", "60")
	require.NoError(t, c.Start())
	pid := c.Process.Pid
	start := processStart(pid)
	gone, known := processGone(pid, start)
	require.True(t, known)
	require.False(t, gone)
	require.NoError(t, c.Process.Kill())
	require.Eventually(t, func() bool {
		gone, known := processGone(pid, start)
		return gone && known
	}, 5*time.Minute, 10*time.Millisecond)
	_ = c.Wait() // killed, as it should be
}
