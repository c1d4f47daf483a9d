package main

import (
	"fmt"
	"maps"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// deckWords describes a signed entry about a test deck, empty for another entry.
func (j journalTeller) deckWords(e *casefile.Entry) string {
	switch e.Kind {
	case casefile.KindDeckMade:
		return signedAct(j, e, deckMadeWords)
	case casefile.KindDeckResults:
		return signedAct(j, e, j.deckResultsWords)
	case casefile.KindDeckDecided:
		return signedAct(j, e, j.deckDecidedWords)
	}
	return ""
}

func deckMadeWords(terms casefile.TestDeck) string {
	made := "made"
	if terms.Received {
		made = "brought in"
	}
	words := fmt.Sprintf("the test deck %q was %s for %s, deck.csv sha256 %s, and its key counted from the seal of "+
		"entry %d, key.csv sha256 %s", terms.Name, made, unitsInWords(terms.Units), terms.Deck, terms.Seal, terms.Key)
	for _, rule := range slices.Sorted(maps.Keys(terms.Rules)) {
		words += fmt.Sprintf("; counting rule %s: %s", rule, terms.Rules[rule])
	}
	return words
}

func (j journalTeller) deckResultsWords(terms casefile.DeckResults) string {
	came := "were brought in from"
	if terms.Typed {
		came = "were typed from"
	}
	words := fmt.Sprintf("results of the test deck %q for %s %s %q, %d bytes, sha256 %s", j.deckName(terms.Deck),
		unitsInWords(terms.Units), came, terms.Name, terms.Size, terms.SHA256)
	if terms.Mapping != nil {
		words += fmt.Sprintf(", read through the mapping %q, sha256 %s", terms.Mapping.Name, terms.Mapping.SHA256)
	}
	return words
}

func (j journalTeller) deckDecidedWords(terms casefile.DeckDecision) string {
	words := fmt.Sprintf("of the test deck %q decided %s: %s; %s", j.deckName(terms.Deck), terms.Outcome,
		findingsIn(terms.Differences), terms.Reason)
	if terms.Document != "" {
		words += "; looked at: " + terms.Document
	}
	return words
}

func (j journalTeller) deckName(entry int64) string {
	if d := j.state.Deck(entry); d != nil {
		return d.Terms.Name
	}
	return fmt.Sprintf("entry %d", entry)
}

// unitsInWords names voting units; none are all.
func unitsInWords(units []string) string {
	if len(units) == 0 {
		return "all units"
	}
	return english.PluralWord(len(units), "unit", "units") + " " + english.WordSeries(units, "and")
}
