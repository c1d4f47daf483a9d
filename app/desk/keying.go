// Package desk is the state behind the screens, without a window: which value is where, what a key
// does, what is odd. The screens draw it and pass keys to it.
//
// Keying is the second party's blind keying. Of the case it has only a casefile.Keying, so it
// cannot show anything else. After the seal a correction is typed at the same desk, on a Draft.
package desk

import (
	"context"
	"errors"
	"slices"
	"strings"

	"counterproof/model/casefile"
)

// Keying is the re-key desk: the pages, the stop with the cursor, the letters in it, and the saving
// to disk. All methods must be called from one goroutine, the screen's, except where they say
// otherwise.
//
// Keyed values appear at once and are written to disk in the background, in order. OnDisk says for
// each field whether it has been written, Trouble what prevents writing.
type Keying struct {
	record Record
	disk   *committer
	e      *entry

	ballots, units bool // whether sealed
	reopened       map[int]bool

	outstanding []act
	pending     map[casefile.Field]int
	trouble     error
	refused     error

	done, undone []step
	page         Page
	focus        Stop
	text         string
	fresh        bool // nothing was typed since the cursor came to the stop
	pick         int
	message      string
	asked        string // the question that was asked last, until something is typed
	document     string
	heading      string
	language     string // the further language that is read, empty for the first
	before       int    // the next contest goes before this placement; 0: at the end
	beforeChoice int
	more         map[Stop]bool
	allStops     []StopInfo
	stopsKnown   bool
	pagesKnown   []PageInfo
	items        []Item
	itemsKnown   bool
	near         map[int]nearCache
	words        map[int]wordsCache
	copies       map[int]*copying // by face
	query        string           // what was searched for last
	changed      func()
	dayFirst     bool
	mayKey       func() string
	keep         func(document string)
	placedLast   int // the contest that Enter put on the face just now
}

// step is an act of this session, with the former values.
type step struct {
	set, was []casefile.Change
	page     Page
	focus    Stop
	document string // that was on the desk before
}

// Options configure a desk.
type Options struct {
	// Post runs a function on the goroutine that owns the desk. If it is nil, every act is on disk,
	// or refused, when its method returns.
	Post func(func())
	// Changed is called after changes that no key caused: a field was written to disk, the disk
	// failed, the record was read again.
	Changed func()
	// May says why nobody may key now, empty if somebody may; nil if nothing forbids it.
	May func() string
	// Document is the document that Keep was told last, empty if none was: contests to come are keyed
	// from it. It is a dash where none is named.
	Document string
	Keep     func(document string)
	// DayFirst is set where people write the day before the month: 3/11/2026 is then in November.
	DayFirst bool
}

// OpenKeying opens a desk on the second entry.
func OpenKeying(r Record, o Options) *Keying {
	k := &Keying{record: r, changed: o.Changed, dayFirst: o.DayFirst, mayKey: o.May, keep: o.Keep,
		copies: map[int]*copying{}}
	k.disk = newCommitter(r, o.Post, k.left, func(err error) { k.trouble = err; k.tell() })
	k.take(read(r))
	if d := k.draft(); d != nil {
		k.done = d.steps()
	}
	k.page = Page{Kind: PageElection}
	if faces := k.e.faces(); len(faces) > 0 {
		k.page = Page{PageFace, faces[0]}
	}
	k.e.Each(casefile.Contests, func(row int, _ []string) {
		// A correction has documents of its own: which, the pair says.
		if s := k.e.Value(casefile.Contests, row, "source"); s != "" && !k.Correcting() {
			k.document = s
		}
	})
	if o.Document != "" && !k.Correcting() {
		k.document = strings.TrimPrefix(o.Document, NothingMark)
	}
	k.toFirstEmpty()
	if len(k.e.faces()) > 0 {
		k.OpenNext()
	}
	return k
}

// take starts again from the contents of the record.
func (k *Keying) take(s *reading) {
	k.e = newEntry(s.tables)
	k.ballots, k.units, k.reopened = s.ballots, s.units, s.reopened
	k.pagesKnown = nil
	k.near, k.words = map[int]nearCache{}, map[int]wordsCache{}
	k.pending = map[casefile.Field]int{}
	if k.more == nil {
		k.more = map[Stop]bool{}
	}
	k.stale()
}

func (k *Keying) tell() {
	if k.changed != nil {
		k.changed()
	}
}

func (k *Keying) stale() { k.stopsKnown, k.itemsKnown = false, false }

// set performs an act: it appears at once and is queued for the disk. If the record would refuse
// it, set returns false and sets the message.
func (k *Keying) set(changes ...casefile.Change) bool {
	changes = slices.DeleteFunc(changes,
		func(ch casefile.Change) bool { return k.e.Value(ch.Table, ch.Row, ch.Column) == ch.Value })
	if len(changes) == 0 {
		return true
	}
	if why := k.barred(); why != "" {
		k.message = why
		return false
	}
	if k.ballots || k.units {
		if err := k.may(changes); err != nil {
			k.message = err.Error()
			return false
		}
	}
	k.done = append(k.done, step{set: changes, was: k.apply(changes), page: k.page, focus: k.focus,
		document: k.document})
	if len(k.undone) > 0 {
		k.undone, k.message = nil, "something new was keyed: what was undone cannot be done again any more"
	}
	k.send(act{kind: actKey, changes: changes})
	return true
}

// may asks whether the record would take changes after what is on its way to the disk: a choice that
// was just keyed is what allows its party.
func (k *Keying) may(changes []casefile.Change) error {
	var all []casefile.Change
	add := func(list []casefile.Change) {
		for _, ch := range list {
			all = slices.DeleteFunc(all, func(was casefile.Change) bool { return was.Field == ch.Field })
			all = append(all, ch)
		}
	}
	for _, a := range k.outstanding {
		add(a.changes)
	}
	add(changes)
	return k.record.May(all...)
}

func (k *Keying) apply(changes []casefile.Change) (was []casefile.Change) {
	for _, ch := range changes {
		was = append(was, casefile.Change{Field: ch.Field, Value: k.e.set(ch)})
	}
	k.pagesKnown = nil
	k.stale()
	return was
}

func (k *Keying) send(a act) {
	k.outstanding = append(k.outstanding, a)
	for _, ch := range a.changes {
		k.pending[ch.Field]++
	}
	k.disk.push(a)
}

// left is called when an act has left the queue.
func (k *Keying) left(a act, err error) {
	k.outstanding = k.outstanding[1:]
	for _, ch := range a.changes {
		if k.pending[ch.Field]--; k.pending[ch.Field] <= 0 {
			delete(k.pending, ch.Field)
		}
	}
	if err != nil {
		// The record refused it. The record's value remains, and later keying continues from there.
		k.refused = err
		k.done, k.undone = nil, nil
	}
	if a.seen != nil {
		had := len(k.reopened)
		k.take(a.seen)
		if a.kind == actRead {
			k.done, k.undone = nil, nil
		}
		for _, later := range k.outstanding {
			for _, ch := range later.changes {
				k.pending[ch.Field]++
			}
			k.apply(later.changes)
		}
		if had == 0 && len(k.reopened) > 0 {
			k.toReopened()
		}
		k.keepFocus()
	}
	k.tell()
}

// toReopened opens the first page with a contest that an amendment has reopened.
func (k *Keying) toReopened() {
	for _, p := range k.Pages() {
		for _, place := range k.e.places[p.Row] {
			if p.Kind == PageFace && k.reopened[k.e.Ref(casefile.Placements, place, "contest")] {
				k.Open(p.Page)
				return
			}
		}
	}
}

// Refresh reads the record again: after a seal, an amendment, or when sheets were brought in
// elsewhere. What was keyed before stands under that, and is not undone any more.
func (k *Keying) Refresh() {
	k.done, k.undone = nil, nil
	k.send(act{kind: actRead})
}

// Flush waits until everything keyed is on disk. Otherwise its error says how much is not, and why.
// Call it before sealing.
func (k *Keying) Flush() error { return k.disk.flush(context.Background()) }

// FlushContext is Flush with a context. Any goroutine may call it: a disk can hang for minutes, and
// must not block the screen.
func (k *Keying) FlushContext(ctx context.Context) error { return k.disk.flush(ctx) }

// Unsaved returns the text in the field that is not keyed yet: Enter keys it, Esc discards it. It
// is empty if the field shows the keyed value.
func (k *Keying) Unsaved() string {
	if k.fresh || k.focus.Kind == NoStop || k.ReadOnly(k.focus) {
		return ""
	}
	if text := trim(k.text); text != trim(k.Value(k.focus)) {
		return text
	}
	return ""
}

// Settle keys what was typed in the field. It returns false, and sets the message, if that cannot be
// kept or waits for Enter.
func (k *Keying) Settle() bool {
	if !k.leave() {
		return false
	}
	if k.Unsaved() != "" {
		k.message = "Enter keys what is in the field, Esc drops it; then go on"
		return false
	}
	return true
}

// Resting reports whether nothing typed waits in the field, so that Esc has nothing to let go of.
func (k *Keying) Resting() bool {
	return k.Unsaved() == "" && k.before == 0 && k.beforeChoice == 0 && k.heading == "" && k.focus.Kind != Document
}

// Retry tries at once to write again what the disk did not accept.
func (k *Keying) Retry() { k.disk.nudge() }

// Close writes the rest to disk, if the disk accepts it, and closes the desk.
func (k *Keying) Close() error { return k.disk.close() }

// OnDisk reports whether the value at a stop is on disk; what a correction changes is not.
func (k *Keying) OnDisk(s Stop) bool {
	if _, changed := k.Was(s); changed {
		return false
	}
	f, ok := s.field()
	return !ok || k.pending[f] == 0
}

// Waiting returns the number of acts that are not on disk yet.
func (k *Keying) Waiting() int { return len(k.outstanding) }

// Trouble says why the disk does not accept the keyed values, nil if it does. They are kept, and
// writing is tried again.
func (k *Keying) Trouble() error { return k.trouble }

// Refused returns the error of the last act that the record refused, for example because its scope
// was sealed in the meantime; ClearRefused resets it.
func (k *Keying) Refused() error { return k.refused }

// ClearRefused resets Refused.
func (k *Keying) ClearRefused() { k.refused = nil }

// Sealed reports whether the scope is sealed.
func (k *Keying) Sealed(scope casefile.Scope) bool {
	if scope == casefile.ScopeUnits {
		return k.units
	}
	return k.ballots
}

// ReadOnly reports whether a stop cannot be keyed because it is sealed. Contests that an amendment
// reopened can be keyed.
func (k *Keying) ReadOnly(s Stop) bool {
	if !k.sealedFor(s) {
		return false
	}
	ch, ok := k.probe(s)
	return ok && errors.Is(k.may(ch), casefile.ErrSealed)
}

func (k *Keying) sealedFor(s Stop) bool {
	if s.Kind >= UnitName && s.Kind != RosterPrecinct {
		return k.units
	}
	return k.ballots
}

// quiet reports whether the open page is sealed whole, so that nothing on it can be keyed.
func (k *Keying) quiet() bool {
	if k.Correcting() {
		return false
	}
	if k.page.Kind == PageUnits {
		return k.units
	}
	return k.ballots && !k.Amended()
}

// Quiet reports whether the open page has nothing to key any more, because all of it is sealed.
func (k *Keying) Quiet() bool { return k.quiet() }

func (k *Keying) sealedWords() string {
	what := "the ballots are"
	if k.page.Kind == PageUnits {
		what = "the voting units are"
	}
	return "sealed: " + what + " not keyed any more; a correction begins in Differences"
}

// barred says why nobody may key now, empty if somebody may. A correction is signed by both.
func (k *Keying) barred() string {
	if k.mayKey == nil || k.Correcting() {
		return ""
	}
	return k.mayKey()
}

// MayType reports whether letters can be typed at the cursor; if not, the message says why.
func (k *Keying) MayType() bool {
	switch why := k.barred(); {
	case k.quiet() || k.ReadOnly(k.focus):
		k.message = k.sealedWords()
	case why != "":
		k.message = why
	default:
		return true
	}
	return false
}

// Correcting reports whether the desk holds a draft: a correction of what is sealed, or a look at it.
func (k *Keying) Correcting() bool { return k.draft() != nil }

func (k *Keying) draft() *Draft {
	d, _ := k.record.(*Draft)
	return d
}

// Was returns the sealed value at a stop, and whether a correction changes it.
func (k *Keying) Was(s Stop) (was string, changed bool) {
	f, ok := s.field()
	if d := k.draft(); d != nil && ok {
		return d.Was(f), d.Was(f) != k.Value(s)
	}
	return "", false
}

// Reopened reports whether an amendment reopened the contest.
func (k *Keying) Reopened(contest int) bool { return k.reopened[contest] }

// Amended reports whether an amendment is open, so that the ballots need another seal: a contest is
// reopened, or a new one may be keyed.
func (k *Keying) Amended() bool {
	return k.ballots && !k.Correcting() && (len(k.reopened) > 0 || !k.ReadOnly(Stop{Kind: NextContest}))
}

// probe returns a change that keying the stop would make.
func (k *Keying) probe(s Stop) ([]casefile.Change, bool) {
	if f, ok := s.field(); ok {
		return []casefile.Change{{Field: f, Value: "?"}}, true
	}
	switch s.Kind {
	case NextChoice:
		n := k.e.Next(casefile.Choices)
		return []casefile.Change{casefile.Set(casefile.Choices, n, "contest", itoa(s.Row)),
			casefile.Set(casefile.Choices, n, "name", "?")}, true
	case NextContest:
		n := k.e.Next(casefile.Contests)
		return []casefile.Change{casefile.Set(casefile.Contests, n, "title", "?")}, true
	case FacePrecincts:
		n := k.e.Next(casefile.Assignments)
		return []casefile.Change{casefile.Set(casefile.Assignments, n, "face", itoa(s.Row)),
			casefile.Set(casefile.Assignments, n, "precinct", "?")}, true
	case UnitPrecincts:
		n := k.e.Next(casefile.Headers)
		return []casefile.Change{casefile.Set(casefile.Headers, n, "unit", itoa(s.Row)),
			casefile.Set(casefile.Headers, n, "precinct", "?")}, true
	}
	return nil, false
}
