package main

import (
	"fmt"
	"io"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/results"
)

// deckCountCommand is "cproof deck count".
type deckCountCommand struct {
	deckSource
	Deck string `arg:"" placeholder:"DECK.csv" help:"The deck: a row for each mark on each test ballot (checks/deck/README.md)."`
	deckRules
	ByUnit bool   `help:"Count by voting unit: each is fed the ballots of the precincts in its card header."`
	Format string `enum:"csv,json" default:"csv" placeholder:"csv|json" help:"How to write the key: csv as in key.csv, json for programs."`
	Out    string `placeholder:"KEY.csv" help:"Write the key to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof deck count --help".
func (deckCountCommand) Help() string {
	return `Counts the marks of a test deck by what the second entry states, and writes the answer key: what each
machine must report when it is fed the deck. The configuration under test has no part in it. The deck may be one
that "cproof deck make" designed, or one that a state hands out.

checks/deck/README.md says what counts how. A contest whose way of counting was not keyed is named and left out.

    cproof deck count --second demo/second deck.csv --out key.csv`
}

// Run counts a deck.
func (c *deckCountCommand) Run(s *session) error {
	to, err := c.place(c.Out, c.Second, c.Deck)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "reading the second entry")
	defer shown.finish()
	e, second, err := c.entry()
	if err != nil {
		return err
	}
	shown.now("counting the deck")
	d, in, err := readDeck(c.Deck, e)
	if err != nil {
		return err
	}
	key, err := deck.Count(e, d, c.rules())
	if err != nil {
		return fmt.Errorf("%s: %w", c.Deck, err)
	}
	differ, err := c.notChosen(e, d, key)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Deck, err)
	}
	tallies, notes := key.Tallies, append(key.Words(), differ...)
	if c.ByUnit {
		var lost []string
		if tallies, lost, err = key.ByUnit(e); err != nil {
			return fmt.Errorf("%s: %w", c.Deck, err)
		}
		if len(lost) > 0 {
			notes = append(notes, "No voting unit is fed the ballots of precinct "+english.WordSeries(lost, "and")+
				": they are in no count.")
		}
	}
	rows := deck.Rows(e, tallies)
	left := leftObjects(e, key)
	for _, l := range left {
		notes = append(notes, fmt.Sprintf("NOT COUNTED: %s (%s): %s.", l.Title, l.Contest, l.Why))
	}
	if c.Format == "csv" {
		shown.finish()
		s.beside(append([]string{deckWords(d, rows)}, notes...))
	}
	return s.deliver(to, shown, func(w io.Writer, _ page) error {
		if c.Format == "json" {
			return writeJSON(w, keyObject{Format: keyFormat, Inputs: []input{second, in}, Rules: key.Rules.Named(),
				Ballots: len(d.Ballots), Left: left, Notes: notes, Counts: countObjects(rows), Cautions: cautions})
		}
		return results.WriteKey(w, rows)
	})
}

// deckWords says what was counted.
func deckWords(d *deck.Deck, rows []results.Count) string {
	precincts := map[int]bool{}
	for _, b := range d.Ballots {
		precincts[b.Precinct] = true
	}
	return fmt.Sprintf("%s of %s: %s.", english.Plural(len(d.Ballots), "ballot", ""),
		english.Plural(len(precincts), "precinct", ""), english.Plural(len(rows), "count", ""))
}

// keyFormat is the JSON format of an answer key.
const keyFormat = "counterproof-key/1"

// keyObject is the JSON of an answer key.
type keyObject struct {
	Format  string            `json:"format"`
	Inputs  []input           `json:"inputs"`
	Rules   map[string]string `json:"rules"`
	Ballots int               `json:"ballots"`
	// Left are the contests that are not counted.
	Left     []leftObject  `json:"left"`
	Notes    []string      `json:"notes"`
	Counts   []countObject `json:"counts"`
	Cautions []string      `json:"cautions"`
}

type leftObject struct {
	Contest string `json:"contest"`
	Title   string `json:"title"`
	Why     string `json:"why"`
}

// countObject is a row of key.csv.
type countObject struct {
	Unit     string `json:"unit"`
	Precinct string `json:"precinct"`
	Style    string `json:"style"`
	Party    string `json:"party"`
	Contest  string `json:"contest"`
	Position string `json:"position"`
	Choice   string `json:"choice"`
	Count    int    `json:"count"`
}

func leftObjects(e *model.Election, key *deck.Key) []leftObject {
	out := make([]leftObject, 0, len(key.Left))
	for _, l := range key.Left {
		out = append(out, leftObject{deck.ContestCode(e, l.Contest), e.Contests[l.Contest].Title.Value.In(""), l.Why})
	}
	return out
}

func countObjects(rows []results.Count) []countObject {
	out := make([]countObject, len(rows))
	for i, r := range rows {
		out[i] = countObject{r.Unit, r.Precinct, r.Style, r.Party, r.Contest, r.Position, r.Choice, r.Count}
	}
	return out
}
