package review

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// NewResults is what a machine counted of a recorded deck, to be brought in.
type NewResults struct {
	// Deck is the entry of the deck.
	Deck int64
	// Unit is the voting unit that counted, empty for all of them in one file.
	Unit string
	// Name is that of the file or of the printout. File is the file as received; it is nil where Typed
	// has the numbers of a printout.
	Name  string
	File  []byte
	Typed []results.Count
}

// bytes are what the case keeps of results.
func (n *NewResults) bytes() ([]byte, error) {
	if n.File != nil {
		return n.File, nil
	}
	var b bytes.Buffer
	err := results.WriteKey(&b, n.Typed)
	return b.Bytes(), err
}

// terms are what the pair signs of results.
func (n *NewResults) terms() casefile.DeckResults {
	terms := casefile.DeckResults{Deck: n.Deck, Typed: n.File == nil, Name: n.Name}
	if n.Unit != "" {
		terms.Units = []string{n.Unit}
	}
	return terms
}

// BringDeckResults records what a machine counted of a deck, signed by the pair. Results that cannot be
// read, or name what the second entry does not have, are refused with the reader's error, and so is a file
// that has no count of the deck's key.
func (r *Review) BringDeckResults(n NewResults, signedBy ...casefile.PersonID) error {
	data, err := n.bytes()
	if err == nil {
		err = r.MayBringDeckResults(n)
	}
	if err != nil {
		return err
	}
	return r.of.BringDeckResults(n.terms(), data, nil, signedBy...)
}

// MayBringDeckResults returns why results cannot come in, nil if they can. It says nothing of what the key has.
func (r *Review) MayBringDeckResults(n NewResults) error {
	data, err := n.bytes()
	if err != nil {
		return err
	}
	e, err := r.DeckEntry()
	if err != nil {
		return err
	}
	if n.Unit != "" {
		if _, err := UnitsNamed(e, []string{n.Unit}); err != nil {
			return err
		}
	}
	if n.File == nil {
		_, err = readResults(e, n.terms(), data)
		return err
	}
	return r.mayHold(&n, e)
}

// mayHold returns why a file cannot be held against the key of its deck, nil if it can. Against a key that is
// stale nothing is held: then it only has to be read.
func (r *Review) mayHold(n *NewResults, e *model.Election) error {
	decks, err := r.TestDecks()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(decks, func(d TestDeck) bool { return d.Seq == n.Deck })
	if i < 0 || decks[i].ReplacedBy > 0 || len(decks[i].Stale) > 0 {
		_, err := readResults(e, n.terms(), n.File)
		return err
	}
	c, unit := decks[i].Counted, -1
	if n.Unit != "" {
		units, err := UnitsNamed(c.Entry, []string{n.Unit})
		if err != nil {
			return err
		}
		if unit = units[0]; !slices.Contains(c.Units, unit) {
			return fmt.Errorf("%w: the test deck “%s” is not for the voting unit %q; name the deck that it was fed",
				ErrUndecidable, decks[i].Terms.Name, n.Unit)
		}
	}
	_, err = r.compareDeck(c, unit, n.terms(), n.File, true)
	return err
}

// readResults reads results of the case.
func readResults(e *model.Election, terms casefile.DeckResults, data []byte) (*results.Results, error) {
	if !terms.Typed {
		return results.Read(results.Bytes(terms.Name, data))
	}
	rows, err := results.ReadKey(terms.Name, bytes.Clone(data))
	if err != nil {
		return nil, err
	}
	return typedResults(e, terms.Name, rows)
}

// typedResults are the numbers of a printout, in terms of the second entry with one write-in position in
// each contest: a printout counts them together.
func typedResults(e *model.Election, name string, rows []results.Count) (*results.Results, error) {
	own := *e
	own.Contests, own.Origins.Contests = slices.Clone(e.Contests), slices.Clone(e.Origins.Contests)
	codes, kept := map[string]int{}, make([][]int, len(e.Contests))
	for c := range e.Contests {
		codes[e.Origins.Contest(c).ID] = c
		kept[c] = oneWriteIn(&own, c)
	}
	out := &results.Results{Name: name, Format: "typed from a printout", Election: &own}
	type area struct {
		contest         int
		unit, precincts string
	}
	at := map[area]int{}
	for _, row := range rows {
		wrong := func(format string, values ...any) error {
			return fmt.Errorf("%s, line %d: %s", name, row.Line, fmt.Sprintf(format, values...))
		}
		c, known := codes[row.Contest]
		if !known {
			return nil, wrong("no contest of the second entry has the code %q", row.Contest)
		}
		key := area{c, row.Unit, row.Precinct}
		i, known := at[key]
		if !known {
			t, err := emptyTally(&own, c, row)
			if err != nil {
				return nil, wrong("%v", err)
			}
			i = len(out.Tallies)
			at[key] = i
			out.Tallies = append(out.Tallies, t)
		}
		t := &out.Tallies[i]
		if setOther(t, row) {
			continue
		}
		choice, ok := choiceAt(e, t, row.Position)
		k := slices.Index(kept[c], choice)
		switch {
		case !ok || k < 0:
			return nil, wrong("nothing of %s is counted at position %q", row.Contest, row.Position)
		case typedName(e, c, choice) != row.Choice:
			return nil, wrong("%q was typed where the second entry has %q now; type the printout again", row.Choice,
				typedName(e, c, choice))
		}
		t.Votes[k] = model.Say(row.Count)
	}
	return out, nil
}

// oneWriteIn leaves a contest the first of its write-in positions, and returns which choices it has now.
func oneWriteIn(e *model.Election, c int) (kept []int) {
	var choices []model.Choice
	var origins []model.ChoiceOrigin
	writeIns := 0
	for i, choice := range e.Contests[c].Choices {
		if choice.WriteIn {
			if writeIns++; writeIns > 1 {
				continue
			}
		}
		kept, choices, origins = append(kept, i), append(choices, choice), append(origins, e.Origins.Choice(c, i))
	}
	e.Contests[c].Choices, e.Origins.Contests[c].Choices = choices, origins
	return kept
}

// typedName is what a choice is called where a printout is typed.
func typedName(e *model.Election, c, choice int) string {
	switch of := &e.Contests[c].Choices[choice]; {
	case of.WriteIn && severalWriteIns(&e.Contests[c]):
		return WriteInsName
	case of.WriteIn:
		return WriteInName
	default:
		return of.Name.Value.In("")
	}
}

// What write-ins are called where a printout is typed: one position, or several counted together.
const (
	WriteInName  = "Write-in"
	WriteInsName = "Write-ins"
)

func severalWriteIns(c *model.Contest) bool {
	n := 0
	for _, choice := range c.Choices {
		if choice.WriteIn {
			n++
		}
	}
	return n > 1
}

// emptyTally is a tally of the unit and the precincts that a row names, in which nothing is stated.
func emptyTally(e *model.Election, c int, row results.Count) (results.Tally, error) {
	t := results.Tally{Unit: -1, Contest: c, Votes: make([]model.Stated[int], len(e.Contests[c].Choices)), Line: row.Line}
	if row.Unit != "" {
		units, err := UnitsNamed(e, []string{row.Unit})
		if err != nil {
			return t, err
		}
		t.Unit = units[0]
	}
	for _, name := range strings.Split(row.Precinct, AreaSeparator) {
		i := slices.IndexFunc(e.Precincts, func(p model.Precinct) bool { return p.Name.In("") == name })
		if i < 0 {
			return t, fmt.Errorf("no precinct of the second entry is called %q", name)
		}
		t.Precincts = append(t.Precincts, i)
	}
	slices.Sort(t.Precincts)
	return t, nil
}

// setOther states a count besides votes, and reports whether the row is one.
func setOther(t *results.Tally, row results.Count) bool {
	switch row.Position {
	case results.Ballots:
		t.Ballots = model.Say(row.Count)
	case results.Overvotes:
		t.Overvotes = model.Say(row.Count)
	case results.Undervotes:
		t.Undervotes = model.Say(row.Count)
	default:
		return false
	}
	return true
}

// choiceAt is the choice of a tally's contest at a position as key.csv writes it.
func choiceAt(e *model.Election, t *results.Tally, position string) (int, bool) {
	if len(e.Styles) == 0 {
		return -1, false
	}
	tally := deck.Tally{Unit: -1, Precinct: t.Precincts[0], Contest: t.Contest,
		Votes: make([]int, len(e.Contests[t.Contest].Choices))}
	rows := deck.Rows(e, []deck.Tally{tally})
	i := slices.IndexFunc(rows[len(rows)-len(tally.Votes):], func(c results.Count) bool { return c.Position == position })
	return i, i >= 0
}
