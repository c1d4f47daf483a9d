// Package desk is the state behind the screens, without a window: what stands where,
// what a key does, what is odd. The screens draw it and hand it keys.
//
// Keying is the second party's blind keying. It holds a casefile.Keying and nothing
// else of the case, so that it cannot show what it cannot reach.
package desk

import (
	"context"
	"errors"
	"slices"

	"counterproof/model/casefile"
)

// Keying is the re-key desk: the pages, the stop where the cursor is, the letters in
// it, and the way to the disk. All its methods are called from one goroutine, the
// screen's.
//
// What is keyed shows at once and is put on disk behind the screen's back, in order;
// OnDisk tells of each field whether it is there, Trouble what is wrong where it
// cannot get there.
type Keying struct {
	record Record
	disk   *committer
	e      *entry

	ballots, units bool // sealed
	reopened       map[int]bool

	outstanding []act
	pending     map[casefile.Field]int
	trouble     error
	refused     error

	done, undone         []step
	earlier, earlierRedo bool
	earlierUndone        int
	reads                int
	page                 Page
	focus                Stop
	text                 string
	fresh                bool // nothing was typed since the stop was reached
	pick                 int
	message              string
	document             string
	heading              string
	before               int // the placement before which the next contest goes; 0: last
	beforeChoice         int
	more                 map[Stop]bool
	allStops             []StopInfo
	stopsKnown           bool
	pagesKnown           []PageInfo
	items                []Item
	itemsKnown           bool
	near                 map[int]nearCache
	words                map[int]wordsCache
	changed              func()
}

// step is an act of this sitting, with what stood there before.
type step struct {
	set, was []casefile.Change
	page     Page
	focus    Stop
}

// Options say how a desk works.
type Options struct {
	// Post runs a function on the goroutine that owns the desk. With nil every act
	// is on disk, or refused, when its key returns.
	Post func(func())
	// Changed is called when something changed that no key asked for: a field is on
	// disk, the disk fails, the record was read again.
	Changed func()
}

// OpenKeying opens the desk on the second entry.
func OpenKeying(r Record, o Options) *Keying {
	k := &Keying{record: r, changed: o.Changed}
	k.disk = newCommitter(r, o.Post, k.left, func(err error) { k.trouble = err; k.tell() })
	k.take(read(r))
	k.page = Page{Kind: PageElection}
	if faces := k.e.faces(); len(faces) > 0 {
		k.page = Page{PageFace, faces[0]}
	}
	k.e.Each(casefile.Contests, func(row int, _ []string) {
		if s := k.e.Value(casefile.Contests, row, "source"); s != "" {
			k.document = s
		}
	})
	k.toFirstEmpty()
	return k
}

// take begins anew from what stands in the record.
func (k *Keying) take(s *reading) {
	k.e = newEntry(s.tables)
	k.ballots, k.units, k.reopened = s.ballots, s.units, s.reopened
	k.earlier, k.earlierRedo = s.undo, s.redo
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

// set does an act: it shows at once and goes to the disk. It reports false, with a
// message, where the record would refuse it.
func (k *Keying) set(changes ...casefile.Change) bool {
	changes = slices.DeleteFunc(changes,
		func(ch casefile.Change) bool { return k.e.Value(ch.Table, ch.Row, ch.Column) == ch.Value })
	if len(changes) == 0 {
		return true
	}
	if k.ballots || k.units {
		if err := k.record.May(changes...); err != nil {
			k.message = err.Error()
			return false
		}
	}
	k.done = append(k.done, step{set: changes, was: k.apply(changes), page: k.page, focus: k.focus})
	k.undone, k.earlierUndone, k.earlierRedo = nil, 0, false
	k.send(act{kind: actKey, changes: changes})
	return true
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
	if a.kind >= actUndoEarlier {
		k.reads++
	}
	k.disk.push(a)
}

// left hears of an act that left the queue.
func (k *Keying) left(a act, err error) {
	k.outstanding = k.outstanding[1:]
	for _, ch := range a.changes {
		if k.pending[ch.Field]--; k.pending[ch.Field] <= 0 {
			delete(k.pending, ch.Field)
		}
	}
	if a.kind >= actUndoEarlier {
		k.reads--
	}
	if err != nil {
		// The record did not take it: what it says stands, and what was keyed since
		// goes on from there.
		k.refused = err
		k.done, k.undone, k.earlierUndone = nil, nil, 0
	}
	if a.seen != nil {
		done, undone, count := k.done, k.undone, k.earlierUndone
		k.take(a.seen)
		k.done, k.undone, k.earlierUndone = done, undone, count
		k.earlierRedo = k.earlierRedo && len(undone) == 0
		if a.kind == actRead {
			k.done, k.undone, k.earlierUndone = nil, nil, 0
		}
		for _, later := range k.outstanding {
			for _, ch := range later.changes {
				k.pending[ch.Field]++
			}
			k.apply(later.changes)
		}
		k.keepFocus()
	}
	k.tell()
}

// Undo takes the last act back, also one of an earlier sitting. It reports false
// where there is nothing to take back.
func (k *Keying) Undo() bool {
	k.message = ""
	if n := len(k.done); n > 0 {
		st := k.done[n-1]
		k.done = k.done[:n-1]
		k.undone = append(k.undone, st)
		back := slices.Clone(st.was)
		slices.Reverse(back)
		k.apply(back)
		k.send(act{kind: actUndo, changes: back})
		k.backTo(st)
		return true
	}
	if !k.earlier || k.reads > 0 {
		return false
	}
	k.earlierUndone++
	k.send(act{kind: actUndoEarlier})
	return true
}

// Redo does again what Undo took back last.
func (k *Keying) Redo() bool {
	k.message = ""
	if k.earlierUndone == 0 {
		if n := len(k.undone); n > 0 {
			st := k.undone[n-1]
			k.undone = k.undone[:n-1]
			k.done = append(k.done, st)
			k.apply(st.set)
			k.send(act{kind: actRedo, changes: st.set})
			k.backTo(st)
			return true
		}
		if !k.earlierRedo || k.reads > 0 {
			return false
		}
	} else if k.reads > 0 {
		return false
	} else {
		k.earlierUndone--
	}
	k.send(act{kind: actRedoEarlier})
	return true
}

func (k *Keying) backTo(st step) {
	k.page = st.page
	k.stale()
	if !k.goTo(st.focus) {
		k.toFirstEmpty()
	}
}

// Refresh reads the record again: after a seal, an amendment, or sheets that came in
// elsewhere.
func (k *Keying) Refresh() { k.send(act{kind: actRead}) }

// Flush waits until everything keyed is on disk; else it says how much is not and
// why. Seal only after it.
func (k *Keying) Flush() error { return k.disk.flush(context.Background()) }

// FlushContext is Flush until the context is done. It may be called from any
// goroutine: a disk can hang for minutes, and the screen must not.
func (k *Keying) FlushContext(ctx context.Context) error { return k.disk.flush(ctx) }

// Unsaved is what was typed into the field and not keyed yet: Enter keys it, Esc discards
// it. It is empty where a field holds what is keyed.
func (k *Keying) Unsaved() string {
	if k.fresh || k.focus.Kind == NoStop || k.ReadOnly(k.focus) {
		return ""
	}
	if text := trim(k.text); text != trim(k.Value(k.focus)) {
		return text
	}
	return ""
}

// Retry tries again at once to put on disk what it did not take.
func (k *Keying) Retry() { k.disk.nudge() }

// Close puts what is left on disk, if it takes it, and ends the desk.
func (k *Keying) Close() error { return k.disk.close() }

// OnDisk reports whether what stands in the field of a stop is on disk.
func (k *Keying) OnDisk(s Stop) bool {
	f, ok := s.field()
	return !ok || k.pending[f] == 0
}

// Waiting is how many acts are on their way to the disk.
func (k *Keying) Waiting() int { return len(k.outstanding) }

// Trouble is why the disk does not take what is keyed, nil while it does. What was
// typed is kept and tried again.
func (k *Keying) Trouble() error { return k.trouble }

// Refused is the last act that the record did not take, such as one on what was
// sealed meanwhile; ClearRefused puts it away.
func (k *Keying) Refused() error { return k.refused }

// ClearRefused puts the refusal away.
func (k *Keying) ClearRefused() { k.refused = nil }

// Sealed reports whether the scope is sealed.
func (k *Keying) Sealed(scope casefile.Scope) bool {
	if scope == casefile.ScopeUnits {
		return k.units
	}
	return k.ballots
}

// ReadOnly reports why a stop cannot be keyed: it is sealed. Contests that an
// amendment reopened can be.
func (k *Keying) ReadOnly(s Stop) bool {
	if !k.sealedFor(s) {
		return false
	}
	ch, ok := k.probe(s)
	return ok && errors.Is(k.record.May(ch...), casefile.ErrSealed)
}

func (k *Keying) sealedFor(s Stop) bool {
	if s.Kind >= UnitName {
		return k.units
	}
	return k.ballots
}

// Reopened reports whether an amendment opened the contest again.
func (k *Keying) Reopened(contest int) bool { return k.reopened[contest] }

// Amended reports whether an amendment is open, so that the ballots wait for a
// further seal: a contest is opened again, or a new one may be keyed.
func (k *Keying) Amended() bool {
	return k.ballots && (len(k.reopened) > 0 || !k.ReadOnly(Stop{Kind: NextContest}))
}

// probe is a change that keying the stop would make.
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
