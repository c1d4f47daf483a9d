// Package machines is the state of the work at the voting units, without a window: which unit two people
// are at, what is asked for next, and what was read there.
//
// One reads the machine's screen aloud, the other keys what it shows. What had to be there is not in a
// Step before its reading is recorded, and each reading is recorded when it is confirmed. Begin with Work.
package machines

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/cards"
)

// Work is the work at the voting units. It records nothing: Confirm, Correct and Again return what is to be
// recorded, and Recorded takes over what is known then. The zero Work knows nothing yet; see Refresh.
type Work struct {
	// Now is the time at which a clock is read.
	Now func() time.Time
	// DayFirst: days with slashes are read as 31/12/2027.
	DayFirst bool

	of     *review.Machines
	unit   string
	at     int
	steps  []Step
	drafts map[draft]string
	doubt  string // what was typed and is recorded if it is confirmed again
}

// draft is a field of a unit that something is typed in.
type draft struct {
	unit string
	loading.Key
}

// Step is one thing that is read at a unit.
type Step struct {
	loading.Key
	// Asks is what is asked for, Hint how it is keyed.
	Asks, Hint string
	// Done: it was read. Open: a header that is not read to its end. Earlier: it was read on an earlier visit,
	// and may be read again on this one. Record is the reading.
	Done, Open, Earlier bool
	Record              loading.Record
	// Shown is the reading for people; Must what had to be there, empty where there is nothing to hold it
	// against. Both are empty before it is read.
	Shown, Must string
	Agrees      bool
	// Fault says what is wrong with a seal, empty for nothing.
	Fault string
}

// Reads reports whether what is typed at the step is a reading; else it corrects the one that is recorded.
func (s *Step) Reads() bool { return !s.Done || s.Open || s.Earlier }

// Differs reports whether the reading is not what had to be there.
func (s *Step) Differs() bool { return s.Fault != "" || s.Done && !s.Open && s.Must != "" && !s.Agrees }

// Refresh takes over what was recorded. The unit in view stays, and so does what is typed.
func (k *Work) Refresh(m *review.Machines) {
	k.of = m
	if k.drafts == nil {
		k.drafts = map[draft]string{}
	}
	if units := m.Units(); len(units) > 0 && k.Unit() == nil {
		k.unit = units[0].Name
		k.step()
		k.at = k.next(0)
		return
	}
	k.step()
	k.at = min(k.at, len(k.steps))
}

// Machines is all that is known, nil before Refresh.
func (k *Work) Machines() *review.Machines { return k.of }

// Unit is the unit in view, nil where there is none.
func (k *Work) Unit() *loading.Unit {
	if k.of == nil {
		return nil
	}
	return k.of.Warehouse.Plan.Unit(k.unit)
}

// Go shows a unit, at the first thing that is not read there.
func (k *Work) Go(unit string) {
	if u := k.of.Warehouse.Plan.Unit(unit); u != nil {
		k.unit, k.doubt = u.Name, ""
		k.step()
		k.at = k.next(0)
	}
}

// NextUnit is the unit after the one in view, in the order of work, at which something is left to do;
// empty for none.
func (k *Work) NextUnit() string {
	units := k.of.Units()
	at := slices.IndexFunc(units, func(u *loading.Unit) bool { return u.Name == k.unit })
	for n := 1; n < len(units); n++ {
		u := units[(at+n)%len(units)]
		if len(k.Left(u)) > 0 && !k.accepted(u.Name) {
			return u.Name
		}
	}
	return ""
}

// Left says what is left to do at a unit, each in words without a full stop.
func (k *Work) Left(u *loading.Unit) []string {
	return k.of.Warehouse.Left(u, k.of.Visit(u.Name), loading.SealsOf(k.of.Visits, u.Name))
}

// Steps are all that is read at the unit in view, in order.
func (k *Work) Steps() []Step { return k.steps }

// At is the step at which one types, len(Steps()) behind the last.
func (k *Work) At() int { return k.at }

// Move goes to another step.
func (k *Work) Move(by int) {
	k.doubt = ""
	k.at = max(0, min(k.at+by, len(k.steps)))
}

// next is the first step from one on that is not done, or that an earlier visit left to be put right;
// len(k.steps) for none.
func (k *Work) next(from int) int {
	for i := from; i < len(k.steps); i++ {
		if s := &k.steps[i]; !s.Done || s.Open || s.Earlier && s.Differs() {
			return i
		}
	}
	return len(k.steps)
}

// Draft is what is typed at the step in view and not confirmed.
func (k *Work) Draft() string {
	if k.at < len(k.steps) {
		return k.drafts[draft{k.unit, k.steps[k.at].Key}]
	}
	return ""
}

// Type keeps what is typed at the step in view.
func (k *Work) Type(text string) {
	if k.at >= len(k.steps) {
		return
	}
	k.doubt = ""
	key := draft{k.unit, k.steps[k.at].Key}
	if strings.TrimSpace(text) == "" {
		delete(k.drafts, key)
		return
	}
	k.drafts[key] = text
}

// Unsaved is something that was typed and not confirmed, with its unit; empty for nothing.
func (k *Work) Unsaved() string {
	for d, text := range k.drafts {
		return fmt.Sprintf("%s (unit %s)", text, d.unit)
	}
	return ""
}

// errNothing: Enter was pressed and nothing is typed.
var errNothing = errors.New("key what the machine shows; where it shows none, key -")

// Confirm returns what is to be recorded for the step in view. The error says what cannot be recorded, or
// asks for Enter again.
func (k *Work) Confirm() (r cards.Reading, err error) {
	if k.at >= len(k.steps) {
		return r, errors.New("everything is read here")
	}
	step := &k.steps[k.at]
	if !step.Reads() {
		return r, errors.New("this is read already: correct it, or begin another visit")
	}
	return k.reading(step, strings.TrimSpace(k.Draft()))
}

// Recorded takes over what is known after a reading was recorded, and brings the next step that is not
// done into view.
func (k *Work) Recorded(r cards.Reading, m *review.Machines) {
	delete(k.drafts, draft{r.Unit, loading.Key{Field: r.Field, Name: r.Name}})
	k.doubt = ""
	k.Refresh(m)
	if r.Corrects != 0 || r.Unit != k.unit {
		return
	}
	if r.Field == cards.Visit {
		k.at = 0
	}
	if k.at = k.next(k.at); k.at == len(k.steps) {
		k.at = k.next(0)
	}
}

// Correct returns what takes the place of a reading that is recorded. Without a text that reading never was.
func (k *Work) Correct(step Step, text, reason string) (r cards.Reading, err error) {
	reason = strings.TrimSpace(reason)
	if reason == "" {
		return r, errors.New("say in a few words why it is corrected")
	}
	r = cards.Reading{Unit: k.unit, Field: step.Field, Name: step.Name, Void: true}
	if text = strings.TrimSpace(text); text != "" {
		fresh := step
		fresh.Record.List = nil
		k.doubt = text // what is corrected is looked at twice anyway
		if r, err = k.reading(&fresh, text); err != nil {
			return r, err
		}
		r.Open = false
		if step.Field == cards.Clock {
			r.Read = step.Record.Reading.Read // it was read then
		}
	}
	r.Corrects, r.Reason = step.Record.Entry, reason
	return r, nil
}

// Again returns what begins another visit to the unit in view.
func (k *Work) Again() cards.Reading { return cards.Reading{Unit: k.unit, Field: cards.Visit} }

// Progress of a unit at which nothing is left to do, and of one whose decision waits.
const (
	Done       = "done"
	ToPutRight = "to be put right"
)

// Progress says how far a unit is, in a few words.
func (k *Work) Progress(u *loading.Unit) string {
	left := k.Left(u)
	switch {
	case len(left) == 0 && k.Open(u.Name) > 0:
		return "to be decided"
	case len(left) == 0 && len(k.Waiting(u.Name)) > 0:
		return ToPutRight
	case len(left) == 0:
		return Done
	case k.accepted(u.Name):
		return "not used"
	case k.of.Visit(u.Name) == nil && k.fromLedger(u.Name):
		return "not begun; its card is not as it has to be"
	case k.of.Visit(u.Name) == nil:
		return "not begun"
	}
	return english.Plural(len(left), "thing", "") + " left"
}

// Undone says what has to be read or sealed at the unit in view before it can be signed for.
func (k *Work) Undone() []string {
	u := k.Unit()
	v := k.of.Visit(u.Name)
	if v == nil {
		return []string{"nobody was there"}
	}
	return k.of.Warehouse.Undone(u, v, loading.SealsOf(k.of.Visits, u.Name))
}

// MayShow reports whether findings at a unit may be shown: all that is read blind is read on its last visit.
func (k *Work) MayShow(unit string) bool {
	v := k.of.Visit(unit)
	if v == nil {
		return false
	}
	for _, field := range []cards.Field{cards.Header, cards.Election, cards.Date, cards.Label, cards.Clock} {
		if r, read := v.Get(field, ""); !read || r.Open {
			return false
		}
	}
	return true
}

// Items are the findings at a unit: none before they may be shown. What is left to do there is among them only
// where it was decided.
func (k *Work) Items(unit string) (out []*review.UnitItem) {
	for i := range k.of.Items {
		item := &k.of.Items[i]
		if item.Unit == unit && (item.Check == notDone && !Undecided(item) || item.Check != notDone && k.MayShow(unit)) {
			out = append(out, item)
		}
	}
	return out
}

// notDone is the check of what is left to do.
var notDone = checks.UnitNotDone(finding.Finding{}, nil).Check

// NotDone is the finding that something is left to do at a unit; nil where it is decided, or nothing is.
func (k *Work) NotDone(unit string) *review.UnitItem {
	for i := range k.of.Items {
		if item := &k.of.Items[i]; item.Unit == unit && item.Check == notDone && Undecided(item) && !item.Past {
			return item
		}
	}
	return nil
}

// Waiting are the findings at a unit that may be shown, and that were decided and wait for a visit that shows it.
func (k *Work) Waiting(unit string) (out []*review.UnitItem) {
	for _, i := range k.Items(unit) {
		if i.Status == review.StatusWaiting {
			out = append(out, i)
		}
	}
	return out
}

// fromLedger reports whether the ledger alone shows something that is not settled at a unit. What it is may
// not be shown before the card is read.
func (k *Work) fromLedger(unit string) bool {
	return slices.ContainsFunc(k.of.Items, func(i review.UnitItem) bool {
		return i.Unit == unit && i.Check != notDone && i.Status != review.StatusSettled && i.Status != review.StatusCleared
	})
}

// accepted reports whether what is left to do at a unit stays so.
func (k *Work) accepted(unit string) bool {
	return slices.ContainsFunc(k.Items(unit), func(i *review.UnitItem) bool {
		return i.Check == notDone && i.Status == review.StatusSettled
	})
}

// Undecided reports whether a finding is to be decided.
func Undecided(i *review.UnitItem) bool {
	return i.Status == review.StatusOpen || i.Status == review.StatusReopened
}

// Open counts the findings at a unit that may be shown and are to be decided.
func (k *Work) Open(unit string) (n int) {
	for _, i := range k.Items(unit) {
		if Undecided(i) {
			n++
		}
	}
	return n
}

// DoNotSeal says why the unit in view is not to be sealed yet, empty for nothing. Reading goes on meanwhile.
func (k *Work) DoNotSeal() string {
	differs := func(field cards.Field) bool {
		return slices.ContainsFunc(k.steps, func(s Step) bool { return (field == "" || s.Field == field) && s.Differs() })
	}
	switch {
	case !k.MayShow(k.unit) && differs(""):
		return "Do not seal. Read on to the clock; then it is decided."
	case !k.MayShow(k.unit):
		return ""
	case k.Open(k.unit) > 0:
		return "Do not seal. Decide first."
	case len(k.Waiting(k.unit)) > 0:
		return "Do not seal. First do what was decided, then begin another visit."
	case differs(cards.Zero) && !k.accepted(k.unit):
		return "Do not seal. The zero report has to be all zero: put it right first, then begin another visit."
	}
	return ""
}

// sealFault says what is wrong with a seal that was read.
func (k *Work) sealFault(faults []loading.SealFault, r loading.Record) string {
	for _, f := range faults {
		if f.Record.Entry == r.Entry && f.Team == r.Team {
			return f.SealFault.Finding(finding.Finding{Unit: f.Unit}, "").Message
		}
	}
	return ""
}
