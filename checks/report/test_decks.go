package report

import (
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// TestDecks are the test decks of the case, and what machines counted of them.
type TestDecks struct {
	// Said are sentences that count what was held against keys, and what was not.
	Said  []string   `json:"said"`
	Decks []DeckPart `json:"decks"`
}

// DeckPart is a test deck. Of one that a later deck took the place of, no units are listed.
type DeckPart struct {
	Entry      int64    `json:"entry"`
	At         string   `json:"at"`
	Name       string   `json:"name"`
	Ballots    int      `json:"ballots"`
	Seal       int64    `json:"seal"`
	Deck       string   `json:"deck_sha256"`
	Key        string   `json:"key_sha256"`
	Rules      []string `json:"rules"`
	Received   bool     `json:"received"`
	ReplacedBy int64    `json:"replaced_by"`
	// Stale says why the key is not that of the second entry any more. NotCounted are contests that have
	// no key, each with the reason.
	Stale      []string   `json:"stale"`
	NotCounted []string   `json:"not_counted"`
	Units      []DeckUnit `json:"units"`
	By         []Who      `json:"by"`
}

// DeckUnit is a voting unit of a deck, empty for the deck as a whole, and its last results.
type DeckUnit struct {
	Unit    string        `json:"unit"`
	Results []DeckCounted `json:"results"`
}

// DeckCounted are results of one unit held against the key.
type DeckCounted struct {
	Entry  int64  `json:"entry"`
	At     string `json:"at"`
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Typed  bool   `json:"typed"`
	// Again says that results of the unit had been held against the key before.
	Again bool `json:"again"`
	// Unread says why they were not held against the key. Held counts numbers of the key
	// that were, InTotals those of them in totals of several precincts alone, NotHeld the others.
	Unread   string   `json:"unread"`
	Held     int      `json:"held"`
	InTotals int      `json:"in_totals"`
	NotHeld  int      `json:"not_held"`
	Notes    []string `json:"notes"`
	// Differences are those of these results, then those of earlier ones that these do not state all counts of.
	Differences []DeckDiffers `json:"differences"`
	By          []Who         `json:"by"`
}

// DeckDiffers is a difference between key and results, with what was decided.
type DeckDiffers struct {
	ID        string         `json:"id"`
	Message   string         `json:"message"`
	Causes    []string       `json:"causes"`
	Status    string         `json:"status"`
	Settled   bool           `json:"settled"`
	Decisions []DeckDecision `json:"decisions"`
}

// DeckDecision is a decision about a difference.
type DeckDecision struct {
	Entry    int64  `json:"entry"`
	At       string `json:"at"`
	Outcome  string `json:"outcome"`
	Reason   string `json:"reason"`
	Document string `json:"document"`
	By       []Who  `json:"by"`
}

// testDecks lists the test decks of the case; nil if there are none.
func (m *maker) testDecks() (*TestDecks, error) {
	decks, err := m.review.TestDecks()
	if err != nil || len(decks) == 0 {
		return nil, err
	}
	out := &TestDecks{Said: []string{}}
	for i := range decks {
		d := &decks[i]
		if d.ReplacedBy == 0 {
			out.Said = append(out.Said, d.Sentence())
		}
		part := DeckPart{Entry: d.Seq, At: d.At, Name: d.Terms.Name, Seal: d.Terms.Seal, Deck: d.Terms.Deck.String(),
			Key: d.Terms.Key.String(), Rules: []string{}, Received: d.Terms.Received, ReplacedBy: d.ReplacedBy,
			Stale: nonNil(d.Stale), NotCounted: nonNil(d.NotCounted()), Units: []DeckUnit{}, By: m.all(d.Signers())}
		if d.Counted != nil {
			part.Ballots = len(d.Counted.Deck.Ballots)
		}
		for _, rule := range slices.Sorted(maps.Keys(d.Terms.Rules)) {
			part.Rules = append(part.Rules, rule+": "+d.Terms.Rules[rule])
		}
		for k := range d.Units {
			part.Units = append(part.Units, m.deckUnit(&d.Units[k]))
		}
		out.Decks = append(out.Decks, part)
	}
	return out, nil
}

func (m *maker) deckUnit(u *review.UnitOfDeck) DeckUnit {
	out := DeckUnit{Unit: u.Unit, Results: []DeckCounted{}}
	r := u.Results
	if r == nil {
		return out
	}
	counted := DeckCounted{Entry: r.Seq, At: r.At, Name: r.Terms.Name, SHA256: r.Terms.SHA256.String(),
		Typed: r.Terms.Typed,
		Again: u.Again, Unread: u.Unread, Held: u.Held, InTotals: u.InTotals, NotHeld: u.NotHeld, Notes: nonNil(u.Notes),
		Differences: []DeckDiffers{},
		By:          m.all(r.Signers())}
	for i := range u.Differences {
		d := &u.Differences[i]
		differs := DeckDiffers{ID: d.ID, Message: d.Message, Causes: nonNil(d.Causes), Status: d.Status(),
			Settled: d.Settled(), Decisions: []DeckDecision{}}
		for _, a := range d.Decisions {
			differs.Decisions = append(differs.Decisions, DeckDecision{a.Seq, a.At, string(a.Terms.Outcome), a.Terms.Reason,
				a.Terms.Document, m.all(a.Signers())})
		}
		counted.Differences = append(counted.Differences, differs)
	}
	out.Results = append(out.Results, counted)
	return out
}

// deckFront composes the front page's row of test decks.
func (c *composer) deckFront() []fact {
	if c.TestDecks == nil {
		return nil
	}
	return []fact{{label: "Test deck", lines: each(c.TestDecks.Said)}}
}

// deckCaution stands with everything that is said of a test deck.
const deckCaution = "A test deck shows what these machines counted of these ballots, as they were marked and fed. It " +
	"takes the place of no logic and accuracy test that law or a board's procedure requires, and it cannot see what no " +
	"ballot of it marks."

// testDecks composes what was held against the keys of test decks.
func (c *composer) testDecks() {
	x := c.TestDecks
	if x == nil {
		return
	}
	c.add(section{"Test deck"}, paragraph{say(strings.Join(x.Said, " ")), body}, paragraph{say(deckCaution), small})
	for _, d := range x.Decks {
		c.testDeck(&d)
	}
}

func (c *composer) testDeck(d *DeckPart) {
	title := fmt.Sprintf("Entry %d: %s", d.Entry, d.Name)
	if d.ReplacedBy != 0 {
		title += fmt.Sprintf(", replaced in entry %d", d.ReplacedBy)
	}
	made := "designed here"
	if d.Received {
		made = "made elsewhere, counted here"
	}
	if d.Ballots > 0 {
		made = english.Plural(d.Ballots, "ballot", "") + ", " + made
	}
	rows := []fact{{label: "Deck", lines: []words{say(made), code(groups(d.Deck))}},
		{label: "Answer key", lines: []words{say(fmt.Sprintf("counted from the seal of entry %d", d.Seal)),
			code(groups(d.Key))}}}
	for _, x := range []fact{{label: "Counting rules", lines: each(d.Rules)}, {label: "Stale", lines: each(d.Stale)},
		{label: "Not counted", lines: each(d.NotCounted)}} {
		if len(x.lines) > 0 {
			rows = append(rows, x)
		}
	}
	c.add(entry{title: title, rows: append(rows, c.act("", "", d.By, d.At)...)})
	if len(d.Units) == 0 {
		return
	}
	t := table{caption: "Results", heads: []string{"Voting unit", "Results", "Held", "In totals alone", "Not stated",
		"Differences"}}
	for _, u := range d.Units {
		t.rows = append(t.rows, deckRow(&u))
	}
	c.add(t)
	for _, u := range d.Units {
		for _, r := range u.Results {
			c.deckResults(&u, &r)
		}
	}
}

func deckRow(u *DeckUnit) []words {
	row := []words{stress(wholeDeck(u.Unit)), say("did not come in"), say("–"), say("–"), say("–"),
		say("–")}
	for _, r := range u.Results {
		how := "entry %d, from a file"
		if r.Typed {
			how = "entry %d, typed"
		}
		row[1] = say(fmt.Sprintf(how, r.Entry))
		if r.Unread == "" {
			row[2], row[3], row[4] = say(count(r.Held)), say(count(r.InTotals)), say(count(r.NotHeld))
		}
		if r.Unread == "" || len(r.Differences) > 0 {
			row[5] = say(differencesInWords(&r))
		}
	}
	return row
}

func wholeDeck(unit string) string {
	if unit == "" {
		return "All units in one file"
	}
	return unit
}

func differencesInWords(r *DeckCounted) string {
	open := 0
	for _, d := range r.Differences {
		if !d.Settled {
			open++
		}
	}
	switch {
	case len(r.Differences) > 0:
		return fmt.Sprintf("%d, %d open", len(r.Differences), open)
	case r.NotHeld > 0:
		return fmt.Sprintf("none in %d of %d", r.Held, r.Held+r.NotHeld)
	}
	return "none"
}

// deckResults composes the results of a unit, with each difference.
func (c *composer) deckResults(u *DeckUnit, r *DeckCounted) {
	came := "a file"
	switch {
	case r.Typed && r.Again:
		came = "typed again on the desk, after results of it had been held against the key: not blind"
	case r.Typed:
		came = "typed on the desk before they were held against the key"
	}
	rows := []fact{{label: "Results", lines: []words{say(r.Name + ", " + came), code(groups(r.SHA256))}}}
	if r.Unread != "" {
		rows = append(rows, fact{label: "Not held", lines: []words{say(r.Unread)}})
	}
	if len(r.Notes) > 0 {
		rows = append(rows, fact{label: "How it was read", lines: each(r.Notes)})
	}
	c.add(entry{title: wholeDeck(u.Unit), rows: append(rows, c.act("", "", r.By, r.At)...)})
	for _, d := range r.Differences {
		rows := []fact{}
		if len(d.Causes) > 0 {
			rows = append(rows, fact{label: "Likely cause", lines: each(d.Causes)})
		}
		for _, a := range d.Decisions {
			rows = append(rows, fact{label: "Decided", lines: []words{stress(review.DeckOutcomeWords(
				casefile.DeckOutcome(a.Outcome)))}})
			rows = append(rows, c.act(a.Document, a.Reason, a.By, a.At)...)
		}
		c.add(entry{title: wholeDeck(u.Unit) + " differs", word: d.Status, message: say(d.Message), rows: rows})
	}
}

// deckParts are the test decks of a case with their keys, and results, as they were recorded.
func deckParts(c *casefile.Case, state *casefile.State, local clock) (parts []part) {
	add := func(name, words string, digest casefile.Digest) {
		parts = append(parts, part{name: "test-deck/" + name, words: words, write: func(w io.Writer) error {
			data, err := c.DeckFile(digest)
			if err != nil {
				return err
			}
			_, err = w.Write(data)
			return err
		}})
	}
	for i, d := range state.Decks {
		words := fmt.Sprintf("the test deck %q, recorded on %s, entry %d", wording.Visible(d.Terms.Name), local.moment(d.At),
			d.Seq)
		if by := state.DeckReplacedBy(i); by != 0 {
			words += fmt.Sprintf("; replaced in entry %d", by)
		}
		add(fmt.Sprintf("deck-%d.csv", i+1), words, d.Terms.Deck)
		add(fmt.Sprintf("key-%d.csv", i+1), "its answer key", d.Terms.Key)
	}
	for i, r := range state.DeckResults {
		how := "as received"
		if r.Terms.Typed {
			how = "as typed from a printout"
		}
		add(fmt.Sprintf("results-%d%s", i+1, resultsEnd(&r.Terms)), fmt.Sprintf("results %q of the deck of entry %d, %s, on "+
			"%s, entry %d", wording.Visible(r.Terms.Name), r.Terms.Deck, how, local.moment(r.At), r.Seq), r.Terms.SHA256)
		if r.Terms.Mapping != nil {
			add(fmt.Sprintf("results-%d-mapping.json", i+1), "the mapping of these results", r.Terms.Mapping.SHA256)
		}
	}
	return parts
}

// resultsEnd is how the name of results ends.
func resultsEnd(r *casefile.DeckResults) string {
	if r.Typed {
		return ".csv"
	}
	switch end := strings.ToLower(filepath.Ext(r.Name)); end {
	case ".xml", ".json", ".csv", ".tsv", ".xlsx":
		return end
	}
	return ".txt"
}
