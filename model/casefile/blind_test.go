package casefile

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWhatTheKeyingSideHoldsReachesNoPrimary walks every type that can be reached from a
// Keying: fields, elements, what its methods and those of the interfaces that it holds
// take and give.
func TestWhatTheKeyingSideHoldsReachesNoPrimary(t *testing.T) {
	reached := walkTypes(reflect.TypeFor[*Keying]())
	require.Contains(t, reached, "counterproof/model/sheets.Sheets", "the walk went nowhere")
	for name, by := range reached {
		for _, barred := range []string{
			"counterproof/model/cdf", "database/sql", "casefile.Case", "casefile.State", "casefile.Export",
			"casefile.Announcement",
			"casefile.Decision", "casefile.Digest", "casefile.Entry", "os.File", "[]uint8", "unsafe.Pointer",
		} {
			if strings.Contains(name, barred) {
				t.Errorf("from Keying the type %s can be reached: %s", name, by)
			}
		}
	}
	// The walk must be able to fail.
	require.Contains(t, walkTypes(reflect.TypeFor[*Case]()), "counterproof/model/casefile.Export")
}

func walkTypes(from reflect.Type) map[string]string {
	reached := map[string]string{}
	var walk func(reflect.Type, string)
	walk = func(t reflect.Type, by string) {
		name := t.String()
		if t.PkgPath() != "" {
			name = t.PkgPath() + "." + t.Name()
		}
		if _, ok := reached[name]; ok {
			return
		}
		by += " > " + t.String()
		reached[name] = by
		// What any error can do is known, and its package is not ours.
		if name == "error" {
			return
		}
		// The second entry's own rows, written out.
		if name == "counterproof/model/sheets.File" {
			return
		}
		for i := range t.NumMethod() {
			// How a row writes its own path is no way to an export.
			if name := t.Method(i).Name; name == "MarshalText" || name == "UnmarshalText" {
				continue
			}
			walk(t.Method(i).Type, by+"."+t.Method(i).Name)
		}
		switch t.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Chan:
			walk(t.Elem(), by)
			if t.Kind() == reflect.Pointer {
				return
			}
		case reflect.Map:
			walk(t.Key(), by)
			walk(t.Elem(), by)
		case reflect.Struct:
			for i := range t.NumField() {
				walk(t.Field(i).Type, by+"."+t.Field(i).Name)
			}
		case reflect.Func:
			for i := range t.NumIn() {
				// A method of a concrete type takes the type itself first.
				walk(t.In(i), by)
			}
			for i := range t.NumOut() {
				walk(t.Out(i), by)
			}
		}
	}
	// An election can be reached: the second entry's own, from its rows.
	walk(from, "")
	return reached
}

// TestAKeyingSessionLeavesNoTraceOfTheExport keys a case while an export with marker
// strings lies beside it, and is announced, refused and asked for: no marker is in any
// file, error or state.
func TestAKeyingSessionLeavesNoTraceOfTheExport(t *testing.T) {
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	folder := t.TempDir()
	path := filepath.Join(folder, "blind"+Extension)
	export := []byte("<ElectionReport><Name>" + marker + "</Name></ElectionReport>")
	var said []string
	note := func(err error) {
		require.Error(t, err)
		said = append(said, err.Error())
	}
	look := func(when string) {
		t.Helper()
		for _, dir := range []string{folder, temp} {
			require.NoError(t, filepath.Walk(dir, func(p string, info os.FileInfo, err error) error {
				if err != nil || info.IsDir() {
					return nil
				}
				b, err := os.ReadFile(p)
				require.NoError(t, err)
				require.False(t, bytes.Contains(b, []byte(marker)), "%s: the export shows in %s", when, p)
				return nil
			}))
		}
		for _, s := range said {
			require.NotContains(t, s, marker, when)
		}
	}

	c := staffed(t, path)
	k := keying(t, c)
	digest := DigestOf(export)
	require.NoError(t, c.Announce("p1", "county.xml", digest, int64(len(export))))
	look("announced")
	require.NoError(t, k.Load("proof A", smallEntry()))
	_, err := c.Receive("p1", "county.xml", export)
	require.ErrorIs(t, err, ErrNotSealed)
	note(err)
	_, err = c.Export(digest)
	note(err)
	note(c.Decide(Decision{}, nil, "p1", "p2"))
	look("refused")
	require.NoError(t, k.Set(Set(Contests, 1, "title", "Executive of the County")))
	_, err = k.Undo()
	require.NoError(t, err)
	c = reopen(t, c)
	unlockAll(t, c)
	require.NoError(t, c.Backup(filepath.Join(folder, "backup"+Extension)))
	look("closed, opened and backed up")
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeUnits}))
	_, err = c.Receive("p1", "county.xml", export)
	require.ErrorIs(t, err, ErrNotSealed, "the units' seal does not open the ballots")
	note(err)
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	look("sealed")
	_, err = c.Receive("p1", "county.xml", export)
	require.NoError(t, err)
	require.Equal(t, c.State().Announced[0].Seq, c.State().Exports[0].Announced)
	require.NoError(t, c.Close())
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(b), marker, "after the seal the export is kept as received")
}
