package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

// What two people keyed alike is no finding; what they keyed differently is one.
func TestTwoKeyersOfOneCase(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	for _, test := range []struct {
		name, keyed string
		differ      int
	}{
		{"alike", "2", 0},
		{"differently", "1", 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			folder := demoCase(t)
			other := filepath.Join(folder, "other.counterproof")
			require.NoError(t, demo.WriteCase(other))
			does(t, cproofIn(t, folder, "key", "other.counterproof", "--by", "IT", "--set", "contest/judge/vote_for="+
				test.keyed))
			does(t, cproofIn(t, folder, "join", demo.CaseName, "--by", "IT", "other.counterproof"))
			sealBoth(t, folder)
			does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
			differ := 0
			for _, f := range standingOf(t, folder).Findings {
				if f.Check == "keyers-differ" {
					differ++
				}
			}
			assert.Equal(t, test.differ, differ)
			assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)
		})
	}
}

// On a terminal the passphrase is asked for and not shown.
func TestThePassphraseIsAskedForOnATerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for a terminal: long; run without -short")
	}
	needs(t, "script", "bsdutils")
	folder := demoCase(t)
	line := binary(t) + " seal " + demo.CaseName + " ballots --by IT"
	command := exec.Command("script", "-qec", line, filepath.Join(t.TempDir(), "typescript"))
	command.Dir = folder
	command.Env = append(os.Environ(), "TERM=dumb")
	in, err := command.StdinPipe()
	require.NoError(t, err)
	var out strings.Builder
	asked := make(chan struct{}, 1)
	command.Stdout = askedFor{&out, "Passphrase of", asked}
	require.NoError(t, command.Start())
	select {
	case <-asked:
	case <-time.After(5 * time.Minute):
		t.Fatal("nothing was asked: " + out.String())
	}
	time.Sleep(2 * time.Second) // the terminal hides what is typed from just after the question on
	_, err = in.Write([]byte(strings.TrimSpace(secondLine) + "\n"))
	require.NoError(t, err)
	require.NoError(t, command.Wait(), out.String())
	assert.Contains(t, out.String(), "Passphrase of Imre Tallow (IT):")
	assert.NotContains(t, out.String(), strings.TrimSpace(secondLine))
	assert.Contains(t, out.String(), "The ballots are sealed")
}

// askedFor collects output and says when the words came.
type askedFor struct {
	out   *strings.Builder
	words string
	asked chan struct{}
}

func (a askedFor) Write(p []byte) (int, error) {
	n, err := a.out.Write(p)
	if strings.Contains(a.out.String(), a.words) {
		select {
		case a.asked <- struct{}{}:
		default:
		}
	}
	return n, err
}
