// Package cards holds what people record about memory cards and voting units: which export a card
// was made from, and what a unit's screen, keys, seals and zero report were when two of different
// parties went to it. It judges nothing; checks/loading does.
package cards

import (
	"fmt"
	"time"
)

// Card is a row of the ledger: one memory card as it was made.
type Card struct {
	// Label is what is written on the card, Unit the voting unit that it is for.
	Label string `json:"label"`
	Unit  string `json:"unit"`
	// Export is the SHA-256 of the export that it was made from, or of the card list that came in
	// with the export; 64 lower-case hexadecimal digits.
	Export string `json:"export"`
	// Made is the county's day and time at which it was made, YYYY-MM-DD or YYYY-MM-DD HH:MM; By is
	// who made it.
	Made string `json:"made"`
	By   string `json:"by"`
}

// Rules are what the office says once about its machines.
type Rules struct {
	// Zone is the county's time zone, a name of the tz database ("America/New_York").
	Zone string `json:"zone"`
	// ChangesItself: the machines begin and end daylight saving time by themselves.
	ChangesItself bool `json:"changes_itself"`
	// Keys are the keys that are tried at each unit, Seals the places that are sealed when a unit is
	// done, Counters the counters that are read.
	Keys     []string `json:"keys"`
	Seals    []string `json:"seals"`
	Counters []string `json:"counters"`
}

// Names are the keys, the counters, or the places of seals that a field is read for; none for another field.
func (r Rules) Names(field Field) []string {
	switch field {
	case Key:
		return r.Keys
	case Counter:
		return r.Counters
	case SealRemoved, SealApplied:
		return r.Seals
	}
	return nil
}

// Field is what a reading is of.
type Field string

// The fields. Visit is no reading: it begins another visit to the unit. The first begins by itself.
const (
	Visit       Field = "visit"
	Header      Field = "header"        // List: the precincts that the screen names
	Election    Field = "election"      // Value: the election's name on the screen
	Date        Field = "date"          // Value: the election's date on the screen, YYYY-MM-DD
	Label       Field = "card"          // Value: the label of the card in the unit
	Clock       Field = "clock"         // Value: date and time on the screen; Read: when
	Key         Field = "key"           // Name: the key; Value: Turns or Fails
	SealRemoved Field = "seal-removed"  // Name: the place; Value: the number found, empty if no seal was there
	SealApplied Field = "seal-applied"  // Name: the place; Value: the number
	Zero        Field = "zero"          // Value: AllZero or NotZero
	Initials    Field = "zero-initials" // List: the initials of both on the zero report
	Counter     Field = "counter"       // Name: the counter; Value: its number
	LoadTime    Field = "load-time"     // Value: seconds from switching on to ready
)

// Fields are all fields, in the order in which a unit is done.
var Fields = []Field{Visit, SealRemoved, Header, Election, Date, Label, Clock, Key, Zero, Initials, Counter, LoadTime,
	SealApplied}

// What readings of keys and zero reports say.
const (
	Turns   = "turns"
	Fails   = "fails"
	AllZero = "all-zero"
	NotZero = "not-zero"
)

// ClockLayout is how date and time of a screen are written; seconds may follow.
const ClockLayout = "2006-01-02 15:04"

// ParseClock reads date and time of a screen: "2026-11-03 07:05", with seconds or without. The time has no
// zone.
func ParseClock(shown string) (time.Time, error) {
	for _, layout := range []string{ClockLayout, ClockLayout + ":05"} {
		if t, err := time.Parse(layout, shown); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no date and time; write it like 2026-11-03 07:05", shown)
}

// Reading is one field of a unit as two people confirmed it: one read it aloud, the other keyed it.
type Reading struct {
	Unit  string `json:"unit"`
	Field Field  `json:"field"`
	// Name says which key, place of a seal or counter is meant; else empty.
	Name  string   `json:"name,omitzero"`
	Value string   `json:"value,omitzero"`
	List  []string `json:"list,omitzero"`
	// Open is set while more of the List is to follow: each confirmed precinct is recorded at once.
	Open bool `json:"open,omitzero"`
	// Read is the time of this computer at which a clock was read, in UTC as in RFC 3339.
	Read string `json:"read,omitzero"`
	// Corrects is the entry of the reading that this one takes the place of, Reason why. Void: that
	// reading never was, and nothing takes its place.
	Corrects int64  `json:"corrects,omitzero"`
	Reason   string `json:"reason,omitzero"`
	Void     bool   `json:"void,omitzero"`
}

// Outcome is what two of different parties decide about a finding at the machine.
type Outcome string

// The outcomes. All but Accept ask for something that a later visit has to show.
const (
	SwapCard    Outcome = "swap-card"
	RemakeCard  Outcome = "remake-card"
	SetClock    Outcome = "set-clock"
	ReplaceUnit Outcome = "replace-unit"
	Accept      Outcome = "accept"
)

// Outcomes are all outcomes, in the order in which they are offered.
var Outcomes = []Outcome{SwapCard, RemakeCard, SetClock, ReplaceUnit, Accept}

// Words says an outcome in a few words.
func (o Outcome) Words() string {
	switch o {
	case SwapCard:
		return "put the right card in"
	case RemakeCard:
		return "make the card again"
	case SetClock:
		return "set the clock"
	case ReplaceUnit:
		return "use another unit"
	case Accept:
		return "accepted as it is"
	}
	return string(o)
}

// Team is a team of the warehouse with the units that are its work.
type Team struct {
	Name  string   `json:"name"`
	Units []string `json:"units"`
}
