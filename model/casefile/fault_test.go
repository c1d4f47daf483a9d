package casefile

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
	"modernc.org/libc"
	sqlitelib "modernc.org/sqlite/lib"
)

// The file layer below SQLite, made to fail on purpose (https://sqlite.org/vfs.html):
// a copy of the system's own whose writes, truncations and syncs can be told to fail.

const faultyVFS = "counterproof-faulty"

type faultKind string

const (
	shortWrite faultKind = "a write stops halfway"
	fullDisk   faultKind = "the disk is full"
	failedSync faultKind = "a sync fails"
	pulled     faultKind = "the stick is pulled"
)

// faults counts the operations that could fail and fails the one that is due; a
// pulled stick fails all that follow as well.
var faults struct {
	sync.Mutex
	kind  faultKind
	due   int
	fired bool
}

func armFault(kind faultKind, due int) {
	faults.Lock()
	defer faults.Unlock()
	faults.kind, faults.due, faults.fired = kind, due, false
}

func disarmFault() (fired bool) {
	faults.Lock()
	defer faults.Unlock()
	faults.kind = ""
	return faults.fired
}

func faultNow(write bool) faultKind {
	faults.Lock()
	defer faults.Unlock()
	k := faults.kind
	if k == "" || k == failedSync && write || (k == shortWrite || k == fullDisk) && !write {
		return ""
	}
	faults.due--
	if faults.due == 0 || faults.due < 0 && k == pulled {
		faults.fired = true
		return k
	}
	return ""
}

// cptr reads C memory.
func cptr[T any](p uintptr) *T { return *(**T)(unsafe.Pointer(&p)) }

// cfunc makes a Go function callable by SQLite, gofunc the other way round.
func cfunc(f any) uintptr { return (*[2]uintptr)(unsafe.Pointer(&f))[1] }

func gofunc[F any](p uintptr) F { return *(*F)(unsafe.Pointer(&struct{ p uintptr }{p})) }

type (
	openFunc     = func(*libc.TLS, uintptr, uintptr, uintptr, int32, uintptr) int32
	writeFunc    = func(*libc.TLS, uintptr, uintptr, int32, int64) int32
	truncateFunc = func(*libc.TLS, uintptr, int64) int32
	syncFunc     = func(*libc.TLS, uintptr, int32) int32
)

var (
	systemVFS uintptr
	// system finds the system's methods by the faulty copy, copies the other way.
	system = map[uintptr]uintptr{}
	copies = map[uintptr]uintptr{}
)

func faultyOpen(tls *libc.TLS, _, name, file uintptr, flags int32, out uintptr) int32 {
	rc := gofunc[openFunc](cptr[sqlitelib.Tsqlite3_vfs](systemVFS).FxOpen)(tls, systemVFS, name, file, flags, out)
	f := cptr[sqlitelib.Tsqlite3_file](file)
	if rc != sqlitelib.SQLITE_OK || f.FpMethods == 0 {
		return rc
	}
	faults.Lock()
	defer faults.Unlock()
	methods := copies[f.FpMethods]
	if methods == 0 {
		methods = libc.Xmalloc(tls, libc.Tsize_t(unsafe.Sizeof(sqlitelib.Tsqlite3_io_methods{})))
		m := cptr[sqlitelib.Tsqlite3_io_methods](methods)
		*m = *cptr[sqlitelib.Tsqlite3_io_methods](f.FpMethods)
		m.FxWrite, m.FxTruncate, m.FxSync = cfunc(faultyWrite), cfunc(faultyTruncate), cfunc(faultySync)
		copies[f.FpMethods], system[methods] = methods, f.FpMethods
	}
	f.FpMethods = methods
	return rc
}

func systemMethods(file uintptr) *sqlitelib.Tsqlite3_io_methods {
	faults.Lock()
	defer faults.Unlock()
	return cptr[sqlitelib.Tsqlite3_io_methods](system[cptr[sqlitelib.Tsqlite3_file](file).FpMethods])
}

func faultyWrite(tls *libc.TLS, file, from uintptr, n int32, offset int64) int32 {
	write := gofunc[writeFunc](systemMethods(file).FxWrite)
	switch faultNow(true) {
	case shortWrite:
		write(tls, file, from, n/2, offset)
		return sqlitelib.SQLITE_IOERR_WRITE
	case fullDisk:
		write(tls, file, from, n/3, offset)
		return sqlitelib.SQLITE_FULL
	case pulled:
		return sqlitelib.SQLITE_IOERR_WRITE
	}
	return write(tls, file, from, n, offset)
}

func faultyTruncate(tls *libc.TLS, file uintptr, size int64) int32 {
	if faultNow(true) != "" {
		return sqlitelib.SQLITE_IOERR_TRUNCATE
	}
	return gofunc[truncateFunc](systemMethods(file).FxTruncate)(tls, file, size)
}

func faultySync(tls *libc.TLS, file uintptr, flags int32) int32 {
	if faultNow(false) != "" {
		return sqlitelib.SQLITE_IOERR_FSYNC
	}
	return gofunc[syncFunc](systemMethods(file).FxSync)(tls, file, flags)
}

var installFaults = sync.OnceFunc(func() {
	tls := libc.NewTLS()
	systemVFS = sqlitelib.Xsqlite3_vfs_find(tls, 0)
	p := libc.Xmalloc(tls, libc.Tsize_t(unsafe.Sizeof(sqlitelib.Tsqlite3_vfs{})))
	v := cptr[sqlitelib.Tsqlite3_vfs](p)
	*v = *cptr[sqlitelib.Tsqlite3_vfs](systemVFS)
	name, err := libc.CString(faultyVFS)
	if err != nil {
		panic(err)
	}
	v.FzName, v.FpNext, v.FxOpen = name, 0, cfunc(faultyOpen)
	if rc := sqlitelib.Xsqlite3_vfs_register(tls, p, 0); rc != sqlitelib.SQLITE_OK {
		panic("the faulty file layer was not registered")
	}
})

func faulty(o Options) Options {
	installFaults()
	o.vfs = faultyVFS
	return o
}

// acts are what is done to a case while something fails below it.
var acts = []struct {
	name string
	do   func(c *Case, n int) error
}{
	{"keying a field", func(c *Case, n int) error {
		k, err := c.Keying("p2")
		if err != nil {
			return err
		}
		return k.Set(Set(Contests, 1, "title", "County Executive "+itoa(n)))
	}},
	{"keying a long text", func(c *Case, n int) error {
		k, err := c.Keying("p2")
		if err != nil {
			return err
		}
		return k.Set(Set(Contests, 1, "text", string(bytes.Repeat([]byte("Shall the county "), 2000))+itoa(n)))
	}},
	{"bringing in sheets", func(c *Case, n int) error {
		k, err := c.Keying("p2")
		if err != nil {
			return err
		}
		s := countySheets(40)
		s.Contests[0].Title = "Round " + itoa(n)
		return k.Load("county", s)
	}},
}

// TestNothingIsLostWhenTheDiskFails fails each write, and each sync, of each act in
// turn. The act says so and leaves no trace, the case goes on when the disk does, and
// what was acknowledged is there, whether the case is closed afterwards or killed.
func TestNothingIsLostWhenTheDiskFails(t *testing.T) {
	if testing.Short() {
		t.Skip("fails at each write in turn: long; run without -short")
	}
	for _, kind := range []faultKind{shortWrite, fullDisk, failedSync, pulled} {
		for _, act := range acts {
			t.Run(string(kind)+" while "+act.name, func(t *testing.T) {
				if testing.Short() && act.name == "keying a long text" {
					t.Skip("it fails at 40 places, as sheets do, and copies the case at each: long; run without -short")
				}
				path := newPath(t)
				o := faulty(quick())
				c := create(t, path, o)
				staff(t, c)
				require.NoError(t, act.do(c, 0))
				fired := 0
				for due := 1; due <= 40; due++ {
					before := c.State()
					entry := c.state.entries[0].clone()
					armFault(kind, due)
					err := act.do(c, due)
					hit := disarmFault()
					if !hit {
						require.NoError(t, err)
						break
					}
					fired++
					if err == nil {
						// Only what comes after the commit failed: the log could not be
						// folded into the file, which is tried again.
						continue
					}
					want := ErrMedium
					if kind == fullDisk {
						want = ErrNoRoom
					}
					require.True(t, errors.Is(err, want) || errors.Is(err, ErrMedium), "%v", err)
					require.Contains(t, err.Error(), "nothing was recorded")
					require.Contains(t, err.Error(), path)
					require.Equal(t, before.Head, c.State().Head)
					require.Equal(t, entry.tables, c.state.entries[0].tables, "a field that was refused stayed in the state")

					killed := filepath.Join(t.TempDir(), "killed"+Extension)
					copyFile(t, path, killed)
					if _, err := os.Stat(path + "-wal"); err == nil {
						copyFile(t, path+"-wal", killed+"-wal")
					}
					after, err := Open(killed, quick())
					require.NoError(t, err, "killed just after the fault")
					require.GreaterOrEqual(t, after.State().Seq, before.Seq)
					require.NoError(t, after.Close())

					require.NoError(t, act.do(c, due), "the case goes on when the disk does")
				}
				require.Positive(t, fired, "no fault was reached: the test shows nothing")
				want := c.State()
				entry := c.state.entries[0].clone()
				c = reopen(t, c)
				require.Equal(t, want.Head, c.State().Head)
				for tab := range tables {
					require.Equal(t, entry.tables[tab].cells, c.state.entries[0].tables[tab].cells)
				}
				require.NoError(t, c.Close())
				r, err := Verify(path, Expect{Head: want.Head})
				require.NoError(t, err)
				require.True(t, r.Good(), r.Words())
			})
		}
	}
}

// TestClosingOnAFailingDisk fails each step of closing: what was recorded is there
// when the case is opened again.
func TestClosingOnAFailingDisk(t *testing.T) {
	for _, kind := range []faultKind{shortWrite, fullDisk, failedSync, pulled} {
		t.Run(string(kind), func(t *testing.T) {
			path := newPath(t)
			c := create(t, path, faulty(quick()))
			staff(t, c)
			require.NoError(t, keying(t, c).Load("county", countySheets(40)))
			fired := 0
			for due := 1; due <= 60; due++ {
				require.NoError(t, keying(t, c).Set(Set(Contests, 1, "title", "Round "+itoa(due))))
				want := c.State().Head
				armFault(kind, due)
				err := c.Close()
				hit := disarmFault()
				if hit {
					fired++
				}
				if err != nil {
					require.ErrorIs(t, err, ErrMedium)
					require.Contains(t, err.Error(), "-wal")
				}
				c, err = Open(path, c.options)
				require.NoError(t, err)
				require.Empty(t, c.ReadOnly())
				require.Equal(t, want, c.State().Head)
				if !hit {
					break
				}
			}
			require.Positive(t, fired)
			require.NoError(t, c.Close())
		})
	}
}

func TestABackupOnAFailingDiskLeavesNoFile(t *testing.T) {
	path := newPath(t)
	c := create(t, path, faulty(quick()))
	staff(t, c)
	require.NoError(t, keying(t, c).Load("county", countySheets(40)))
	fired := 0
	for due := 1; ; due++ {
		to := filepath.Join(t.TempDir(), "backup"+Extension)
		armFault(fullDisk, due)
		err := c.Backup(to)
		if !disarmFault() {
			require.NoError(t, err)
			break
		}
		fired++
		require.Error(t, err)
		names, err := os.ReadDir(filepath.Dir(to))
		require.NoError(t, err)
		require.Empty(t, names)
		if due > 2 {
			due += 5
		}
	}
	require.Positive(t, fired)
}
