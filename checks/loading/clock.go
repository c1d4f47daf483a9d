package loading

import (
	"fmt"
	"strings"
	"time"
	_ "time/tzdata" // the office's computer need not have the tz database

	"counterproof/model/cards"
)

// Tolerance is how far a clock may be off: a screen shows minutes, and it takes a moment to read
// one aloud. Common practice, no source.
const Tolerance = 2 * time.Minute

// Clock holds the clocks of machines against the county's time.
type Clock struct {
	zone          *time.Location
	changesItself bool
	morning       time.Time
}

// ClockOf makes the county's clock. date is the day of the election, YYYY-MM-DD. The error says what
// is wrong with the zone or the date.
func ClockOf(rules cards.Rules, date string) (*Clock, error) {
	if rules.Zone == "" {
		return nil, fmt.Errorf("name the county's time zone as the tz database does, such as America/New_York")
	}
	zone, err := time.LoadLocation(rules.Zone)
	// The database also has EST and MST, which never change, and their like: none is a place's time.
	if err != nil || !strings.Contains(rules.Zone, "/") || strings.HasPrefix(rules.Zone, "Etc/") {
		return nil, fmt.Errorf("%q is no time zone of a place in the tz database; write it like America/New_York", rules.Zone)
	}
	day, err := time.ParseInLocation(time.DateOnly, date, zone)
	if err != nil {
		return nil, fmt.Errorf("%q is no date; write the day of the election as YYYY-MM-DD", date)
	}
	// Any hour after 02:00, at which the clocks change, and before the polls close would do.
	morning := time.Date(day.Year(), day.Month(), day.Day(), 6, 0, 0, 0, zone)
	return &Clock{zone, rules.ChangesItself, morning}, nil
}

// Must is what a machine's clock must show. Times are in the county's zone but for Fixed.
type Must struct {
	// Now is the county's time.
	Now time.Time
	// Itself is what a machine must show that changes by itself: Now. Fixed is what one must show
	// that does not, so that it is right on election morning. Both are the time on its screen.
	Itself, Fixed time.Time
	// Change is how far the county's clocks are moved until election morning: an hour ahead where
	// daylight saving time begins, an hour back where it ends, 0 where nothing changes.
	Change time.Duration
	// ChangesItself is what the office says of its machines.
	ChangesItself bool
}

// Screen is what the office's machines must show.
func (m Must) Screen() time.Time {
	if m.ChangesItself {
		return m.Itself
	}
	return m.Fixed
}

// Must returns what a machine's clock must show at a time.
func (c *Clock) Must(at time.Time) Must {
	now := at.In(c.zone)
	m := Must{Now: now, Itself: now, Fixed: now, ChangesItself: c.changesItself}
	if now.After(c.morning) {
		return m
	}
	m.Change = offset(c.morning) - offset(now)
	if m.Change != 0 {
		name, seconds := c.morning.Zone()
		m.Fixed = at.In(time.FixedZone(name, seconds))
	}
	return m
}

func offset(t time.Time) time.Duration {
	_, seconds := t.Zone()
	return time.Duration(seconds) * time.Second
}

// Off is how far a clock is off.
type Off struct {
	// Must is what it had to show, Shown what it showed: times of day without a zone.
	Must, Shown time.Time
	// By is how far it is ahead, or behind where negative; 0 within Tolerance.
	By time.Duration
	// Saving: that is the step of daylight saving time. Halfday: that is exactly twelve hours, as
	// where AM is taken for PM. Days: these are whole days.
	Saving, Halfday, Days bool
	// Change is how far clocks are moved until election morning, where the machine does not do so
	// itself; else 0.
	Change time.Duration
	// Zones are the time zones of the United States whose time it shows, else none.
	Zones []string
}

// wall is a time as a screen shows it, without its zone.
func wall(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
}

// Off holds what a screen showed at a time against what it had to show.
func (c *Clock) Off(shown string, at time.Time) (Off, error) {
	t, err := cards.ParseClock(shown)
	if err != nil {
		return Off{}, err
	}
	must := c.Must(at)
	off := Off{Must: wall(must.Screen()), Shown: t}
	by := off.Shown.Sub(off.Must)
	if near(by, 0) {
		return off, nil
	}
	off.By = by
	if !c.changesItself {
		off.Change = must.Change
	}
	day := 24 * time.Hour
	off.Days = near(by, by.Round(day)) && by.Round(day) != 0
	off.Halfday = near(by, 12*time.Hour) || near(by, -12*time.Hour)
	off.Saving = c.isSaving(by, must)
	for _, name := range zones {
		zone, err := time.LoadLocation(name)
		if err != nil || offset(at.In(zone)) == offset(must.Now) {
			continue
		}
		if near(off.Shown.Sub(wall(at.In(zone))), 0) {
			off.Zones = append(off.Zones, name)
		}
	}
	return off, nil
}

func near(a, b time.Duration) bool { return (a - b).Abs() <= Tolerance }

// isSaving reports whether a clock is off by the step of the county's daylight saving time, in either
// direction. Where the county has none, a clock an hour ahead is as if it had.
func (c *Clock) isSaving(by time.Duration, must Must) bool {
	step := c.step(must.Now)
	if step == 0 {
		return near(by, time.Hour)
	}
	return near(by, step) || near(by, -step)
}

// step is the step of daylight saving time in the year around a time; 0 where there is none.
func (c *Clock) step(at time.Time) time.Duration {
	least, most := offset(at), offset(at)
	for month := -6; month <= 6; month++ {
		o := offset(at.AddDate(0, month, 0))
		least, most = min(least, o), max(most, o)
	}
	return most - least
}

// zones are the time zones whose clocks a machine in the United States may keep by mistake: one for
// each time that the states and territories keep, and Greenwich time. From memory.
var zones = []string{"America/New_York", "America/Chicago", "America/Denver", "America/Phoenix", "America/Los_Angeles",
	"America/Anchorage", "America/Adak", "Pacific/Honolulu", "America/Puerto_Rico", "Pacific/Pago_Pago", "Pacific/Guam",
	"UTC"}
