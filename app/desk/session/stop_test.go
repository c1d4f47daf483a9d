package session

import (
	"context"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// stopsAfter is a context that is stopped when it was asked so many times.
type stopsAfter struct {
	context.Context
	left atomic.Int64
}

func (s *stopsAfter) Err() error {
	if s.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// stopEverywhere stops work at the first place where it asks, then at the second, and
// so on, until it is not stopped any more. Each time it must end with Canceled, and
// unchanged must hold.
func stopEverywhere(t *testing.T, work func(context.Context) error, unchanged func()) {
	t.Helper()
	for n := int64(0); n < 100_000; n++ {
		ctx := &stopsAfter{Context: t.Context()}
		ctx.left.Store(n)
		err := work(ctx)
		if err == nil {
			require.Positive(t, n, "it asks whether it is to stop")
			return
		}
		require.ErrorIs(t, err, context.Canceled)
		unchanged()
	}
	t.Fatal("it never ends")
}

func sealedDemo(t *testing.T) *Session {
	s := demoSession(t)
	it, _ := s.Holder(casefile.SeatSecond)
	require.NoError(t, s.Case().Unlock(it.ID, s.DemoPassphrase(it.ID)))
	require.NoError(t, s.Case().Seal(it.ID, casefile.Seal{Scope: casefile.ScopeBallots,
		Without: s.Case().Unkeyed(casefile.ScopeBallots)}))
	return s
}

func TestBringingAnExportInStopsWhereverItIsAndLeavesTheCaseAsItWas(t *testing.T) {
	s := sealedDemo(t)
	export := filepath.Join(filepath.Dir(s.Case().Path()), "export.xml")
	before := s.State().Head
	stopEverywhere(t, func(ctx context.Context) error {
		in, err := s.LookAtExport(ctx, export)
		if err != nil {
			return err
		}
		_, err = s.BringIn(ctx, "", in)
		return err
	}, func() {
		require.Equal(t, before, s.State().Head)
		require.Empty(t, s.State().Exports)
	})
	assert.Len(t, s.State().Exports, 1)
}

func TestOpeningACaseStopsAndTheOneThatWasOpenStays(t *testing.T) {
	s := sealedDemo(t)
	other := filepath.Join(t.TempDir(), "other"+casefile.Extension)
	require.NoError(t, s.Case().Backup(other))
	open := s.Case()
	stopEverywhere(t, func(ctx context.Context) error { return s.OpenContext(ctx, other) }, func() {
		require.Same(t, open, s.Case())
		_, err := os.Stat(other + ".lease")
		require.ErrorIs(t, err, os.ErrNotExist, "the lease of the other is given back")
	})
	assert.Equal(t, other, s.Case().Path())
}

func TestABackupThatIsStoppedLeavesNothingBehind(t *testing.T) {
	s := sealedDemo(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "copy"+casefile.Extension)
	stopEverywhere(t, func(ctx context.Context) error { return s.Case().BackupContext(ctx, path) }, func() {
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Empty(t, left)
	})
	_, err := os.Stat(path)
	require.NoError(t, err)
}

func TestWhatIsDroppedIsToldByItsNameAndItsHead(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	sheets := filepath.Dir(put("second/contests.csv", "contest,title\n"))
	empty := filepath.Join(dir, "nothing")
	require.NoError(t, os.Mkdir(empty, 0o755))
	oneCase := put("one/general.counterproof", "")
	put("two/a.counterproof", "")
	twoCases := filepath.Dir(put("two/b.counterproof", ""))
	xml, part := put("export.XML", "<x/>"), put("part2.xml", "<x/>")
	cards := put("cards.csv", "\ufeffunit;site;precinct\nTW-1;Fire Hall;1-01\n")
	for _, c := range []struct {
		name  string
		paths []string
		want  DroppedKind
		why   string
	}{
		{"a case", []string{oneCase}, DroppedCase, ""},
		{"a folder with one case", []string{filepath.Dir(oneCase)}, DroppedCase, ""},
		{"a folder with two cases", []string{twoCases}, DroppedNothing, "holds 2 cases"},
		{"an export", []string{xml}, DroppedExport, ""},
		{"an export in parts with its cards", []string{xml, part, cards}, DroppedExport, ""},
		{"a card list", []string{cards}, DroppedExport, ""},
		{"a folder of sheets", []string{sheets}, DroppedSheets, ""},
		{"one sheet of many", []string{filepath.Join(sheets, "contests.csv")}, DroppedNothing, "Drop the folder"},
		{"one sheet under another name", []string{put("mine.csv", "contest,position,name\n")}, DroppedNothing,
			"Drop the folder"},
		{"a roster", []string{put("roster.csv", "1-01,Fire Hall\n")}, DroppedRoster, ""},
		{"a roster with a head", []string{put("list.txt", "precinct\tsite\n1-01\tFire Hall\n")}, DroppedRoster, ""},
		{"a folder of something else", []string{empty}, DroppedNothing, "neither sheets"},
		{"a PDF", []string{put("proof.pdf", "%PDF")}, DroppedNothing, "nothing that this program reads"},
		{"an empty table", []string{put("empty.csv", "")}, DroppedNothing, "is empty"},
		{"what is not there", []string{filepath.Join(dir, "gone.xml")}, DroppedNothing, "cannot be read"},
		{"things that do not go together", []string{xml, sheets}, DroppedNothing, "one after the other"},
		{"two cases", []string{oneCase, filepath.Join(twoCases, "a.counterproof")}, DroppedNothing, "Drop the one"},
		{"nothing", nil, DroppedNothing, "No file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := LookAt(c.paths)
			assert.Equal(t, c.want, got.Kind, got.Why)
			if c.why != "" {
				assert.Contains(t, got.Why, c.why)
			} else {
				assert.Len(t, got.Paths, len(c.paths))
			}
		})
	}
}
