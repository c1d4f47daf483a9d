//go:build unix

package review_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

const (
	// dayVariable makes this test's program the office of the day: a folder to write the
	// county to, or to read it from.
	dayVariable  = "REVIEW_DAY"
	exportsOfDay = 10
	mostMemory   = 1 << 30
)

// A day in the largest county: ten exports of 5,000 precincts with 30 contests each come
// in, one after the other; the pair decides, corrects and looks at what each export
// changed. What the process needs of the machine's memory stays under 1 GB. The county is
// made, and worked on, in processes of their own: this one must be small, because the
// system counts in a process the moment before it replaced its parent's image.
func TestADayWithTenExportsOfTheLargestCountyStaysUnderOneGigabyte(t *testing.T) {
	if os.Getenv(dayVariable) != "" {
		t.Skip("this is the office")
	}
	if testing.Short() || os.Getenv("CI") != "true" {
		t.Skip("a county of 5,000 precincts, ten exports: long; run with CI=true")
	}
	folder := t.TempDir()
	office := func(work string) *os.ProcessState {
		command := exec.Command(os.Args[0], "-test.run=^"+work+"$", "-test.v")
		command.Env = append(os.Environ(), dayVariable+"="+folder)
		out, err := command.CombinedOutput()
		require.NoError(t, err, string(out))
		t.Log(string(out))
		return command.ProcessState
	}
	office("TestTheCountyOfTheDay")
	usage := office("TestTheDay").SysUsage().(*syscall.Rusage)
	peak := usage.Maxrss
	if runtime.GOOS == "linux" || runtime.GOOS == "freebsd" {
		peak *= 1024 // there counted in kilobytes
	}
	t.Logf("largest resident memory of the day: %d MB", peak>>20)
	assert.Less(t, peak, int64(mostMemory), "what a review keeps of earlier exports has to be bounded")
}

func dayFile(folder string, n int) string {
	return filepath.Join(folder, fmt.Sprintf("export-%d.xml", n))
}

// TestTheCountyOfTheDay writes the sealed case and the exports.
func TestTheCountyOfTheDay(t *testing.T) {
	folder := os.Getenv(dayVariable)
	if folder == "" {
		t.Skip("only as a process of the day")
	}
	c := casetest.New(t)
	casetest.Key(t, c, sheets.FromElection(casetest.County(5000, false), ""))
	casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
	require.NoError(t, c.Backup(filepath.Join(folder, "day"+casefile.Extension)))
	for n := range exportsOfDay {
		e := casetest.County(5000, false)
		// Each export mends some mistakes of the one before, and brings one of its own.
		for i := n; i < 20; i++ {
			e.Contests[7+i*3].VoteFor = model.Say(2)
			name := &e.Contests[8+i*3].Choices[1].Name
			*name = model.Say(model.Plain(name.Value.In("") + "e"))
		}
		e.Contests[200+n].VoteFor = model.Say(3)
		require.NoError(t, os.WriteFile(dayFile(folder, n), casetest.Export(t, e), 0o600))
	}
	info, err := os.Stat(dayFile(folder, 0))
	require.NoError(t, err)
	t.Logf("an export: %d MB", info.Size()/1e6)
}

// TestTheDay is the work of the day.
func TestTheDay(t *testing.T) {
	folder := os.Getenv(dayVariable)
	if folder == "" {
		t.Skip("only as a process of the day")
	}
	c, err := casefile.Open(filepath.Join(folder, "day"+casefile.Extension),
		casefile.Options{WorkFactor: 1, Idle: 1000 * time.Hour})
	require.NoError(t, err)
	defer c.Close()
	require.NoError(t, c.Unlock(programmer, casetest.Passphrase))
	require.NoError(t, c.Unlock(second, casetest.Passphrase))
	r := review.New(c)
	began := time.Now()
	for n := range exportsOfDay {
		data, err := os.ReadFile(dayFile(folder, n))
		require.NoError(t, err)
		brought, err := r.BringIn(programmer, review.File{Name: fmt.Sprintf("export-%d.xml", n), Data: data})
		require.NoError(t, err)
		if n > 0 {
			require.NotEmpty(t, brought.Unasked, "each export has a mistake of its own")
		}
		for _, i := range casetest.Now(t, r).Items {
			if i.Check == "choice-name" {
				decide(t, r, casefile.OutcomeFixConfiguration, i.ID)
				break
			}
		}
		require.NoError(t, c.Correct("Proof", "misread", []casefile.Change{
			casefile.Set(casefile.Contests, 3, "title", fmt.Sprint("Another Title ", n))}, programmer, second))
		casetest.Now(t, r)
		now(t, fmt.Sprintf("export %d", n), began)
	}
	rounds, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, rounds, exportsOfDay)
	for _, round := range rounds[1:] {
		require.NotEmpty(t, round.Unasked)
	}
	now(t, "all that changed", began)
	runtime.KeepAlive(r)
}

// now says what is kept in memory.
func now(t *testing.T, what string, began time.Time) {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	t.Logf("%s: %d MB kept, %.0f s", what, m.HeapAlloc>>20, time.Since(began).Seconds())
}
