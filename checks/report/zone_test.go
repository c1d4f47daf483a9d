package report_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"
	_ "time/tzdata" // not every machine has the zones

	"github.com/stretchr/testify/require"

	"counterproof/checks/report"
	"counterproof/model/casefile"
)

// newYork is where the reports of these tests are made.
func newYork() *time.Location {
	place, err := time.LoadLocation("America/New_York")
	if err != nil {
		panic(err)
	}
	return place
}

// in does something on a machine in another zone.
func in(t *testing.T, place *time.Location, do func()) {
	t.Helper()
	was := time.Local
	defer func() { time.Local = was }()
	time.Local = place
	do()
}

// The local time of a report is signed with it: on a machine elsewhere the report and its evidence
// are the same, byte for byte.
func TestLocalTimeIsThatOfTheSigning(t *testing.T) {
	if testing.Short() {
		t.Skip("verifies a folder in other zones: long; run without -short")
	}
	r, made := signed(t)
	require.Equal(t, "-04:00", made.Clock[0].Offset)
	require.Len(t, made.Clock, 1)
	_, page, _ := forms(t, made)
	require.Contains(t, asRead(page), "12 October 2027, 05:13:00 -04:00 (09:13:00 UTC)")
	dir := evidence(t, r.Case())
	in(t, time.FixedZone("", 9*3600), func() {
		checked := verify(t, dir, casefile.Expect{})
		require.True(t, checked.Good(), checked.Words())
		require.Contains(t, checked.Words(), "Made again from the case, it is the same byte for byte")
		again := filepath.Join(t.TempDir(), "again")
		require.NoError(t, report.Evidence(r.Case(), again))
		require.Equal(t, files(t, dir), files(t, again))
		other, err := report.Make(r)
		require.NoError(t, err)
		require.Equal(t, "+09:00", other.Clock[0].Offset, "what is made anew has the time of its place")
	})
	b, err := os.ReadFile(filepath.Join(dir, "report.json"))
	require.NoError(t, err)
	require.Contains(t, string(b), `"clock":[{"from":"2027-10-12T09:01:00Z","offset":"-04:00"}]`)
}
