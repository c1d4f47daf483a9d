package decks

import (
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// May reports whether the place Test deck can be entered; if not, why says what comes first.
func May(state *casefile.State) (ok bool, why string) {
	switch {
	case state == nil:
		return false, "Open a case first."
	case !state.Sealed(casefile.ScopeBallots):
		return false, "A test deck and its answer key are made of the sealed ballots alone. Key the ballots and seal them " +
			"in Re-key; then come back."
	}
	return true, ""
}

// MayMake says why no deck can be made now; empty where one can.
func MayMake(state *casefile.State) string {
	if len(state.OpenAmendments()) > 0 {
		return "An amendment is open. Key its contests again and seal the ballots; then a deck can be made of them."
	}
	return ""
}

// Row is a row of the list: a deck, one of its voting units, or the way to make a deck.
type Row struct {
	Deck *review.TestDeck
	// Unit is nil in the row of a deck.
	Unit *review.UnitOfDeck
}

// Rows lists the decks that still apply, each with its units; the way to make one comes last.
func Rows(list []review.TestDeck) (rows []Row) {
	for i := range list {
		d := &list[i]
		if d.ReplacedBy > 0 {
			continue
		}
		rows = append(rows, Row{Deck: d})
		for k := range d.Units {
			rows = append(rows, Row{d, &d.Units[k]})
		}
	}
	return append(rows, Row{})
}

// ID stays the same for the same row.
func (r Row) ID() string {
	switch {
	case r.Deck == nil:
		return "new"
	case r.Unit == nil:
		return r.Deck.Terms.Name
	}
	return r.Deck.Terms.Name + "\x00" + r.Unit.Unit
}

// Name is what a row is called.
func (r Row) Name() string {
	switch {
	case r.Deck == nil:
		return "A new deck"
	case r.Unit == nil:
		return r.Deck.Terms.Name
	}
	return UnitName(r.Unit.Unit)
}

// UnitName names a voting unit of a deck.
func UnitName(unit string) string {
	if unit == "" {
		return "All units in one file"
	}
	return unit
}

// State is how far something is.
type State int

// The states of a row.
const (
	Nothing State = iota // no results yet
	Differs              // differences are open, or the key is stale
	Decided              // differences, each explained
	InPart               // no difference, and not all counts of the key were held
	Agrees
)

// State says how far a row is, in a word and a few.
func (r Row) State() (State, string) {
	switch {
	case r.Deck == nil:
		return Nothing, ""
	case len(r.Deck.Stale) > 0 && r.Unit == nil:
		return Differs, "the key is stale"
	case r.Unit == nil:
		return progress(r.Deck)
	}
	u := r.Unit
	switch open := u.Open(); {
	case u.Results == nil:
		return Nothing, "no results yet"
	case u.Unread != "":
		return Differs, "not held against the key"
	case open > 0:
		return Differs, english.Plural(open, "difference is", "differences are") + " open"
	case len(u.Differences) > 0:
		return Decided, "differs, explained"
	}
	if u.NotHeld > 0 {
		return InPart, u.Agreement()
	}
	return Agrees, u.Agreement()
}

// progress is the state of a deck: the worst of its units.
func progress(d *review.TestDeck) (State, string) {
	came, open, explained, part := 0, 0, 0, 0
	for i := range d.Units {
		switch state, _ := (Row{d, &d.Units[i]}).State(); state {
		case Nothing:
			continue
		case Differs:
			open++
		case Decided:
			explained++
		case InPart:
			part++
		}
		came++
	}
	words := fmt.Sprintf("results of %d of %d", came, len(d.Units))
	switch {
	case open > 0:
		return Differs, words + fmt.Sprintf(", %d with something open", open)
	case came < len(d.Units) || came == 0:
		return Nothing, words
	case explained > 0:
		return Decided, words
	case part > 0:
		return InPart, words + ", not every count held"
	}
	return Agrees, words
}

// Outcome is a decision to choose from about differences.
type Outcome struct {
	Outcome casefile.DeckOutcome
	Key     rune
	// Label names it, Words say what it means. Document says that a document has to be named.
	Label, Words string
	Document     bool
}

// Outcomes are the decisions to choose from.
var Outcomes = []Outcome{
	{casefile.DeckRepeat, 'a', "Run it again", "A ballot was marked or fed otherwise than the deck says. The difference " +
		"stays open until new results agree.", false},
	{casefile.DeckFixConfiguration, 'f', "Fix the configuration", "The machine counts what it was told, and that is " +
		"wrong. It stays open until new results agree.", false},
	{casefile.DeckFixMachine, 'm', "Fix the machine", "The machine reads ballots wrongly: it is repaired or replaced. " +
		"It stays open until new results agree.", false},
	{casefile.DeckExplained, 'e', "Explained", "The machine may count so, and a document says why. This settles the " +
		"difference.",
		true},
	{casefile.DeckRefer, 'r', "Refer it", "The supervisor decides, and signs the decision too.", false},
}
