package report

import (
	"testing"
	"time"
	_ "time/tzdata" // not every machine has the zones

	"github.com/stretchr/testify/require"
)

// In 2027 daylight saving time ends in the United States on 7 November at 06:00 UTC (15 U.S.C. 260a:
// the first Sunday of November, 2 o'clock).
func TestEachTimeHasTheOffsetOfItsDay(t *testing.T) {
	place, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	k := clockOf(place, "2027-10-12T09:00:00Z", "2027-11-10T12:00:00Z")
	require.Equal(t, clock{{"2027-10-12T09:00:00Z", "-04:00"}, {"2027-11-07T06:00:00Z", "-05:00"}}, k)
	require.NoError(t, k.fits())
	for at, want := range map[string]string{
		"2027-10-12T09:00:00Z": "12 October 2027, 05:00:00 -04:00 (09:00:00 UTC)",
		"2027-11-07T05:59:59Z": "7 November 2027, 01:59:59 -04:00 (05:59:59 UTC)",
		"2027-11-07T06:00:00Z": "7 November 2027, 01:00:00 -05:00 (06:00:00 UTC)",
		"2027-11-09T03:30:00Z": "8 November 2027, 22:30:00 -05:00 (9 November 2027, 03:30:00 UTC)",
		"2028-07-01T12:00:00Z": "1 July 2028, 07:00:00 -05:00 (12:00:00 UTC)", // later than the report: its last offset
		"2027-10-01T12:00:00Z": "1 October 2027, 08:00:00 -04:00 (12:00:00 UTC)",
		"soon":                 "soon",
	} {
		require.Equal(t, want, k.moment(at))
	}
	require.Equal(t, "12 October 2027, 09:00:00 UTC", clock(nil).moment("2027-10-12T09:00:00Z"), "an earlier report")
	require.Equal(t, "12 October 2027, 09:00:00 UTC", clockOf(time.UTC, "2027-10-12T09:00:00Z",
		"2027-10-12T09:00:00Z").moment("2027-10-12T09:00:00Z"))
	require.Error(t, clock{{"2027-10-12T09:00:00Z", "four"}}.fits())
	require.Error(t, clock{{"2027-10-12T09:00:00Z", "-04:00"}, {"2026-10-12T09:00:00Z", "-05:00"}}.fits())
}
