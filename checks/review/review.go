// Package review is the judgement over a case file: what is open, decided and
// cleared, what changed unasked between exports, what may be sealed or signed. The
// desktop and the terminal program both ask it, and decide nothing themselves.
//
// A Review folds the case, compares the last export with the second entry and binds
// the pair's decisions to what was found. It is a function of the record: two
// machines with the same case say the same.
package review

import (
	"errors"
	"fmt"
	"sync"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/casefile"
)

// ErrBlind says that nothing may be shown yet: the second entry is not sealed, or no
// export came in.
var ErrBlind = errors.New("nothing can be compared yet")

// Status says how far a finding is.
type Status string

// The statuses. StatusOpen, StatusReopened, StatusReferred and StatusWaiting keep a
// report from being signed without an exception.
const (
	// StatusOpen: nobody decided yet.
	StatusOpen Status = "open"
	// StatusReopened: it was decided, and what the sides say has changed since, or
	// the correction that was to mend it did not.
	StatusReopened Status = "reopened"
	// StatusReferred: the supervisor is to decide.
	StatusReferred Status = "referred"
	// StatusWaiting: the configuration is to be fixed, and no export did yet.
	StatusWaiting Status = "waiting"
	// StatusSettled: it stays as it is, by the certified document.
	StatusSettled Status = "settled"
	// StatusNoted: a note; nobody need decide.
	StatusNoted Status = "noted"
	// StatusCleared: it was decided, and the entries agree there now.
	StatusCleared Status = "cleared"
)

// Open reports whether somebody still has to do something.
func (s Status) Open() bool {
	return s == StatusOpen || s == StatusReopened || s == StatusReferred || s == StatusWaiting
}

// Words says the status in a few words.
func (s Status) Words() string {
	switch s {
	case StatusReopened:
		return "open again: something has changed since"
	case StatusReferred:
		return "referred to the supervisor"
	case StatusWaiting:
		return "waiting for an export that fixes it"
	case StatusSettled:
		return "stays as certified"
	case StatusNoted:
		return "note"
	}
	return string(s)
}

// Item is a finding with what was made of it.
type Item struct {
	finding.Finding
	// Said is the digest that decisions bind to, of Words: what both sides say, as
	// canonical JSON.
	Said  casefile.Digest
	Words string
	// Unasked is set for what changed between two exports and nobody asked for.
	Unasked bool
	// Status is how far it is.
	Status Status
	// Decisions are those that name the finding, first to last.
	Decisions []casefile.Act[casefile.Decision]
}

// Last returns the decision that holds, or nil.
func (i *Item) Last() *casefile.Act[casefile.Decision] {
	if len(i.Decisions) == 0 {
		return nil
	}
	return &i.Decisions[len(i.Decisions)-1]
}

// Round is one export of the case, in sequence, and what it changed.
type Round struct {
	// Files are the files of the report (one, or its parts), Cards the EMS's card
	// list that goes with it, nil for none. A card list that comes in alone makes a
	// further round with the files of the one before.
	Files []casefile.Export
	Cards *casefile.Export
	// Seq and At are those of the entry that completed the round.
	Seq int64
	At  string
	// Asked and Unasked are what it says otherwise than the baseline of then, in words
	// without a full stop: what was asked for and done, and what nobody asked for. Both
	// are empty for the first.
	Asked, Unasked []string
}

// Snapshot is a case as it is now: compared, and with its decisions bound.
type Snapshot struct {
	State *casefile.State
	// Primary is the last export as it is compared, Second the second entry of all
	// keyers, corrections included. Before the units are sealed neither holds
	// anything of them.
	Primary, Second *model.Election
	// Result is the comparison. Its findings include those about the keyers and
	// about changes between exports.
	Result checks.Result
	// Items are the findings of Result, in its order, with what was made of them.
	Items []Item
	// Cleared are findings that were decided and are not there any more, as the last
	// decision on each kept them.
	Cleared []Item
	// Options are those of the comparison.
	Options checks.Options
	// Latest is the export that was compared.
	Latest Round
}

// Item returns the item of a finding, current or cleared, or nil.
func (s *Snapshot) Item(finding string) *Item {
	for _, list := range [][]Item{s.Items, s.Cleared} {
		for i := range list {
			if list[i].ID == finding {
				return &list[i]
			}
		}
	}
	return nil
}

// Counts are the numbers that show how far the work is.
type Counts struct {
	Open, Waiting, Settled, Noted, Cleared int
}

// Counts counts the items by what is left to do. Open includes what was reopened or
// referred.
func (s *Snapshot) Counts() Counts {
	c := Counts{Cleared: len(s.Cleared)}
	for _, i := range s.Items {
		switch i.Status {
		case StatusWaiting:
			c.Waiting++
		case StatusSettled:
			c.Settled++
		case StatusNoted:
			c.Noted++
		default:
			c.Open++
		}
	}
	return c
}

// Missing is one thing that is left to do before something may be sealed or signed.
type Missing struct {
	// ID names it, for an exception: a finding's identity, or a word.
	ID string
	// Words is one sentence that says what to do.
	Words string
}

// Review looks at one case, again and again. It may be used by several goroutines.
//
// Of the exports it keeps the first and the last as they were read, with what was made
// of them; the others are read again when they are needed, one at a time, so that a day
// with many exports takes no more memory than one with two.
type Review struct {
	mu       sync.Mutex
	of       *casefile.Case
	exports  map[string]*model.Election
	compared *comparison // the last
	compares int         // how many were made
	keyed    *keyed
	bare     map[*model.Election]*model.Election
	came     came
	sequence *sequence
	mailed   struct {
		at   mailedAt
		rest *model.Election
	}
	latest *Snapshot
	at     casefile.Digest
}

// New returns the review of an open case.
func New(c *casefile.Case) *Review {
	return &Review{of: c, exports: map[string]*model.Election{}, bare: map[*model.Election]*model.Election{}}
}

// Case returns the case under review.
func (r *Review) Case() *casefile.Case { return r.of }

// Now returns the case as it stands. Nothing is compared again if nothing was
// recorded since. The result is shared and must not be changed. Before the ballots
// are sealed, or while no export is there, the error wraps ErrBlind; an export that
// cannot be used is the reader's error.
func (r *Review) Now() (*Snapshot, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	state := r.of.State()
	if r.latest != nil && r.at == state.Head {
		return r.latest, nil
	}
	s, err := r.snapshot(state)
	if err != nil {
		return nil, err
	}
	r.latest, r.at = s, state.Head
	return s, nil
}

// blind says why nothing can be compared.
func blind(state *casefile.State) error {
	if err := unsealed(state); err != nil {
		return err
	}
	switch {
	case len(state.Exports) == 0:
		return fmt.Errorf("%w: no export came in; bring it in", ErrBlind)
	case len(state.ActiveExports()) == 0:
		return fmt.Errorf("%w: the export was withdrawn; bring in the right one", ErrBlind)
	}
	return nil
}

// unsealed says why nothing may be compared with the second entry.
func unsealed(state *casefile.State) error {
	switch {
	case !state.Sealed(casefile.ScopeBallots):
		return fmt.Errorf("%w: the second entry is not sealed; seal the ballots first", ErrBlind)
	case len(state.OpenAmendments()) > 0:
		return fmt.Errorf("%w: an amendment is open; key its contests again and seal the ballots", ErrBlind)
	}
	return nil
}
