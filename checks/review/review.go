// Package review evaluates a case file: which findings are open, decided or cleared, which changes
// between exports nobody asked for, what may be sealed or signed. The desktop and the terminal
// program both ask this package and decide nothing themselves.
//
// A Review folds the case, compares the last export with the second entry and binds the pair's
// decisions to the findings. The result depends only on the record: two machines with the same case
// get the same result.
package review

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/casefile"
)

// ErrBlind means that nothing may be shown yet: the second entry is not sealed, or there is no
// export.
var ErrBlind = errors.New("nothing can be compared yet")

// Status is the state of a finding.
type Status string

// The statuses. StatusOpen, StatusReopened, StatusReferred and StatusWaiting keep a
// report from being signed without an exception.
const (
	// StatusOpen: not decided yet.
	StatusOpen Status = "open"
	// StatusReopened: it was decided, but the sides have changed since, or the correction did not
	// end the difference.
	StatusReopened Status = "reopened"
	// StatusReferred: a supervisor has to decide.
	StatusReferred Status = "referred"
	// StatusWaiting: the configuration has to be fixed, and no export has done so yet.
	StatusWaiting Status = "waiting"
	// StatusSettled: the configuration is right as it is, according to the certified document.
	StatusSettled Status = "settled"
	// StatusNoted: a note, which needs no decision.
	StatusNoted Status = "noted"
	// StatusCleared: it was decided, and the two entries now agree.
	StatusCleared Status = "cleared"
)

// Open reports whether somebody still has to act.
func (s Status) Open() bool {
	return s == StatusOpen || s == StatusReopened || s == StatusReferred || s == StatusWaiting
}

// Undecided reports whether the pair has still to say something: no decision of theirs applies.
func (s Status) Undecided() bool {
	return s == StatusOpen || s == StatusReopened || s == StatusReferred || s == StatusNoted
}

// Words describes the status in a few words.
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

// Graded says what grade a finding has and how far it is: "must-fix, open".
func (s Status) Graded(g finding.Grade) string {
	if s == StatusNoted {
		return s.Words()
	}
	return string(g) + ", " + s.Words()
}

// Item is a finding with its decisions.
type Item struct {
	finding.Finding
	// Said is the digest of Words. Words is what both sides say, as canonical JSON. Decisions bind
	// to it.
	Said  casefile.Digest
	Words string
	// Unasked is set for a change between two exports that nobody asked for.
	Unasked bool
	// Status is the state of the finding.
	Status Status
	// Decisions are the decisions on the finding, first to last.
	Decisions []casefile.Act[casefile.Decision]
	// ClearedBy is the entry of the export that made the change that a decision asked for; 0 if none
	// did, or no decision asked for one.
	ClearedBy int64
}

// Last returns the latest decision, which applies, or nil.
func (i *Item) Last() *casefile.Act[casefile.Decision] {
	if len(i.Decisions) == 0 {
		return nil
	}
	return &i.Decisions[len(i.Decisions)-1]
}

// Round is one export of the case, in sequence, and what that export changed.
type Round struct {
	// Files are the files of the report (one, or its parts). Cards is the EMS's card list for it,
	// nil for none. A card list that comes in alone, with an act between, makes a new round with the files
	// of the round before.
	Files []casefile.Export
	Cards *casefile.Export
	// Seq and At are the number and time of the entry that completed the round.
	Seq int64
	At  string
	// Asked and Unasked are the round's changes against the baseline at that time, in words without
	// a full stop: changes that were asked for, and changes that nobody asked for. Both are empty
	// for the first round.
	Asked, Unasked []string
	// Format names the format of the files (model.Origins), empty if they cannot be read. With is nil
	// for an export in sequence; one in another format was compared once with this one, and stands in
	// no sequence.
	Format string
	With   *Round
}

// Snapshot is the current case: compared, and with its decisions bound.
type Snapshot struct {
	State *casefile.State
	// Primary is the last export in the form in which it is compared. Second is the second entry of
	// all keyers, with corrections. Before the units are sealed, both leave out the units.
	Primary, Second *model.Election
	// Result is the comparison. Its findings include differences between keyers and changes between
	// exports.
	Result checks.Result
	// Items are the findings of Result, in the same order, with their decisions.
	Items []Item
	// Cleared are decided findings that are gone, as the last decision on each recorded them.
	Cleared []Item
	// Collected is the list of verdicts to be signed, in the order in which they were collected.
	Collected []Collected
	// Options are the options of the comparison.
	Options checks.Options
	// Latest is the export that was compared. Others are those that came in in other formats, first to
	// last.
	Latest Round
	Others []Round
	// Witnessed says what was held against certified documents.
	Witnessed witness.Coverage
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

// Counts are the numbers that show the progress of the work.
type Counts struct {
	Open, Waiting, Settled, Noted, Cleared int
}

// Counts counts the items by what is left to do. Open includes reopened and referred items.
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

// Referred counts the open items that a supervisor has to decide.
func (s *Snapshot) Referred() (n int) {
	for i := range s.Items {
		if s.Items[i].Status == StatusReferred {
			n++
		}
	}
	return n
}

// Missing is one thing that is left to do before a scope is sealed or a report is signed.
type Missing struct {
	// ID identifies it for an exception: a finding's identity, or a word.
	ID string
	// Words is one sentence that says what to do.
	Words string
}

// Review evaluates one case repeatedly. Several goroutines may use it.
//
// It caches the first and the last export and what was derived from them. It reads the others again
// when it needs them, one at a time, so that a day with many exports takes no more memory than a
// day with two.
type Review struct {
	mu       sync.Mutex
	of       *casefile.Case
	exports  map[string]*model.Election
	compared *comparison // the last comparison
	compares int         // the number of comparisons made
	keyed    *keyed
	bare     map[*model.Election]*model.Election
	came     came
	sequence *sequence
	listed   map[int64]witness.Document // by their entry
	mailed   struct {
		at   mailedAt
		rest *model.Election
	}
	// decks are the test decks as they stood at a head of the journal.
	decks struct {
		sync.Mutex
		at   casefile.Digest
		list []TestDeck
	}
	warehouse *warehouse
	machines  *Machines
	latest    *Snapshot
	at        casefile.Digest
	// waits is told the share that is done while a snapshot is made; nil otherwise.
	waits context.Context
}

// New returns the review of an open case.
func New(c *casefile.Case) *Review {
	return &Review{of: c, exports: map[string]*model.Election{}, bare: map[*model.Election]*model.Election{},
		listed: map[int64]witness.Document{}}
}

// Case returns the case under review.
func (r *Review) Case() *casefile.Case { return r.of }

// Now returns the current state of the case. If nothing was recorded since the last call, nothing
// is compared again. The result is shared and must not be modified. The error wraps ErrBlind before
// the ballots are sealed and while there is no export. For an unusable export it is the reader's
// error.
func (r *Review) Now() (*Snapshot, error) { return r.NowContext(context.Background()) }

// NowContext is Now with a context that is told the share that is done (package progress). The context
// does not end it.
func (r *Review) NowContext(ctx context.Context) (*Snapshot, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.waits = ctx
	defer func() { r.waits = nil }()
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

// blind returns the reason why nothing can be compared, or nil.
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

// unsealed returns the reason why nothing may be compared with the second entry, or nil.
func unsealed(state *casefile.State) error {
	switch {
	case !state.Sealed(casefile.ScopeBallots):
		return fmt.Errorf("%w: the second entry is not sealed; seal the ballots first", ErrBlind)
	case len(state.OpenAmendments()) > 0:
		return fmt.Errorf("%w: an amendment is open; key its contests again and seal the ballots", ErrBlind)
	}
	return nil
}
