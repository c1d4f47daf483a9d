package report

import (
	"fmt"
	"time"
)

// Zone is the offset of local time from UTC ("-04:00") from a moment on.
type Zone struct {
	From   string `json:"from"`
	Offset string `json:"offset"`
}

// clock is the local time of the machine that made a report, from the case's first entry on. The
// journal has times in UTC alone, so the report states the offsets itself: whoever makes it again,
// in any zone, takes them from the signed report.
type clock []Zone

// clockOf returns the offsets of a place between two moments (RFC 3339).
func clockOf(place *time.Location, first, last string) clock {
	at, err := time.Parse(time.RFC3339, first)
	end, err2 := time.Parse(time.RFC3339, last)
	if err != nil || err2 != nil {
		return clock{}
	}
	list := clock{}
	for !at.After(end) {
		local := at.In(place)
		if offset := local.Format("-07:00"); len(list) == 0 || list[len(list)-1].Offset != offset {
			list = append(list, Zone{at.UTC().Format(time.RFC3339), offset})
		}
		_, next := local.ZoneBounds()
		if next.IsZero() {
			break
		}
		at = next
	}
	return list
}

// moment writes a time for people: local, with its offset, and in UTC.
func (k clock) moment(at string) string {
	const date, hour = "2 January 2006", "15:04:05"
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	utc := t.UTC()
	local := utc
	for i, z := range k {
		from, place := z.parsed()
		if place == nil || i > 0 && utc.Before(from) {
			break
		}
		local = utc.In(place)
	}
	_, offset := local.Zone()
	switch {
	case offset == 0:
		return utc.Format(date + ", " + hour + " UTC")
	case local.Format(date) == utc.Format(date):
		return local.Format(date+", "+hour+" -07:00") + utc.Format(" ("+hour+" UTC)")
	}
	return local.Format(date+", "+hour+" -07:00") + utc.Format(" ("+date+", "+hour+" UTC)")
}

// parsed returns nil for a zone that cannot be read.
func (z Zone) parsed() (from time.Time, place *time.Location) {
	from, err := time.Parse(time.RFC3339, z.From)
	at, err2 := time.Parse("-07:00", z.Offset)
	if err != nil || err2 != nil {
		return from, nil
	}
	_, seconds := at.Zone()
	return from, time.FixedZone("", seconds)
}

// fits checks that the offsets can be read, and that they are in order.
func (k clock) fits() error {
	last := time.Time{}
	for _, z := range k {
		from, place := z.parsed()
		if place == nil || from.Before(last) {
			return fmt.Errorf("the offset %q of local time from %q on cannot be read, or is out of order", z.Offset, z.From)
		}
		last = from
	}
	return nil
}
