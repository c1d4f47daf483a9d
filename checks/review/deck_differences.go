package review

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
	"counterproof/checks/natural"
	"counterproof/model/casefile"
)

// UnitOfDeck is a voting unit of a deck: what it counted, held against the key.
type UnitOfDeck struct {
	// Unit is its name, empty for the deck as a whole.
	Unit string
	// Results are the last that came in of it, nil for none; nothing else is said then.
	Results *casefile.Act[casefile.DeckResults]
	// Again says that results of this unit had been held against the key before these came in: then
	// they were not typed blind.
	Again bool
	// Unread says why they cannot be held against the key; empty where they were.
	Unread string
	// Format says how the results were written. Held are the counts of the key (a precinct, a contest, a
	// position) that were held against them, InTotals those of them that were held in the total of several
	// precincts alone, NotHeld those that the results do not state.
	Format                  string
	Held, InTotals, NotHeld int
	// Notes say what a person should know of how the results were read, each a sentence.
	Notes []string
	// Differences are those of the last results, then those of earlier ones that the last do not state all
	// counts of.
	Differences []DeckDifference
	// lost says which earlier results cannot be held against the key.
	lost []string
}

// DeckDifference is a difference between a key and results, with what was decided about it.
type DeckDifference struct {
	// ID stays the same for the same difference of the same unit.
	ID string
	// Earlier is the entry of the results that it is of, where later ones came; 0 for the last.
	Earlier int64
	// Message says it, and where it is of earlier results, of which. Causes are what gives exactly the
	// machine's numbers, each a sentence.
	Message string
	Causes  []string
	// Words is what both sides say, as canonical JSON, Said its digest. Decisions bind to it.
	Words     string
	Said      casefile.Digest
	Decisions []casefile.Act[casefile.DeckDecision]
	// gone reports whether later results show that the difference is no more, as they do not have it.
	gone func(later *deck.Compared, typed bool) bool
}

// Last returns the latest decision, nil for none.
func (d *DeckDifference) Last() *casefile.Act[casefile.DeckDecision] {
	if len(d.Decisions) == 0 {
		return nil
	}
	return &d.Decisions[len(d.Decisions)-1]
}

// Settled reports whether nothing is left to do about a difference: a document explains it. All other
// decisions leave it open until results agree with the key.
func (d *DeckDifference) Settled() bool {
	last := d.Last()
	return last != nil && last.Terms.Outcome == casefile.DeckExplained
}

// Status says in a few words how far a difference is.
func (d *DeckDifference) Status() string {
	last := d.Last()
	if last == nil {
		return "open"
	}
	return DeckOutcomeWords(last.Terms.Outcome)
}

// DeckOutcomeWords says in a few words what was decided.
func DeckOutcomeWords(o casefile.DeckOutcome) string {
	switch o {
	case casefile.DeckRepeat:
		return "the deck is run again"
	case casefile.DeckFixConfiguration:
		return "the configuration is to be fixed"
	case casefile.DeckFixMachine:
		return "the machine is to be repaired or replaced"
	case casefile.DeckExplained:
		return "explained by a document"
	case casefile.DeckRefer:
		return "referred to the supervisor"
	}
	return string(o)
}

// HeldWords says how many counts of the key were held against the results, and how.
func (u *UnitOfDeck) HeldWords() string { return heldWords(u.Held, u.InTotals) }

func heldWords(held, inTotals int) string {
	words := english.Plural(held, "count", "") + " of the key " + english.PluralWord(held, "was",
		"were") + " held against them"
	switch {
	case inTotals > 0 && inTotals == held:
		words += ", in totals of several precincts alone"
	case inTotals > 0:
		words += fmt.Sprintf(", %d of them in totals of several precincts alone", inTotals)
	}
	return words
}

// Agreement says in a few words what agrees where nothing differs: no more than what was held.
func (u *UnitOfDeck) Agreement() string {
	if u.NotHeld == 0 {
		return "agrees with the key"
	}
	return fmt.Sprintf("%d of %s agree with the key; the others were not held", u.Held,
		english.Plural(u.Held+u.NotHeld, "count", ""))
}

// Open counts the differences of a unit that are not settled.
func (u *UnitOfDeck) Open() (n int) {
	for i := range u.Differences {
		if !u.Differences[i].Settled() {
			n++
		}
	}
	return n
}

// DeckVerdict is a decision of the pair on differences of a deck.
type DeckVerdict struct {
	Deck             int64
	Differences      []string
	Outcome          casefile.DeckOutcome
	Reason, Document string
}

// DecideDeck records a decision about differences of a deck, signed by the pair, and by a supervisor
// where one was referred to them.
func (r *Review) DecideDeck(v DeckVerdict, signedBy ...casefile.PersonID) error {
	decks, err := r.TestDecks()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(decks, func(d TestDeck) bool { return d.Seq == v.Deck && d.ReplacedBy == 0 })
	if i < 0 {
		return fmt.Errorf("%w: no test deck that still applies was recorded in entry %d", ErrUndecidable, v.Deck)
	}
	terms := casefile.DeckDecision{Deck: v.Deck, Outcome: v.Outcome, Reason: v.Reason, Document: v.Document}
	for _, id := range v.Differences {
		d := decks[i].Difference(id)
		if d == nil {
			return fmt.Errorf("%w: there is no difference %s between this deck's key and results now; look at the list again",
				ErrUndecidable, id)
		}
		if last := d.Last(); last != nil && last.Terms.Outcome == casefile.DeckRefer &&
			!signedIn(r.of.State(), signedBy, casefile.SeatSupervisor) {
			return fmt.Errorf("%w: %s was referred to the supervisor, who signs its decision too", ErrUndecidable, id)
		}
		terms.Differences = append(terms.Differences, casefile.Decided{Finding: id, Message: d.Message, Said: d.Said,
			Words: d.Words})
	}
	return r.of.DecideDeck(terms, signedBy...)
}

// Difference returns a difference of a deck, nil for none.
func (d *TestDeck) Difference(id string) *DeckDifference {
	for i := range d.Units {
		for k := range d.Units[i].Differences {
			if d.Units[i].Differences[k].ID == id {
				return &d.Units[i].Differences[k]
			}
		}
	}
	return nil
}

// NotCounted are the contests of a deck that have no key, each with the reason.
func (d *TestDeck) NotCounted() (words []string) {
	if d.Counted == nil {
		return nil
	}
	for _, l := range d.Counted.Key.Left {
		words = append(words, KeyedTitle(d.Counted.Entry, l.Contest)+": "+l.Why)
	}
	if len(d.Counted.Unfed) > 0 {
		words = append(words, "No voting unit of this deck is fed the ballots of precinct "+
			english.WordSeries(natural.Ranges(d.Counted.Unfed), "and")+": they are in no unit's count")
	}
	return words
}

// Sentence says what was held against the key of a deck, what was not, and how many differences are left.
func (d *TestDeck) Sentence() string {
	words := fmt.Sprintf("The key of the test deck “%s” was counted from the seal of entry %d.", d.Terms.Name,
		d.Terms.Seal)
	if len(d.Stale) > 0 {
		return words + " It is stale, and nothing is held against it: " + strings.Join(d.Stale, "; ") + "."
	}
	words += d.reach()
	came, unread, held, totals, not, differ, open := 0, 0, 0, 0, 0, 0, 0
	for i := range d.Units {
		u := &d.Units[i]
		if u.Results == nil {
			continue
		}
		came++
		if u.Unread != "" {
			unread++
		}
		held, totals, not = held+u.Held, totals+u.InTotals, not+u.NotHeld
		differ, open = differ+len(u.Differences), open+u.Open()
	}
	of := "all units in one file"
	if len(d.Units) > 0 && d.Units[0].Unit != "" {
		of = english.Plural(len(d.Units), "voting unit", "")
	}
	switch {
	case came == 0 && len(d.Units) == 1 && d.Units[0].Unit == "":
		return words + " No results came in, so no machine was held against it."
	case came == 0:
		return words + " No results of " + of + " came in, so no machine was held against it."
	case len(d.Units) > 0 && d.Units[0].Unit == "":
		words += " Results of " + of + " came in"
		if came > 1 {
			words += fmt.Sprintf(", and of %s by themselves", english.Plural(came-1, "unit", ""))
		}
	default:
		words += fmt.Sprintf(" Results of %d of %s came in", came, of)
	}
	if unread > 0 {
		words += fmt.Sprintf(", and those of %d cannot be held against it", unread)
	}
	words += ": " + heldWords(held, totals)
	if not > 0 {
		words += fmt.Sprintf("; %d were not, because the results do not state them", not)
	}
	words += "; "
	switch {
	case differ == 0 && held == 0:
		return words + "nothing was compared."
	case differ == 0 && not > 0:
		return words + "no difference was found in those that were."
	case differ == 0:
		return words + "no difference was found."
	case open == 0:
		return words + english.Plural(differ, "difference was", "differences were") + " found, each explained by a document."
	}
	return words + fmt.Sprintf("%s found, of which %d %s open.", english.Plural(differ, "difference was",
		"differences were"), open, english.PluralWord(open, "is", "are"))
}

// missingOfDecks lists what is left to do about test decks: a stale key, results that cannot be held
// against it, differences that no document explains. That results are missing keeps nothing from being
// signed: an office may sign before its machines are tested.
func missingOfDecks(decks []TestDeck) (list []Missing) {
	for i := range decks {
		d := &decks[i]
		if d.ReplacedBy > 0 {
			continue
		}
		if len(d.Stale) > 0 {
			list = append(list, Missing{fmt.Sprintf("deck %d", d.Seq),
				fmt.Sprintf("Count the key of the test deck “%s” again: %s.", d.Terms.Name, strings.Join(d.Stale, "; "))})
		}
		for k := range d.Units {
			u := &d.Units[k]
			if u.Unread != "" {
				list = append(list, Missing{fmt.Sprintf("deck %d %s", d.Seq, u.Unit),
					fmt.Sprintf("Bring the results of the test deck “%s” in again (%s): %s", d.Terms.Name, u.Results.Terms.Name,
						u.Unread)})
			}
			for n := range u.Differences {
				if x := &u.Differences[n]; !x.Settled() {
					list = append(list, Missing{"deck " + x.ID,
						fmt.Sprintf("Settle what the test deck “%s” found: %s", d.Terms.Name, x.Message)})
				}
			}
		}
	}
	return list
}

// reach says, where a deck has no ballot of some precincts, that it tests nothing of them.
func (d *TestDeck) reach() string {
	if d.Counted == nil {
		return ""
	}
	reach := d.Counted.Reach()
	if reach.Precincts >= reach.OfPrecincts {
		return ""
	}
	return fmt.Sprintf(" It has ballots of %d of %s; nothing of the others is tested by it.", reach.Precincts,
		english.Plural(reach.OfPrecincts, "precinct", ""))
}
