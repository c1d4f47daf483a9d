package casefile

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const keyerEnv = "COUNTERPROOF_TEST_KEYER"

// TestMain lets the test program be the keyer that is killed.
func TestMain(m *testing.M) {
	if path := os.Getenv(keyerEnv); path != "" {
		keyUntilKilled(path)
		os.Exit(3)
	}
	os.Exit(m.Run())
}

// keyUntilKilled keys one field after another and says which are acknowledged.
func keyUntilKilled(path string) {
	fail := func(err error) {
		fmt.Println("fault", err)
		os.Exit(2)
	}
	c, err := Open(path, quick())
	if err != nil {
		fail(err)
	}
	if c.ReadOnly() != "" {
		fail(fmt.Errorf("open for reading: %s", c.ReadOnly()))
	}
	k, err := c.Keying("p2")
	if err != nil {
		fail(err)
	}
	// Rows are keyed in order: a lost field would show in the number that comes next,
	// and opening has checked that the others are what was recorded.
	fmt.Println("open", k.Next(Choices)-1)
	for {
		row := k.Next(Choices)
		name := "Candidate " + itoa(row)
		if err := k.Set(Set(Choices, row, "name", name)); err != nil {
			fail(err)
		}
		// One line is one write to the pipe.
		fmt.Println("kept", row)
	}
}

// TestAKeyerIsKilledAtAnyMoment kills the program many times while it keys. The case
// opens and holds every field that was acknowledged.
func TestAKeyerIsKilledAtAnyMoment(t *testing.T) {
	kills := 60
	switch {
	case testing.Short():
		kills = 20
	case os.Getenv("CI") == "true":
		kills = 300
	}
	path := newPath(t)
	c := staffed(t, path)
	require.NoError(t, c.Close())
	self, err := os.Executable()
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(7, 11))
	acknowledged := 0
	keyedIn := 0
	for kill := range kills {
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), keyerEnv+"="+path)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		// Most are killed within some milliseconds of a field; every tenth at any
		// moment, while the case is being opened too.
		killIn := func(most time.Duration) {
			time.AfterFunc(time.Duration(random.Int64N(int64(most))), func() { _ = cmd.Process.Kill() })
		}
		fields := 1 + random.IntN(6)
		if kill%10 == 9 {
			killIn(150 * time.Millisecond)
			fields = -1
		}
		before := acknowledged
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			what, number, _ := strings.Cut(lines.Text(), " ")
			n, err := strconv.Atoi(number)
			switch {
			case err == nil && what == "open":
				require.GreaterOrEqual(t, n, acknowledged, "kill %d: fields that were acknowledged are gone", kill)
			case err == nil && what == "kept":
				acknowledged = max(acknowledged, n)
				if fields--; fields == 0 {
					killIn(3 * time.Millisecond)
				}
			default:
				_ = cmd.Process.Kill()
				t.Fatalf("kill %d: the keyer said %q", kill, lines.Text())
			}
		}
		_ = cmd.Wait()
		if acknowledged > before {
			keyedIn++
		}
		if kill%50 == 0 || kill == kills-1 {
			checkKept(t, path, acknowledged)
		}
	}
	t.Logf("%d kills, %d fields acknowledged, in %d of the sittings", kills, acknowledged, keyedIn)
	require.GreaterOrEqual(t, keyedIn, kills*8/10,
		"too many keyers were killed before they keyed anything: the test shows little")
}

// checkKept opens a copy of the files as the killed program left them.
func checkKept(t *testing.T, path string, acknowledged int) {
	t.Helper()
	left := newPath(t)
	copyFile(t, path, left)
	for _, end := range []string{walEnd, journalEnd} {
		if _, err := os.Stat(path + end); err == nil {
			copyFile(t, path+end, left+end)
		}
	}
	c, err := Open(left, quick())
	require.NoError(t, err)
	defer c.Close()
	for row := 1; row <= acknowledged; row++ {
		now, _, err := c.Value(Field{Table: Choices, Row: row, Column: "name"})
		require.NoError(t, err)
		require.Equal(t, "Candidate "+itoa(row), now)
	}
}
