package decks

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
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
	// Words say what the deck holds, Unmet what it does not do, each a sentence.
	Words, Unmet []string
}

// Design designs a deck for voting units, none for all.
func Design(r *review.Review, units []string, rules deck.Rules) (*Proposal, error) {
	e, err := r.DeckEntry()
	if err != nil {
		return nil, err
	}
	o := deck.Options{Rules: rules}
	for _, name := range units {
		i := slices.IndexFunc(e.Units, func(u model.Unit) bool { return u.Name == name })
		if i < 0 {
			return nil, fmt.Errorf("no voting unit of the second entry is called “%s”; name it as it is keyed", name)
		}
		o.Precincts = append(o.Precincts, e.Units[i].Precincts.Value...)
	}
	if len(units) > 0 && len(o.Precincts) == 0 {
		return nil, fmt.Errorf("the card headers of these voting units name no precinct: key and seal them first")
	}
	d, err := deck.Make(e, o)
	if err != nil {
		return nil, err
	}
	p := &Proposal{NewDeck: review.NewDeck{Name: "All units", Units: units, Marks: d.Deck.Rows(e), Rules: rules}}
	if len(units) > 0 {
		p.Name = english.PluralWord(len(units), "Unit ", "Units ") + strings.Join(units, ", ")
	}
	for _, u := range d.Unmet {
		p.Unmet = append(p.Unmet, strings.TrimSpace(e.Contests[u.Contest].Title.Value.In(""))+": "+u.Why)
	}
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
	d := p.Counted.Deck
	precincts, styles, marks := map[int]bool{}, map[int]bool{}, 0
	for i := range d.Ballots {
		precincts[d.Ballots[i].Precinct], styles[d.Ballots[i].Style] = true, true
		marks += len(d.Ballots[i].Marks)
	}
	p.Words = []string{fmt.Sprintf("%s with %s, for %s and %s.", english.Plural(len(d.Ballots), "ballot", ""),
		english.Plural(marks, "mark", ""), english.Plural(len(precincts), "precinct", ""),
		english.Plural(len(styles), "ballot style", ""))}
	if n := len(p.Counted.Units); n > 0 {
		p.Words = append(p.Words, fmt.Sprintf("Its key is counted for %s.", english.Plural(n, "voting unit", "")))
	} else {
		p.Words = append(p.Words, "Its key is counted for the deck as a whole: no voting unit is sealed.")
	}
	for _, l := range p.Counted.Key.Left {
		p.Unmet = append(p.Unmet, strings.TrimSpace(p.Counted.Entry.Contests[l.Contest].Title.Value.In(""))+
			" is not counted: "+l.Why)
	}
	return nil
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

// ReadResults reads a file of results of a unit.
func ReadResults(row Row, path string) (review.NewResults, error) {
	n := review.NewResults{Deck: row.Deck.Seq, Name: filepath.Base(path)}
	if row.Unit.Unit != "" {
		n.Units = []string{row.Unit.Unit}
	}
	var err error
	n.File, err = files.Read(path, casefile.MaxExport)
	return n, err
}

// Names are names between commas.
func Names(text string) (out []string) {
	for _, name := range strings.Split(text, ",") {
		if name = strings.TrimSpace(name); name != "" {
			out = append(out, name)
		}
	}
	return out
}

// CannotSee says what a deck leaves unseen, the worst first.
func CannotSee(*review.CountedDeck) []string { return nil }
