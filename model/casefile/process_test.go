package casefile

import (
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A program that was killed and that nobody has asked after still has a number, and
// holds no case open.
func TestAProgramThatEndedAndWasNotAskedAfterIsGone(t *testing.T) {
	if os.Getenv("COUNTERPROOF_WAIT") != "" {
		time.Sleep(time.Minute)
		return
	}
	c := exec.Command(os.Args[0], "-test.run=^TestAProgramThatEndedAndWasNotAskedAfterIsGone$")
	c.Env = append(os.Environ(), "COUNTERPROOF_WAIT=1")
	require.NoError(t, c.Start())
	pid := c.Process.Pid
	start := processStart(pid)
	gone, known := processGone(pid, start)
	require.True(t, known)
	require.False(t, gone)
	gone, known = processGone(pid, start+"0")
	require.True(t, gone && known, "another process with its number")
	require.NoError(t, c.Process.Kill())
	require.Eventually(t, func() bool {
		gone, known := processGone(pid, start)
		return gone && known
	}, 5*time.Minute, 10*time.Millisecond)
	_ = c.Wait() // killed, as it should be
}
