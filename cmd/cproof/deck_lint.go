package main

import (
	"fmt"
	"io"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
	"counterproof/checks/finding"
	"counterproof/model"
)

// deckLintCommand is "cproof deck lint".
type deckLintCommand struct {
	deckSource
	Deck string `arg:"" placeholder:"DECK.csv" help:"The deck: a row for each mark on each test ballot (checks/deck/README.md)."`
	deckScope
	deckRules
	Format string `enum:"text,json" default:"text" placeholder:"text|json" help:"How to write it: text for reading, json for programs."`
	Out    string `placeholder:"FILE" help:"Write to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof deck lint --help".
func (deckLintCommand) Help() string {
	return `Says what a test deck cannot see, worst first: each exchange of two positions, contests or precincts and each
other vote-for that would leave all totals as they are, and each position without a vote. The deck may be any: one
that a state hands out, or one that "cproof deck make" designed.

    cproof deck lint --second demo/second deck.csv

Exit status: 0 everything shows that a deck can show; 1 something does not; 2 the input cannot be used.`
}

// Run looks for what a deck cannot see.
func (c *deckLintCommand) Run(s *session) error {
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
	d, in, err := readDeck(c.Deck, e)
	if err != nil {
		return err
	}
	shown.now("looking for what the deck cannot see")
	options, err := deck.Options{Rules: c.rules()}.For(e, c.Unit, c.Precinct, c.Style)
	if err != nil {
		return err
	}
	d = d.Part(options)
	found, err := deck.Lint(e, d, options)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Deck, err)
	}
	for _, b := range found {
		s.found = s.found || b.Grade != finding.Note
	}
	inputs := []input{second, in}
	return s.deliver(to, shown, func(w io.Writer, p page) error {
		if c.Format == "json" {
			return writeJSON(w, lintObject{lintFormat, inputs, options.Rules.Named(), len(d.Ballots), blindObjects(e, found),
				cautions})
		}
		out := &sheet{page: p}
		out.lint(e, d, inputs, found)
		_, err := io.WriteString(w, out.text.String())
		return err
	})
}

// lint writes what a deck cannot see.
func (s *sheet) lint(e *model.Election, d *deck.Deck, inputs []input, found []deck.Blind) {
	s.paragraph(lintVerdict(d, found))
	s.line("")
	s.inputs(inputs)
	heads := map[finding.Grade]string{finding.MustFix: "NOTHING SHOWS THIS",
		finding.Confirm: "ONLY SOME COUNTS SHOW THIS", finding.Note: "NO DECK CAN SHOW THIS"}
	for i := range found {
		b := &found[i]
		if i == 0 || b.Grade != found[i-1].Grade {
			s.line("")
			s.rule(heads[b.Grade], colourHeading)
			s.line("")
		}
		text := b.Words(e)
		if names := b.PrecinctNames(e); len(names) > 0 {
			text += fmt.Sprintf(" %s: %s.", english.PluralWord(len(names), "Precinct", "Precincts"),
				finding.PrecinctList(names, len(e.Precincts)))
		}
		s.hanging("  - ", "", text)
	}
	s.cautions()
}

func lintVerdict(d *deck.Deck, found []deck.Blind) string {
	n := map[finding.Grade]int{}
	for _, b := range found {
		n[b.Grade]++
	}
	ballots := english.Plural(len(d.Ballots), "ballot", "")
	if n[finding.MustFix]+n[finding.Confirm] == 0 {
		return fmt.Sprintf("The deck of %s shows every exchange of two positions, contests or precincts, and every other "+
			"vote-for, that a deck can show.", ballots)
	}
	return fmt.Sprintf("The deck of %s has %s: %d that nothing shows, %d that only some counts show.", ballots,
		english.Plural(n[finding.MustFix]+n[finding.Confirm], "blind spot", ""), n[finding.MustFix], n[finding.Confirm])
}

// lintFormat is the JSON format of what a deck cannot see.
const lintFormat = "counterproof-deck-lint/1"

// lintObject is the JSON of "cproof deck lint".
type lintObject struct {
	Format   string            `json:"format"`
	Inputs   []input           `json:"inputs"`
	Rules    map[string]string `json:"rules"`
	Ballots  int               `json:"ballots"`
	Found    []blindObject     `json:"found"`
	Cautions []string          `json:"cautions"`
}

// blindObject is one thing that a deck cannot see.
type blindObject struct {
	Kind      deck.BlindKind `json:"kind"`
	Grade     finding.Grade  `json:"grade"`
	Contests  []string       `json:"contests"`
	Positions []int          `json:"positions"`
	VoteFor   []int          `json:"vote_for"`
	Styles    []string       `json:"styles"`
	Precincts []string       `json:"precincts"`
	Message   string         `json:"message"`
}

func blindObjects(e *model.Election, found []deck.Blind) []blindObject {
	out := make([]blindObject, len(found))
	for i := range found {
		b := &found[i]
		o := blindObject{Kind: b.Kind, Grade: b.Grade, Positions: b.Positions(e), VoteFor: b.VoteFor,
			Precincts: b.PrecinctNames(e), Message: b.Words(e)}
		for _, c := range b.Contests {
			o.Contests = append(o.Contests, deck.ContestCode(e, c))
		}
		for _, s := range b.Styles {
			o.Styles = append(o.Styles, e.Styles[s].Label.Value)
		}
		out[i] = o
	}
	return out
}
