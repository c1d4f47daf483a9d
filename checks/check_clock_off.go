package checks

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeClockOff finding.Code = "clock-off"

var clockOff = &Check{Check: finding.Check{
	Code:    codeClockOff,
	Purpose: "a voting unit's clock is off",
	Doc: `Date and time on the unit's screen are held against this computer's clock in the county's time
zone. A machine that does not begin and end daylight saving time by itself has to show, days before,
the time that will be right on election morning. A clock that is off opens and closes the polls at
the wrong minute and stamps every record wrongly. Two minutes are allowed (common practice, no
source). The finding says whether that is exactly the step of daylight saving time or of another
time zone. Needs a case with a ledger of cards ("cproof cards"). Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall: the clock is 1 hour behind: it shows 06:58 and must show 07:58`,
	Mark:    finding.MarkNumber,
	Field:   "the clock",
	Advice: `Look whether this computer's own clock is right. Then set the unit's clock, decide set-clock, and key what ` +
		`it shows now.`,
	Sentence: sayClockOff,
},
	Machine: []cards.Outcome{cards.SetClock, cards.ReplaceUnit, cards.Accept},
}

// ClockOff is how far a clock is off.
type ClockOff struct {
	Shown, Must time.Time
	By          time.Duration
	// Saving, Halfday: exactly the step of daylight saving time, exactly twelve hours. Zones: time
	// zones whose time it shows.
	Saving, Halfday bool
	Zones           []string
	// Change is how far clocks are moved until election morning, for a machine that does not do so by
	// itself.
	Change time.Duration
}

// Finding makes a finding of it; about names the unit.
func (x ClockOff) Finding(about finding.Finding) finding.Finding {
	about.Facts = x
	about.Primary, about.Second = x.Shown.Format("2006-01-02 15:04:05"), x.Must.Format("2006-01-02 15:04:05")
	return atMachine(clockOff, about)
}

func sayClockOff(f *finding.Finding) string {
	x := f.Facts.(ClockOff)
	layout := "15:04"
	if x.Shown.Format(time.DateOnly) != x.Must.Format(time.DateOnly) {
		layout = "2006-01-02 15:04"
	}
	words := fmt.Sprintf("%s: the clock is %s: it shows %s and must show %s.", atUnit(f), aheadOrBehind(x.By),
		x.Shown.Format(layout), x.Must.Format(layout))
	if x.Change != 0 {
		what := "ends"
		if x.Change > 0 {
			what = "begins"
		}
		words += " Daylight saving time " + what + " before election morning, and the machine does not change by itself."
	}
	var as []string
	if x.Saving {
		as = append(as, "the step of daylight saving time")
	}
	if len(x.Zones) > 0 {
		as = append(as, "the time of "+strings.Join(x.Zones, ", "))
	}
	if x.Halfday {
		as = append(as, "twelve hours, as where AM is taken for PM")
	}
	if len(as) > 0 {
		words += " That is exactly " + strings.Join(as, ", or ") + "."
	}
	return words
}

func aheadOrBehind(by time.Duration) string {
	way := "ahead"
	if by < 0 {
		way, by = "behind", -max(by, -math.MaxInt64)
	}
	var parts []string
	for _, unit := range []struct {
		of   time.Duration
		name string
	}{{24 * time.Hour, "day"}, {time.Hour, "hour"}, {time.Minute, "minute"}} {
		if n := int(by / unit.of); n > 0 {
			parts = append(parts, english.Plural(n, unit.name, ""))
			by -= time.Duration(n) * unit.of
		}
	}
	return english.WordSeries(parts, "and") + " " + way
}
