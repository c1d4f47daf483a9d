package decks

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/results"
)

// Proposal is a deck that was designed or brought in, before the pair signs it.
type Proposal struct {
	review.NewDeck
	Counted *review.CountedDeck
	// Words say what the deck holds, CannotSee what it leaves unseen, the worst first; each a sentence.
	Words, CannotSee []string
}

// Design designs a deck for voting units, none for all.
func Design(r *review.Review, units []string, rules deck.Rules) (*Proposal, error) {
	e, err := r.DeckEntry()
	if err != nil {
		return nil, err
	}
	o := deck.Options{Rules: rules}
	if len(units) > 0 {
		of, err := review.UnitsNamed(e, units)
		if err != nil {
			return nil, err
		}
		if o.Precincts = precinctsOf(e, of); len(o.Precincts) == 0 {
			return nil, fmt.Errorf("the card headers of these voting units name no precinct; choose others")
		}
	}
	d, err := deck.Make(e, o)
	if err != nil {
		return nil, err
	}
	p := &Proposal{NewDeck: review.NewDeck{Name: "All units", Units: units, Marks: d.Deck.Rows(e), Rules: rules}}
	if len(units) > 0 {
		p.Name = english.PluralWord(len(units), "Unit ", "Units ") + strings.Join(units, ", ")
	}
	p.Words = d.Words(e)
	return p, p.count(r)
}

// MaxDeck is how long a deck.csv may be, in bytes.
const MaxDeck = 64 << 20

// Received reads a deck that somebody else made.
func Received(r *review.Review, path string, rules deck.Rules) (*Proposal, error) {
	data, err := files.Read(path, MaxDeck)
	if err != nil {
		return nil, err
	}
	marks, err := results.ReadDeck(path, data)
	if err != nil {
		return nil, err
	}
	p := &Proposal{NewDeck: review.NewDeck{Name: "A deck brought in", Marks: marks, Rules: rules, Received: true}}
	return p, p.count(r)
}

// count counts the key of a proposal, and says what the deck holds.
func (p *Proposal) count(r *review.Review) (err error) {
	if p.Counted, err = r.CountDeck(p.NewDeck); err != nil {
		return err
	}
	if len(p.Words) == 0 {
		p.Words = []string{english.Plural(len(p.Counted.Deck.Ballots), "ballot", "") + "."}
	}
	if n := len(p.Counted.Units); n > 0 {
		p.Words = append(p.Words, fmt.Sprintf("The key is counted for %s.", english.Plural(n, "voting unit", "")))
	} else {
		p.Words = append(p.Words, "The key is counted for the deck as a whole: no voting unit is sealed.")
	}
	p.Words = append(p.Words, p.Counted.Reach().Sentence())
	p.CannotSee, err = cannotSee(p.Counted, p.Units)
	return err
}

// Record records a proposal, signed by the pair.
func (p *Proposal) Record(r *review.Review, ids []casefile.PersonID) error {
	return r.RecordDeck(p.NewDeck, ids...)
}

// Pages are the printed pages of a recorded deck.
func Pages(state *casefile.State, d *review.TestDeck) *report.DeckPages {
	return &report.DeckPages{Election: state.Election, Deck: d.Terms.Name, Made: d.At,
		Foot: "SHA-256 of deck.csv " + d.Terms.Deck.Groups(), Ballots: d.Counted.Entry}
}

// Deck is a recorded deck as it stands.
type Deck = review.TestDeck

// Again proposes a recorded deck with a key counted from the second entry as it is now.
func Again(r *review.Review, d *Deck) (*Proposal, error) {
	p := &Proposal{NewDeck: review.NewDeck{Name: d.Terms.Name, Units: d.Terms.Units, Received: d.Terms.Received,
		Marks: d.Counted.Deck.Rows(d.Counted.Entry), Rules: d.Counted.Rules}}
	return p, p.count(r)
}

// ReadResults reads a file of results of a unit, or of all units.
func ReadResults(deck int64, unit, path string) (n review.NewResults, err error) {
	n = review.NewResults{Deck: deck, Unit: unit, Name: filepath.Base(path)}
	n.File, err = files.Read(path, casefile.MaxExport)
	return n, err
}

// Units are the voting units that are named in a text, with commas between them, each once and as it is
// keyed. A name may be typed without regard of case and without the letters before its number: 1101 for
// TW-1101, where no other unit is meant.
func Units(r *review.Review, text string) (names []string, err error) {
	e, err := r.DeckEntry()
	if err != nil {
		return nil, err
	}
	for _, typed := range strings.Split(text, ",") {
		if typed = strings.TrimSpace(typed); typed == "" {
			continue
		}
		name, err := unitNamed(e, typed)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names, nil
}

// unitNamed is the unit that is named exactly, else without regard of case, else by its number.
func unitNamed(e *model.Election, typed string) (string, error) {
	for _, same := range []func(name string) bool{
		func(name string) bool { return name == typed },
		func(name string) bool { return strings.EqualFold(name, typed) },
		func(name string) bool {
			at := strings.IndexFunc(name, unicode.IsDigit)
			return at > 0 && strings.EqualFold(name[at:], typed)
		},
	} {
		var found []string
		for i := range e.Units {
			if name := e.Units[i].Name; same(name) {
				found = append(found, name)
			}
		}
		switch len(found) {
		case 0:
		case 1:
			return found[0], nil
		default:
			return "", fmt.Errorf("%s may be %s; write the whole name", finding.Quote(typed),
				english.WordSeries(found, "or"))
		}
	}
	return "", fmt.Errorf("no voting unit of the second entry is called %s", finding.Quote(typed))
}

// Look says how the decks of a case stand, and of each that still applies what it cannot see, by its entry.
func Look(r *review.Review) (list []review.TestDeck, blind map[int64][]string, err error) {
	if list, err = r.TestDecks(); err != nil {
		return nil, nil, err
	}
	blind = map[int64][]string{}
	for i := range list {
		if d := &list[i]; d.Counted != nil && len(d.Stale) == 0 {
			if blind[d.Seq], err = cannotSee(d.Counted, d.Terms.Units); err != nil {
				return nil, nil, err
			}
		}
	}
	return list, blind, nil
}

// cannotSee says what a deck for voting units, none for all, leaves unseen: the worst first, and nothing
// that no deck can see.
func cannotSee(c *review.CountedDeck, units []string) ([]string, error) {
	o := deck.Options{Rules: c.Rules}
	if len(units) > 0 {
		o.Precincts = precinctsOf(c.Entry, c.Units)
	}
	found, err := deck.Lint(c.Entry, c.Deck, o)
	if err != nil {
		return nil, err
	}
	var out []string
	for i := range found {
		b := &found[i]
		if b.Grade == finding.Note {
			continue
		}
		words := b.Words(c.Entry)
		if names := b.PrecinctNames(c.Entry); len(names) > 0 {
			words += fmt.Sprintf(" %s: %s.", english.PluralWord(len(names), "Precinct", "Precincts"),
				finding.PrecinctList(names, len(c.Entry.Precincts)))
		}
		out = append(out, words)
	}
	return out, nil
}

// precinctsOf are the precincts in the card headers of units, each once.
func precinctsOf(e *model.Election, units []int) []int {
	precincts := []int{}
	for _, i := range units {
		precincts = append(precincts, e.Units[i].Precincts.Value...)
	}
	slices.Sort(precincts)
	return slices.Compact(precincts)
}
