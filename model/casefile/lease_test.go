package casefile

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"
)

func TestTheSecondToOpenReads(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	o := quick()
	o.Person = "Odile Farrow"
	second, err := Open(path, o)
	require.NoError(t, err)
	require.NotNil(t, second.Holder())
	require.Equal(t, "Wren Aldous", second.Holder().Person)
	require.Equal(t, os.Getpid(), second.Holder().PID)
	require.Contains(t, second.ReadOnly(), "Wren Aldous has it open on")
	_, err = second.Keying("p2")
	require.ErrorIs(t, err, ErrReadOnly)
	require.ErrorContains(t, err, "Wren Aldous")
	require.ErrorIs(t, second.Unlock("p2", "anything at all"), ErrReadOnly)

	require.NoError(t, keying(t, c).Set(Set(Contests, 1, "title", "Judge")))
	shown := second.State().Head
	require.NotEqual(t, c.State().Head, shown)
	last := int64(0)
	for e, err := range second.Entries(0) {
		require.NoError(t, err)
		last = e.Seq
	}
	require.Equal(t, second.State().Seq, last, "it is shown as it was when it was opened")
	again, err := Open(path, o)
	require.NoError(t, err)
	require.Equal(t, c.State().Head, again.State().Head)
	require.NoError(t, again.Close())

	require.NoError(t, c.Close())
	third, err := Open(path, o)
	require.NoError(t, err)
	require.Empty(t, third.ReadOnly())
	require.NoError(t, keying(t, third).Set(Set(Contests, 1, "title", "County Judge")))
	require.NoError(t, third.Close())
	require.NoError(t, second.Close())
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1, "the last to close leaves one file")
}

func TestALeaseThatWasLeftBehind(t *testing.T) {
	host, err := os.Hostname()
	require.NoError(t, err)
	ended := exec.Command("true")
	require.NoError(t, ended.Run())
	for _, test := range []struct {
		name  string
		lease Lease
		age   time.Duration
		taken bool
	}{
		{"its process has ended", Lease{Host: host, PID: ended.Process.Pid, Token: "a"}, 0, true},
		{"another process has its number", Lease{Host: host, PID: os.Getpid(), Process: "1", Token: "a"}, 0, true},
		{"its process runs, though it was not touched for long",
			Lease{Host: host, PID: os.Getpid(), Process: processStart(os.Getpid()), Token: "a"}, time.Hour, false},
		{"another machine, touched lately", Lease{Host: "attic", PID: 1, Token: "a"}, time.Minute, false},
		{"another machine, not touched for long", Lease{Host: "attic", PID: 1, Token: "a"}, time.Hour, false},
		{"another machine, in the future", Lease{Host: "attic", PID: 1, Token: "a"}, -time.Hour, false},
		{"half a note, written lately", Lease{}, time.Minute, false},
		{"half a note, left behind", Lease{}, time.Hour, true},
		{"half a note, in the future", Lease{}, -time.Hour, true},
	} {
		t.Run(test.name, func(t *testing.T) {
			path := newPath(t)
			require.NoError(t, create(t, path, quick()).Close())
			b, err := json.Marshal(test.lease)
			require.NoError(t, err)
			if test.lease.Token == "" {
				b = b[:len(b)/2]
			}
			require.NoError(t, os.WriteFile(path+leaseExtension, b, 0o600))
			at := time.Now().Add(-test.age)
			require.NoError(t, os.Chtimes(path+leaseExtension, at, at))
			c, err := Open(path, quick())
			require.NoError(t, err)
			require.Equal(t, test.taken, c.ReadOnly() == "", c.ReadOnly())
			require.NoError(t, c.Close())
			_, err = os.Stat(path + leaseExtension)
			require.Equal(t, test.taken, os.IsNotExist(err), "a lease is removed by its holder and nobody else")

			// Where it was not, saying so takes it over, unless its program runs here.
			here := test.lease.Host == host
			o := quick()
			o.TakeOver = true
			if !test.taken {
				require.Equal(t, !here, c.Holder().TakeOver())
				require.Equal(t, !here, strings.Contains(c.ReadOnly(), "--take-over"), c.ReadOnly())
			}
			c, err = Open(path, o)
			require.NoError(t, err)
			require.Equal(t, test.taken || !here, c.ReadOnly() == "", c.ReadOnly())
			if !test.taken && !here {
				require.Equal(t, test.lease.Host, strings.ReplaceAll(c.TookOver().Host, "an unknown computer", ""))
			}
			require.NoError(t, c.Close())
		})
	}
}

// TestTwoWritersInSpiteOfTheLease takes the lease away: the journal takes one entry at
// each number, and the other writer is told.
func TestTwoWritersInSpiteOfTheLease(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	require.NoError(t, os.Remove(path+leaseExtension))
	other, err := Open(path, quick())
	require.NoError(t, err)
	require.Empty(t, other.ReadOnly())
	require.NoError(t, keying(t, other).Set(Set(Contests, 1, "title", "Judge")))
	head := other.State().Head
	err = keying(t, c).Set(Set(Contests, 1, "title", "Clerk"))
	require.ErrorContains(t, err, "another program wrote to the case")
	require.NoError(t, other.Close())
	require.NoError(t, c.Close())
	again, err := Open(path, quick())
	require.NoError(t, err)
	require.Equal(t, head, again.State().Head)
	require.NoError(t, again.Close())
}

func TestWhatIsNoCase(t *testing.T) {
	dir := t.TempDir()
	for name, content := range map[string]string{
		"an empty file": "", "a sheet": "contest,title\n", "half a header": "SQLite format 3\x00",
		"another database": "SQLite format 3\x00" + string(make([]byte, 4080)),
	} {
		path := filepath.Join(dir, name+Extension)
		require.NoError(t, os.WriteFile(path, []byte(content), 0o600))
		_, err := Open(path, quick())
		require.ErrorIs(t, err, ErrNotCase, name)
		require.Contains(t, err.Error(), path)
		require.Contains(t, err.Error(), "this program began")
		_, err = Verify(path, Expect{})
		require.ErrorIs(t, err, ErrNotCase, name)
	}
	_, err := Open(dir, quick())
	require.ErrorIs(t, err, ErrNotCase)
	_, err = Open(filepath.Join(dir, "gone"+Extension), quick())
	require.ErrorIs(t, err, os.ErrNotExist)
	require.Contains(t, err.Error(), "check the name")
	c := create(t, filepath.Join(dir, "there"+Extension), quick())
	_, err = Create(c.Path(), tarnwick, quick())
	require.ErrorIs(t, err, os.ErrExist)
	require.True(t, strings.HasSuffix(err.Error(), "choose another name"), err.Error())
	for name, start := range map[string]Start{
		"no name":   {Election: Election{Date: "2027-11-02"}, Parties: []string{"a", "b"}},
		"no date":   {Election: Election{Name: "x", Date: "November"}, Parties: []string{"a", "b"}},
		"one party": {Election: tarnwick.Election, Parties: []string{"a"}},
		"one twice": {Election: tarnwick.Election, Parties: []string{"a", "a"}},
	} {
		_, err := Create(filepath.Join(dir, "new"+Extension), start, quick())
		require.ErrorIs(t, err, ErrRule, name)
	}
}

func TestABackupWhileKeying(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	require.NoError(t, k.Load("county", countySheets(40)))
	to := filepath.Join(t.TempDir(), "backup"+Extension)
	require.NoError(t, c.Backup(to))
	want := c.State().Head
	require.NoError(t, k.Set(Set(Contests, 1, "title", "later")))
	require.ErrorContains(t, c.Backup(to), "already")
	names, err := os.ReadDir(filepath.Dir(to))
	require.NoError(t, err)
	require.Len(t, names, 1)
	again, err := Open(to, quick())
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, want, again.State().Head)
}

// A time in the future is said in the middle of a sentence that goes on.
func TestALeaseOfTheFutureReadsAsASentence(t *testing.T) {
	l := Lease{Person: "Liv", Host: "attic", PID: 7, Since: stamp(time.Now().Add(48 * time.Hour)), remedy: elsewhere}
	for _, words := range []string{l.Words(), l.TakenOver()} {
		require.Contains(t, words, "in the future by this computer's clock")
		require.NotContains(t, words, ",,")
		require.NotContains(t, words, ",;")
	}
}
