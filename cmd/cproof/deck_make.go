package main

import (
	"io"

	"counterproof/checks/deck"
	"counterproof/model/results"
)

// deckScope are the flags that say for what a deck is meant.
type deckScope struct {
	Unit     string `placeholder:"UNIT" help:"Only for the precincts in this voting unit's card header."`
	Precinct string `placeholder:"PRECINCT" help:"Only for this precinct."`
	Style    string `placeholder:"STYLE" help:"Only for this ballot style."`
}

// deckMakeCommand is "cproof deck make".
type deckMakeCommand struct {
	deckSource
	deckScope
	deckRules
	EachUnit bool   `help:"Make each voting unit's part a whole deck by itself: for machines that are fed the ballots of their own precincts alone."`
	Seed     uint64 `placeholder:"N" help:"Another deck that does the same. The same number gives the same deck."`
	Out      string `placeholder:"DECK.csv" help:"Write the deck to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof deck make --help".
func (deckMakeCommand) Help() string {
	return `Designs a test deck of few ballots from what the second entry says, for all precincts or for a voting unit, a
precinct or a style. In each contest of each style every position is marked and has a total of its own, so that no
exchange, shift or rotation of positions goes unseen; each contest has an over-vote, an under-vote and its write-ins
marked; each style has a blank ballot and one that is marked in full; no two precincts count the same.

It says how many ballots that takes, how few any deck could do with, and what no deck can do. Which rules bind your
office, your state's law says: this takes their place nowhere.

    cproof deck make --second demo/second --out deck.csv
    cproof deck lint --second demo/second deck.csv
    cproof deck count --second demo/second deck.csv --out key.csv`
}

// Run designs a deck.
func (c *deckMakeCommand) Run(s *session) error {
	to, err := c.place(c.Out, c.Second)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "reading the second entry")
	defer shown.finish()
	e, _, err := c.entry()
	if err != nil {
		return err
	}
	shown.now("designing the deck")
	options, err := deck.Options{EachUnit: c.EachUnit, Seed: c.Seed, Rules: c.rules()}.For(e, c.Unit, c.Precinct, c.Style)
	if err != nil {
		return err
	}
	design, err := deck.Make(e, options)
	if err != nil {
		return err
	}
	shown.finish()
	s.beside(design.Words(e))
	return s.deliver(to, shown, func(w io.Writer, _ page) error {
		return results.WriteDeck(w, design.Deck.Rows(e))
	})
}
