package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// deckRecordCommand is "cproof deck record".
type deckRecordCommand struct {
	onCaseToWrite
	Deck     string   `arg:"" placeholder:"DECK.csv" help:"The deck: designed by \"cproof deck make\", or one that exists."`
	Name     string   `required:"" placeholder:"NAME" help:"What the deck is called. A later one of the same name takes its place."`
	Unit     []string `placeholder:"U1,U2" help:"The voting units that it is for; without it, all that are fed a ballot of it."`
	Received bool     `help:"Somebody else made the deck; only its key is counted here."`
	deckRules
	signed
}

// Help is shown by "cproof deck record --help".
func (deckRecordCommand) Help() string {
	return `Counts a deck from the sealed second entry and records both, the deck and its answer key, in the case. Both of
the pair sign. The key is stale, and says so, as soon as a correction or an amendment touches what it counts.

    cproof deck record tarnwick.counterproof deck.csv --name "All units" --signed-by HV,IT`
}

// Run records a deck.
func (c *deckRecordCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		marks, _, err := readMarks(c.Deck)
		if err != nil {
			return err
		}
		made := review.NewDeck{Name: c.Name, Units: c.Unit, Marks: marks, Rules: c.chosen(), Received: c.Received}
		counted, err := r.CountDeck(made)
		if err != nil {
			return inFile(c.Deck, err)
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := r.RecordDeck(made, people...); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Recorded by %s, in entry %d: the deck %q, %s, and its key, %s.",
				namesIn(of.State(), people), of.State().Seq, c.Name, english.Plural(len(counted.Deck.Ballots), "ballot", ""),
				english.Plural(len(counted.Rows()), "count", "")))
			out.newRound(of.State())
		})
	})
}

// deckResultsCommand is "cproof deck results".
type deckResultsCommand struct {
	onCaseToWrite
	File string `arg:"" placeholder:"FILE" help:"What the machine counted: counts (SP 1500-100), cast vote records (SP 1500-103), or a CSV file with the columns of key.csv."`
	Deck string `required:"" placeholder:"NAME" help:"The deck, by its name in the case."`
	Unit string `placeholder:"UNIT" help:"The voting unit that counted; without it, all of them are in this file."`
	signed
}

// Help is shown by "cproof deck results --help".
func (deckResultsCommand) Help() string {
	return `Brings what a machine counted of a recorded deck into the case, byte for byte, and holds it against the deck's
key. Both of the pair sign. Of each unit the last results apply; a difference that earlier ones had stays open until
results that state its counts agree.

    cproof deck results tarnwick.counterproof unit-4.xml --deck "All units" --unit TW-1101 --signed-by HV,IT`
}

// Run brings results in.
func (c *deckResultsCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		entry, err := deckNamed(of.State(), c.Deck)
		if err != nil {
			return err
		}
		data, err := files.Read(c.File, casefile.MaxExport)
		if err != nil {
			return err
		}
		came := review.NewResults{Deck: entry, Unit: c.Unit, Name: filepath.Base(c.File), File: data}
		if err := r.MayBringDeckResults(came); err != nil {
			return err
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := r.BringDeckResults(came, people...); err != nil {
			return err
		}
		_, err = s.sayDecks(r, fmt.Sprintf("Brought in by %s, in entry %d: %s.", namesIn(of.State(), people), of.State().Seq,
			came.Name), entry)
		return err
	})
}

// deckNamed is the entry of the deck of a name that still applies.
func deckNamed(state *casefile.State, name string) (int64, error) {
	var known []string
	for _, d := range state.CurrentDecks() {
		if d.Terms.Name == name {
			return d.Seq, nil
		}
		known = append(known, fmt.Sprintf("%q", d.Terms.Name))
	}
	return 0, fmt.Errorf("no test deck of this case is called %q; there is %s", name,
		orNone(english.WordSeries(known, "and")))
}

// deckShowCommand is "cproof deck show".
type deckShowCommand struct{ onCase }

// Help is shown by "cproof deck show --help".
func (deckShowCommand) Help() string {
	return `Says of each test deck of a case whether its key still applies, which units' results came in, how much was held
against the key and what was not, and each difference with its likely cause and what was decided. Status 1 if
something is open.

    cproof deck show tarnwick.counterproof`
}

// Run says how the decks of a case stand.
func (c *deckShowCommand) Run(s *session) error {
	return reading(c.Case, func(of *casefile.Case) error {
		var entries []int64
		for _, d := range of.State().CurrentDecks() {
			entries = append(entries, d.Seq)
		}
		lead := ""
		if len(entries) == 0 {
			lead = "No test deck is recorded in this case."
		}
		open, err := s.sayDecks(review.New(of), lead, entries...)
		s.found = open
		return err
	})
}

// sayDecks says how decks stand, and whether something is open.
func (s *session) sayDecks(r *review.Review, lead string, entries ...int64) (open bool, err error) {
	decks, err := r.TestDecks()
	if err != nil {
		return false, err
	}
	err = s.say(func(out *sheet) {
		if lead != "" {
			out.paragraph(lead)
		}
		for i := range decks {
			if d := &decks[i]; slices.Contains(entries, d.Seq) {
				out.paragraph(d.Sentence())
				open = open || len(d.Stale) > 0
				for k := range d.Units {
					open = out.deckUnit(&d.Units[k]) || open
				}
			}
		}
	})
	return open, err
}

// deckUnit says what a unit counted, and whether something is open.
func (s *sheet) deckUnit(u *review.UnitOfDeck) (open bool) {
	name := u.Unit
	if name == "" {
		name = "All units in one file"
	}
	switch {
	case u.Results == nil:
		return false
	case u.Unread != "":
		s.hanging("  - ", "", fmt.Sprintf("%s: not held against the key: %s", name, u.Unread))
	case len(u.Differences) == 0 && u.NotHeld > 0:
		s.hanging("  - ", "", fmt.Sprintf("%s: %s", name, u.Agreement()))
	default:
		s.hanging("  - ", "", fmt.Sprintf("%s: %s held, %d not stated, %s", name, english.Plural(u.Held, "count", ""),
			u.NotHeld, english.Plural(len(u.Differences), "difference", "")))
	}
	for _, note := range u.Notes {
		s.hanging("      ", "", note)
	}
	for i := range u.Differences {
		d := &u.Differences[i]
		s.hanging("      ", "", fmt.Sprintf("%s (%s): %s", d.ID, d.Status(), d.Message))
		for _, cause := range d.Causes {
			s.hanging("        likely: ", "", cause)
		}
	}
	return u.Unread != "" || u.Open() > 0
}

// deckDecideCommand is "cproof deck decide".
type deckDecideCommand struct {
	onCaseToWrite
	Difference []string `arg:"" placeholder:"DIFFERENCE" help:"The differences, by their identity (deck show)."`
	Outcome    string   `required:"" enum:"run-again,fix-configuration,fix-machine,explained,refer" placeholder:"OUTCOME" help:"run-again: a ballot was marked or fed otherwise. fix-configuration: the machine counts what it was told, and that is wrong. fix-machine: it reads wrongly. explained: it may count so, and a document says why. refer: the supervisor is to decide. All but explained leave it open until results agree."`
	Reason     string   `required:"" placeholder:"TEXT" help:"Why."`
	Document   string   `placeholder:"TEXT" help:"What says that the machine may count so; explained needs it."`
	signed
}

// Help is shown by "cproof deck decide --help".
func (deckDecideCommand) Help() string {
	return `Records what the pair makes of differences between a deck's key and a machine's results. Both sign; where one
was referred, the supervisor signs too. A decision holds for the numbers that both sides have now.

    cproof deck decide tarnwick.counterproof deck-ecc7d1385707 --outcome fix-configuration \
        --reason "two candidates exchanged" --signed-by HV,IT`
}

// Run records a decision.
func (c *deckDecideCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		decks, err := r.TestDecks()
		if err != nil {
			return err
		}
		verdict := review.DeckVerdict{Differences: c.Difference, Outcome: casefile.DeckOutcome(c.Outcome), Reason: c.Reason,
			Document: c.Document}
		for i := range decks {
			if decks[i].Difference(c.Difference[0]) != nil {
				verdict.Deck = decks[i].Seq
			}
		}
		if verdict.Deck == 0 {
			return fmt.Errorf("%s: no test deck has a difference %s now; \"cproof deck show\" names them", c.Case,
				c.Difference[0])
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := r.DecideDeck(verdict, people...); err != nil {
			return err
		}
		_, err = s.sayDecks(r, fmt.Sprintf("Decided by %s: %s.", namesIn(of.State(), people),
			finding.Capital(review.DeckOutcomeWords(verdict.Outcome))), verdict.Deck)
		return err
	})
}
