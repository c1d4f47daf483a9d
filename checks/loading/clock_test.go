package loading_test

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

// zonesOfTheStates are the time zones of the United States and its territories in the tz database
// (zone1970.tab, column "US" and the territories). The list is from memory; that each is a zone of the
// database the test shows.
var zonesOfTheStates = []string{
	"America/New_York", "America/Detroit", "America/Kentucky/Louisville", "America/Kentucky/Monticello",
	"America/Indiana/Indianapolis", "America/Indiana/Vincennes", "America/Indiana/Winamac", "America/Indiana/Marengo",
	"America/Indiana/Petersburg", "America/Indiana/Vevay", "America/Chicago", "America/Indiana/Tell_City",
	"America/Indiana/Knox", "America/Menominee", "America/North_Dakota/Center", "America/North_Dakota/New_Salem",
	"America/North_Dakota/Beulah", "America/Denver", "America/Boise", "America/Phoenix", "America/Los_Angeles",
	"America/Anchorage", "America/Juneau", "America/Sitka", "America/Metlakatla", "America/Yakutat", "America/Nome",
	"America/Adak", "Pacific/Honolulu", "America/Puerto_Rico", "America/St_Thomas", "Pacific/Guam", "Pacific/Saipan",
	"Pacific/Pago_Pago",
}

// withoutSaving are those without daylight saving time: 15 U.S.C. 260a(a)(1) lets a state exempt itself;
// Arizona, Hawaii and the territories do (from memory).
var withoutSaving = map[string]bool{"America/Phoenix": true, "Pacific/Honolulu": true, "America/Puerto_Rico": true,
	"America/St_Thomas": true, "Pacific/Guam": true, "Pacific/Saipan": true, "Pacific/Pago_Pago": true}

// savingOn says by the law whether daylight saving time applies on a day, from 03:00 on: 15 U.S.C. 260a(a),
// from the second Sunday of March to the first Sunday of November, at 02:00.
func savingOn(day time.Time) bool {
	sunday := func(month time.Month, nth int) time.Time {
		first := time.Date(day.Year(), month, 1, 0, 0, 0, 0, time.UTC)
		return first.AddDate(0, 0, (7-int(first.Weekday()))%7+7*(nth-1))
	}
	return !day.Before(sunday(time.March, 2)) && day.Before(sunday(time.November, 1))
}

// What a clock must show on each day from 2024 to 2030, for elections in spring and in November, holds
// against the law's dates and the tz database's offsets.
func TestWhatAClockMustShowInEveryZone(t *testing.T) {
	step := 4 // days; CI reads a clock on every day, which takes some seconds
	if os.Getenv("CI") == "true" {
		step = 1
	}
	for _, name := range zonesOfTheStates {
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		for year := 2024; year <= 2030; year++ {
			for _, election := range []string{fmt.Sprintf("%d-03-19", year), fmt.Sprintf("%d-11-08", year)} {
				machine, err := loading.ClockOf(cards.Rules{Zone: name}, election)
				require.NoError(t, err)
				itself, err := loading.ClockOf(cards.Rules{Zone: name, ChangesItself: true}, election)
				require.NoError(t, err)
				morning, err := time.Parse(time.DateOnly, election)
				require.NoError(t, err)
				for back := 1; back <= 60; back += step {
					day := morning.AddDate(0, 0, -back)
					at := time.Date(day.Year(), day.Month(), day.Day(), 14, 30, 0, 0, zone)
					var change time.Duration
					if !withoutSaving[name] && savingOn(day) != savingOn(morning) {
						change = time.Hour
						if savingOn(day) {
							change = -time.Hour
						}
					}
					must := machine.Must(at)
					require.Equal(t, change, must.Change, "%s, election of %s, %s", name, election, at)
					clock := time.Date(day.Year(), day.Month(), day.Day(), 14, 30, 0, 0, time.UTC)
					require.Equal(t, clock.Add(change).Format(cards.ClockLayout), must.Screen().Format(cards.ClockLayout))
					require.Equal(t, clock.Format(cards.ClockLayout), itself.Must(at).Screen().Format(cards.ClockLayout))
					require.Equal(t, must.Fixed, itself.Must(at).Fixed, "either way is given, whatever the machines do")

					off, err := machine.Off(clock.Format(cards.ClockLayout), at)
					require.NoError(t, err)
					require.Equal(t, -change, off.By, "a machine that was left at the county's time")
					require.Equal(t, change != 0, off.Saving)
				}
			}
		}
	}
}

func TestHowFarAClockIsOff(t *testing.T) {
	// Noon in New York on 12 October 2027 is 16:00 in Greenwich, 11:00 in Chicago, 09:00 in Phoenix and Los Angeles.
	at := time.Date(2027, 10, 12, 16, 0, 20, 0, time.UTC)
	for _, c := range []struct {
		name, zone, shown     string
		by                    time.Duration
		saving, halfday, days bool
		zones                 []string
	}{
		{name: "right", shown: "2027-10-12 12:00"},
		{name: "right, with seconds", shown: "2027-10-12 12:00:21"},
		{name: "a minute and a half ahead is allowed", shown: "2027-10-12 12:01:50"},
		{name: "three minutes behind", shown: "2027-10-12 11:57:20", by: -3 * time.Minute},
		{name: "an hour behind", shown: "2027-10-12 11:00:20", by: -time.Hour, saving: true, zones: []string{
			"America/Chicago"}},
		{name: "an hour ahead is no time zone's", shown: "2027-10-12 13:00:20", by: time.Hour, saving: true},
		{name: "Greenwich time", shown: "2027-10-12 16:00:20", by: 4 * time.Hour, zones: []string{"UTC"}},
		{name: "Pacific time", shown: "2027-10-12 09:00:20", by: -3 * time.Hour, zones: []string{"America/Phoenix",
			"America/Los_Angeles"}},
		{name: "AM for PM", shown: "2027-10-12 00:00:20", by: -12 * time.Hour, halfday: true},
		{name: "yesterday", shown: "2027-10-11 12:00:20", by: -24 * time.Hour, days: true},
		{name: "a year ago", shown: "2026-10-12 12:00:20", by: -365 * 24 * time.Hour, days: true},
		{name: "a county without daylight saving time, whose machine keeps it", zone: "America/Phoenix",
			shown: "2027-10-12 10:00:20", by: time.Hour, saving: true, zones: []string{"America/Denver"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.zone == "" {
				c.zone = "America/New_York"
			}
			clock, err := loading.ClockOf(cards.Rules{Zone: c.zone, ChangesItself: true}, "2027-11-02")
			require.NoError(t, err)
			off, err := clock.Off(c.shown, at)
			require.NoError(t, err)
			assert.Equal(t, c.by, off.By)
			assert.Equal(t, []bool{c.saving, c.halfday, c.days}, []bool{off.Saving, off.Halfday, off.Days})
			assert.Equal(t, c.zones, off.Zones)
		})
	}
}

func TestAClockThatCannotBe(t *testing.T) {
	for _, zone := range []string{"", "Local", "Eastern", "EST", "EST5EDT", "UTC", "Etc/GMT+5", "America/Nowhere",
		"../etc/passwd"} {
		_, err := loading.ClockOf(cards.Rules{Zone: zone}, "2027-11-02")
		require.ErrorContains(t, err, "time zone", zone)
	}
	_, err := loading.ClockOf(cards.Rules{Zone: "America/New_York"}, "2 November")
	require.ErrorContains(t, err, "no date")
	clock, err := loading.ClockOf(cards.Rules{Zone: "America/New_York"}, "2027-11-02")
	require.NoError(t, err)
	_, err = clock.Off("noon", time.Now())
	require.ErrorContains(t, err, "2026-11-03 07:05")
}

// After the election, clocks that change are no change before it.
func TestNoClockChangesBeforeAnElectionThatIsOver(t *testing.T) {
	clock, err := loading.ClockOf(cards.Rules{Zone: "America/New_York"}, "2027-11-02")
	require.NoError(t, err)
	must := clock.Must(time.Date(2027, time.November, 20, 15, 0, 0, 0, time.UTC))
	assert.Zero(t, must.Change)
	assert.Equal(t, "2027-11-20 10:00", must.Screen().Format(cards.ClockLayout))
}
