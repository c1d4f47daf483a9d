package casefile

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestADamagedByteIsNeverTakenForTheRecord damages a whole signed case, each 97th byte
// and every byte of its first and last page, one at a time: the case does not open, does
// not verify, or says exactly what it said.
func TestADamagedByteIsNeverTakenForTheRecord(t *testing.T) {
	for name, path := range map[string]string{"layout 1": layout1(t, "signed"), "layout 2": first(signedCase(t))} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && name == "layout 1" {
				t.Skip("the case is read twice after each change: long; run without -short")
			}
			whole, err := os.ReadFile(path)
			require.NoError(t, err)
			want := recordOf(t, path)
			// All of it takes a minute and a half on a quiet machine: CI does it.
			step, stride := 97, 1
			switch {
			case testing.Short():
				step, stride = 4999, 128
			case os.Getenv("CI") != "true", name == "layout 1":
				step, stride = 997, 16
			}
			damaged := newPath(t)
			b := append([]byte(nil), whole...)
			tried, accepted := 0, 0
			try := func(i int) {
				b[i] ^= 0xff
				require.NoError(t, os.WriteFile(damaged, b, 0o600))
				b[i] = whole[i]
				tried++
				c, err := Open(damaged, Options{ReadOnly: true})
				if err == nil {
					require.NoError(t, c.Close())
					// The journal holds together: it says what it said, and shows no other bytes
					// of an export.
					got := recordOf(t, damaged)
					require.True(t, want.entries == got.entries, "byte %d was changed and the journal says otherwise", i)
					for digest, size := range got.kept {
						require.Contains(t, []int{-1, want.kept[digest]}, size, "byte %d", i)
					}
				} else {
					require.NotContains(t, err.Error(), "\n")
				}
				if r, err := Verify(damaged, Expect{}); err == nil && r.Good() {
					accepted++
					require.Equal(t, want.head, r.Head, "byte %d was changed and the case verifies", i)
					require.Equal(t, want, recordOf(t, damaged))
				}
			}
			for i := 0; i < len(b); i += step {
				try(i)
			}
			for i := 0; i < 4096; i += stride {
				try(i)
				try(len(b) - 4096 + i)
			}
			t.Logf("%d bytes damaged; %d of them are in no record and the case verifies", tried, accepted)
		})
	}
}

func first(path string, _ *State) string { return path }

// record is what a case says: its entries and the files that it keeps.
type record struct {
	head    Digest
	entries Digest // of all of them, as canonical JSON
	kept    map[Digest]int
}

func recordOf(t *testing.T, path string) record {
	t.Helper()
	c, err := Open(path, Options{ReadOnly: true})
	require.NoError(t, err)
	defer c.Close()
	r := record{head: c.State().Head, kept: map[Digest]int{}}
	var lines []byte
	for e, err := range c.Entries(0) {
		require.NoError(t, err)
		lines = append(append(lines, e.Canonical()...), '\n')
	}
	r.entries = DigestOf(lines)
	for _, x := range c.State().Exports {
		if b, err := c.Export(x.Digest); err == nil {
			r.kept[x.Digest] = len(b)
		} else {
			r.kept[x.Digest] = -1 // it is not shown: its bytes do not have the digest
		}
	}
	return r
}
