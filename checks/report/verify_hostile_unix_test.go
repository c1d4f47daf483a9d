//go:build unix

package report_test

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/report"
	"counterproof/model/casefile"
)

// What is no plain file is refused before it is opened: a pipe would wait for ever, a
// link lead elsewhere.
func TestAFolderThatIsNoEvidenceGivesOneError(t *testing.T) {
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	for _, name := range []string{"case.counterproof", "report.json", "report.pdf", "SHA256SUMS", "p1.sig",
		"exports/export-1.xml", "more"} {
		path := filepath.Join(dir, name)
		was, errRead := os.ReadFile(path)
		for what, put := range map[string]func() error{
			"a link":   func() error { return os.Symlink("README.txt", path) },
			"no end":   func() error { return os.Symlink(filepath.Base(path), path) },
			"device":   func() error { return os.Symlink("/dev/zero", path) },
			"a pipe":   func() error { return syscall.Mkfifo(path, 0o600) },
			"a folder": func() error { return os.MkdirAll(filepath.Join(path, "deep", "deeper"), 0o700) },
			"a socket": func() error {
				l, err := net.ListenUnix("unix", &net.UnixAddr{Name: path})
				if err == nil {
					l.SetUnlinkOnClose(false)
					err = l.Close()
				}
				return err
			},
		} {
			_ = os.Remove(path)
			if err := put(); err != nil {
				t.Logf("%s: %v", what, err) // a path too long for a socket
				require.Equal(t, "a socket", what)
				continue
			}
			checked, err := report.Verify(dir, casefile.Expect{})
			require.Error(t, err, "%s: %s: %v", name, what, checked)
			require.Contains(t, err.Error(), name)
			require.NotContains(t, err.Error(), "\n")
			require.NoError(t, os.RemoveAll(path))
		}
		if errRead == nil {
			require.NoError(t, os.WriteFile(path, was, 0o600))
		}
	}
	require.True(t, verify(t, dir, casefile.Expect{}).Good())
	require.NoError(t, os.Mkdir(filepath.Join(t.TempDir(), "empty"), 0o700))
	for _, path := range []string{t.TempDir(), filepath.Join(dir, "none"), "/dev/zero", filepath.Join(dir, "README.txt")} {
		_, err := report.Verify(path, casefile.Expect{})
		require.Error(t, err, path)
	}
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	_, err := report.Verify(pipe, casefile.Expect{})
	require.ErrorContains(t, err, "a pipe")
}

// Files without end, or nearly: little of them is read, and less is kept.
func TestHugeFilesTakeLittleMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("reads huge files: long; run without -short")
	}
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	require.True(t, verify(t, dir, casefile.Expect{}).Good())
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	tried := 0
	names := []string{"case.counterproof", "report.json", "report.html", "SHA256SUMS", "p2.pem", "p2.sig",
		"sheets/units.csv"}
	if os.Getenv("CI") != "true" { // the 3 GB of each are read twice
		names = names[1:2]
	}
	for _, name := range names {
		path := filepath.Join(dir, name)
		info, err := os.Stat(path)
		require.NoError(t, err)
		for _, size := range []int64{3 << 30, 1 << 42} {
			if err := os.Truncate(path, size); err != nil {
				t.Logf("%s of %d bytes: %v", name, size, err) // not every file system has files so large
				continue
			}
			checked, err := report.Verify(dir, casefile.Expect{})
			if err == nil {
				faultAt(t, checked, name, "huge")
			}
			if name == "report.json" {
				_, err = report.Verify(path, casefile.Expect{})
				require.ErrorContains(t, err, "no report has so many")
			}
			tried++
		}
		require.NoError(t, os.Truncate(path, info.Size()))
	}
	runtime.ReadMemStats(&after)
	require.GreaterOrEqual(t, tried, len(names))
	// Each check folds the case and makes the report again; report.json is checked by itself too.
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(tried+2)*128<<20)
	require.True(t, verify(t, dir, casefile.Expect{}).Good())
}

func TestTooManyFilesAreRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("5,000 files: long; run without -short")
	}
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	more := filepath.Join(dir, "more")
	require.NoError(t, os.Mkdir(more, 0o700))
	for i := range 5001 {
		require.NoError(t, os.WriteFile(filepath.Join(more, strconv.Itoa(i)), nil, 0o600))
	}
	_, err := report.Verify(dir, casefile.Expect{})
	require.ErrorContains(t, err, "more than 5,000 files")
}

// A broken case does not hide what else is wrong, and what is right.
func TestTheRestIsCheckedWhereTheCaseIsBroken(t *testing.T) {
	sqlite := tool(t, "sqlite3", "sqlite3")
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	out, err := exec.Command(sqlite, filepath.Join(dir, "case.counterproof"),
		`DROP TRIGGER journal_kept; UPDATE journal SET who = 'p1' WHERE seq = 5;`).CombinedOutput()
	require.NoError(t, err, "%s", out)
	checked := verify(t, dir, casefile.Expect{})
	faultAt(t, checked, "case.counterproof", "changed")
	require.Contains(t, checked.Words(), "entry 5")
	require.Contains(t, checked.Words(), "Bram Castellan hold")
	page := filepath.Join(dir, "report.html")
	b, err := os.ReadFile(page)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(page, append(b, ' '), 0o600))
	faultAt(t, verify(t, dir, casefile.Expect{}), "report.html", "changed beside a broken case")
	require.NoError(t, os.Remove(filepath.Join(dir, "case.counterproof")))
	checked = verify(t, dir, casefile.Expect{})
	faultAt(t, checked, "case.counterproof", "removed")
	faultAt(t, checked, "report.html", "changed, without a case")
}
