package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"

	"counterproof/checks/deck"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/results"
	"counterproof/model/sheets"
)

// deckCommand is "cproof deck".
type deckCommand struct {
	Make    deckMakeCommand    `cmd:"" help:"Design a test deck of few ballots."`
	Lint    deckLintCommand    `cmd:"" help:"Say what a test deck cannot see."`
	Count   deckCountCommand   `cmd:"" help:"Count a test deck: write its answer key."`
	Compare deckCompareCommand `cmd:"" help:"Hold what machines counted against the answer key."`

	Record  deckRecordCommand  `cmd:"" help:"Record a deck with its key in a case; the pair signs."`
	Results deckResultsCommand `cmd:"" help:"Bring what a machine counted of a deck into the case; the pair signs."`
	Show    deckShowCommand    `cmd:"" help:"Say how the decks of a case stand: results, differences, decisions."`
	Decide  deckDecideCommand  `cmd:"" help:"Record what the pair makes of a difference."`
}

// deckSource is the second entry that a test deck is made or counted of.
type deckSource struct {
	Second string `required:"" placeholder:"DIR|CASE" help:"The folder of sheets (CSV) that the second party keyed, or the case that holds them sealed."`
}

// entry reads the second entry: of a case what is sealed, and nothing else.
func (d deckSource) entry() (*model.Election, input, error) {
	if !isCase(d.Second) {
		return readSheets(d.Second)
	}
	var in input
	var e *model.Election
	err := reading(d.Second, func(of *casefile.Case) (err error) {
		in = caseInput(d.Second, of.State())
		e, err = review.New(of).DeckEntry()
		return err
	})
	if err != nil {
		return nil, in, fmt.Errorf("%s: %w", d.Second, err)
	}
	return e, in, nil
}

// readDeck reads a deck of the second entry.
func readDeck(path string, e *model.Election) (*deck.Deck, input, error) {
	marks, in, err := readMarks(path)
	if err != nil {
		return nil, in, err
	}
	d, err := deck.Of(e, marks)
	return d, in, inFile(path, err)
}

// readMarks reads the rows of a deck.
func readMarks(path string) ([]results.Mark, input, error) {
	in := input{Role: roleDeck, Path: path}
	data, err := files.Read(path, sheets.MaxFileSize)
	if err != nil {
		return nil, in, err
	}
	in.SHA256 = casefile.DigestOf(data).String()
	marks, err := results.ReadDeck(filepath.Clean(path), data)
	return marks, in, err
}

// inFile makes an error that is in a file without its folder name the whole path.
func inFile(path string, err error) error {
	if fault, ok := err.(*results.Error); ok {
		placed := *fault
		placed.File = filepath.Clean(path)
		return &placed
	}
	return err
}

// deckRules are the flags of the rules of counting that no ballot states.
type deckRules struct {
	StraightParty string `enum:",unmarked,remaining,single" default:"" placeholder:"RULE" help:"What a straight-party mark fills with the party's candidates: contests not marked at all (unmarked), also votes left in a contest for several (remaining), only contests for one vote (single). By your state's law. Without it as NIST's test elections do (unmarked), saying where the rules differ; a deck on record needs a choice."`
	OpenPrimary   string `enum:",undervotes,each" default:"" placeholder:"RULE" help:"Marks in contests of more than one party, where one ballot holds several parties' contests: they count for nobody, as overvotes, unless this says as undervotes (undervotes), or that each contest is counted by itself (each)."`
}

// chosen are the rules that were chosen. Contests that the rules not chosen count differently are left out.
func (r deckRules) chosen() deck.Rules {
	return deck.Rules{StraightParty: deck.StraightParty(r.StraightParty), OpenPrimary: deck.OpenPrimary(r.OpenPrimary)}
}

// rules are the rules that were chosen, else those of NIST's test elections.
func (r deckRules) rules() deck.Rules {
	rules := r.chosen()
	rules.StraightParty = cmp.Or(rules.StraightParty, deck.FillUnmarked)
	return rules
}

// notChosen are notes on the contests that are counted by a rule that nobody chose, and that other rules
// count differently.
func (r deckRules) notChosen(e *model.Election, d *deck.Deck, key *deck.Key) (notes []string, err error) {
	if r.StraightParty != "" {
		return nil, nil
	}
	strict, err := deck.Count(e, d, r.chosen())
	if err != nil {
		return nil, err
	}
	for _, l := range leftObjects(e, strict) {
		if !slices.Contains(leftObjects(e, key), l) {
			notes = append(notes, fmt.Sprintf("NO RULE CHOSEN: %s (%s) is counted as by --straight-party %s, and the rules "+
				"differ there; choose by your state's law.", l.Title, l.Contest, key.Rules.StraightParty))
		}
	}
	return notes, nil
}
