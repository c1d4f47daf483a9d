package review

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/checks/deck"
	"counterproof/checks/natural"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// units says what machines counted of a deck: all in one file, where such results came in, and unit by
// unit. Where all are in one file, units without results of their own are not listed.
func (r *Review) units(d *TestDeck, state *casefile.State) error {
	whole := len(resultsOf(state, d, "")) > 0
	if whole || len(d.Counted.Units) == 0 {
		if err := r.unit(d, -1, state); err != nil {
			return err
		}
	}
	for _, i := range d.Counted.Units {
		if whole && len(resultsOf(state, d, d.Counted.Entry.Units[i].Name)) == 0 {
			continue
		}
		if err := r.unit(d, i, state); err != nil {
			return err
		}
	}
	return nil
}

// unit says what a unit counted of a deck, -1 for all units in one file.
func (r *Review) unit(d *TestDeck, i int, state *casefile.State) error {
	u := UnitOfDeck{}
	if i >= 0 {
		u.Unit = d.Counted.Entry.Units[i].Name
	}
	all := resultsOf(state, d, u.Unit)
	for n, came := range all {
		next := UnitOfDeck{Unit: u.Unit, Results: came, Again: n > 0}
		held, err := r.hold(d, i, &next, n < len(all)-mostSearched)
		if err != nil {
			return err
		}
		next.carry(&u, held)
		u = next
	}
	for k := range u.Differences {
		u.Differences[k].gone = nil // it holds the whole comparison
	}
	decide(&u, state)
	d.Units = append(d.Units, u)
	return nil
}

// mostSearched is how many results of one unit are searched for causes: the last. What came before is only held
// against the key, so that a case with many results opens in time.
const mostSearched = 8

// resultsOf are the results of a unit of a deck as they came, empty for all units in one file. Those of a deck
// with the same ballots that this one took the place of count too: the ballots were fed, whatever the key.
func resultsOf(state *casefile.State, d *TestDeck, unit string) (list []*casefile.Act[casefile.DeckResults]) {
	for i := range state.DeckResults {
		a := &state.DeckResults[i]
		of := state.Deck(a.Terms.Deck)
		if of.Terms.Name != d.Terms.Name || of.Terms.Deck != d.Terms.Deck || of.Seq > d.Seq {
			continue
		}
		if unit == "" && len(a.Terms.Units) == 0 || slices.Contains(a.Terms.Units, unit) {
			list = append(list, a)
		}
	}
	return list
}

// hold holds results of a unit against the key, -1 for all units in one file. The result is nil where they
// cannot be.
func (r *Review) hold(d *TestDeck, unit int, u *UnitOfDeck, noCauses bool) (*deck.Compared, error) {
	data, err := r.of.DeckFile(u.Results.Terms.SHA256)
	if err != nil {
		return nil, err
	}
	compared, err := r.compareDeck(d.Counted, unit, u.Results.Terms, data, noCauses)
	if err != nil {
		u.Unread = err.Error()
		return nil, nil
	}
	return compared, u.take(d, compared)
}

// compareDeck holds bytes against the key of a unit, -1 for all units in one file.
func (r *Review) compareDeck(c *CountedDeck, unit int, terms casefile.DeckResults, data []byte, noCauses bool) (
	*deck.Compared, error) {
	read, err := readResults(c.Entry, terms, data)
	if err != nil {
		return nil, err
	}
	own, key := c.ofUnit(unit, namesUnits(read))
	return deck.Compare(c.Entry, "key.csv", key, []*results.Results{read},
		deck.CompareOptions{Deck: own, Rules: c.Rules, Export: r.exportOfDecks(), NoCauses: noCauses})
}

// exportOfDecks is the export whose identifiers results may use, nil while there is none.
func (r *Review) exportOfDecks() *model.Election {
	s, err := r.Now()
	if err != nil {
		return nil
	}
	return s.Primary
}

// namesUnits reports whether results say which unit counted.
func namesUnits(r *results.Results) bool {
	return slices.ContainsFunc(r.Tallies, func(t results.Tally) bool { return t.Unit >= 0 }) ||
		slices.ContainsFunc(r.Counts, func(c results.Count) bool { return c.Unit != "" })
}

// ofUnit are the ballots of a deck that a unit is fed, and its key. Without a unit they are all, and the
// key is that of the deck as a whole, unless the results name units.
func (c *CountedDeck) ofUnit(unit int, named bool) (*deck.Deck, []results.Count) {
	switch {
	case unit < 0 && named:
		return c.Deck, c.Rows()
	case unit < 0:
		return c.Deck, c.Whole.Rows(c.Entry)
	}
	fed := &deck.Deck{}
	for _, b := range c.Deck.Ballots {
		if _, in := slices.BinarySearch(c.Entry.Units[unit].Precincts.Value, b.Precinct); in {
			fed.Ballots = append(fed.Ballots, b)
		}
	}
	return fed, deck.Rows(c.Entry, c.Whole.OfUnit(c.Entry, unit))
}

// saidOfDeck is what a decision about a difference binds to.
type saidOfDeck struct {
	Contest string `json:"contest"`
	Place   string `json:"place"`
	Counted string `json:"counted"`
	Key     int    `json:"key"`
	Results int    `json:"results"`
}

// take takes over what was found.
func (u *UnitOfDeck) take(d *TestDeck, found *deck.Compared) error {
	e := d.Counted.Entry
	u.Held, u.InTotals, u.NotHeld = found.Held+found.InTotals, found.InTotals, found.NotStated
	for _, f := range found.Files {
		u.Format = f.Format
		u.Notes = append(u.Notes, f.Notes...)
	}
	for _, c := range found.Silent {
		u.Notes = append(u.Notes, fmt.Sprintf("The results state nothing of %s.", KeyedTitle(e, c)))
	}
	if found.CutShort {
		u.Notes = append(u.Notes, "There were too many differences to try every cause on each.")
	}
	wasTyped := u.Results.Terms.Typed
	// A printout is typed where the key asks for a number: it cannot say that the machine counts nothing else.
	var last *deck.Compared // that all of this was asked of
	all := false
	asFull := func(later *deck.Compared, typed bool) bool {
		if later != last {
			last, all = later, later.HoldsAllOf(found)
		}
		return all && (wasTyped || !typed)
	}
	for i := range found.Differences {
		of := &found.Differences[i]
		said := make([]saidOfDeck, len(of.Cells))
		for k := range of.Cells {
			said[k] = cellSaid(e, &of.Cells[k])
		}
		x := DeckDifference{Message: cellsInWords(said)}
		if len(of.Cells) == 0 {
			said = append(said, saidOfDeck{Counted: "records of " + numbers(of.Ballots)})
			x.Message = "The totals agree, and the machine's records of single ballots do not: " + numbers(of.Ballots) + "."
		}
		for _, cause := range of.Causes {
			x.Causes = append(x.Causes, cause.Text)
		}
		if of.More {
			x.Causes = append(x.Causes, "More causes would give these numbers too.")
		}
		x.gone = func(later *deck.Compared, typed bool) bool {
			return later.Holds(of, asFull(later, typed)) || len(of.Cells) == 0 && later.HoldsRecordsOf(found)
		}
		if err := u.add(d, x, said); err != nil {
			return err
		}
	}
	for i := range found.Stray {
		s := &found.Stray[i]
		if s.Votes+s.Others == 0 {
			u.Notes = append(u.Notes, "The results name what the key does not, and count nothing there: "+s.What+".")
			continue
		}
		x := DeckDifference{Message: "The machine counted what the key does not have: " + s.Words() + "."}
		x.gone = asFull
		if err := u.add(d, x, []saidOfDeck{{Counted: s.What, Results: s.Votes + s.Others}}); err != nil {
			return err
		}
	}
	return u.takeBallots(d, found)
}

// takeBallots takes over how cast vote records were compared one by one: those that differ, and that no
// difference of the totals names, are a difference.
func (u *UnitOfDeck) takeBallots(d *TestDeck, found *deck.Compared) error {
	b := found.Ballots
	if b == nil {
		return nil
	}
	if b.Note != "" {
		u.Notes = append(u.Notes, b.Note)
		return nil
	}
	u.Notes = append(u.Notes, fmt.Sprintf("%d of %s recorded exactly as the deck gives.", b.Same,
		english.Plural(b.Ballots, "ballot is", "ballots are")))
	if words := b.LeftOutWords(); words != "" {
		u.Notes = append(u.Notes, words)
	}
	if b.Apart == 0 {
		return nil
	}
	var words []string
	for i := range b.Differ {
		if i == mostCells {
			words = append(words, fmt.Sprintf("And %d more.", len(b.Differ)-i))
			break
		}
		words = append(words, b.Differ[i].Words(d.Counted.Entry))
	}
	x := DeckDifference{Message: strings.Join(words, " "),
		gone: func(later *deck.Compared, _ bool) bool { return later.HoldsRecordsOf(found) }}
	return u.add(d, x, []saidOfDeck{{Counted: "records", Key: b.Ballots, Results: b.Same},
		{Counted: strings.Join(words, " ")}})
}

// add gives a difference its identity, which holds whatever the numbers are, and what it says.
func (u *UnitOfDeck) add(d *TestDeck, x DeckDifference, said []saidOfDeck) error {
	bare := slices.Clone(said)
	for i := range bare {
		bare[i].Key, bare[i].Results = 0, 0
	}
	identity, err := canonicalJSON(struct {
		Deck, Unit string
		Cells      []saidOfDeck
	}{d.Terms.Deck.String(), u.Unit, bare})
	if err != nil {
		return err
	}
	words, err := canonicalJSON(said)
	if err != nil {
		return err
	}
	x.ID = "deck-" + casefile.DigestOf(identity).String()[:12]
	x.Words, x.Said = string(words), casefile.DigestOf(words)
	u.Differences = append(u.Differences, x)
	return nil
}

func canonicalJSON(v any) ([]byte, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	value := jsontext.Value(b)
	err = value.Canonicalize()
	return value, err
}

// cellSaid is what both sides say of a count.
func cellSaid(e *model.Election, c *deck.Cell) saidOfDeck {
	return saidOfDeck{Contest: KeyedTitle(e, c.Contest), Place: c.Place(e), Counted: c.What(e), Key: c.Key,
		Results: c.Results}
}

// mostCells is how many counts of one difference are named.
const mostCells = 8

// cellsInWords says which counts differ, those of one contest in one place together.
func cellsInWords(said []saidOfDeck) string {
	var b strings.Builder
	for i, s := range said {
		if i == mostCells {
			fmt.Fprintf(&b, "; and %d more", len(said)-i)
			break
		}
		switch {
		case i == 0 || s.Contest != said[i-1].Contest || s.Place != said[i-1].Place:
			if i > 0 {
				b.WriteString("; ")
			}
			b.WriteString(s.Contest)
			if s.Place != "" {
				b.WriteString(", " + s.Place)
			}
			b.WriteString(": ")
		default:
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%s %d by the key and %d by the machine", s.Counted, s.Key, s.Results)
	}
	return b.String() + "."
}

func numbers(list []int) string {
	words := make([]string, len(list))
	for i, n := range list {
		words[i] = fmt.Sprint(n)
	}
	return english.PluralWord(len(list), "ballot ", "ballots ") + strings.Join(natural.Ranges(words), ", ")
}

// decide gives differences their decisions: those on what both sides say now.
func decide(u *UnitOfDeck, state *casefile.State) {
	for i := range u.Differences {
		d := &u.Differences[i]
		for _, a := range state.DeckDecisions {
			if slices.ContainsFunc(a.Terms.Differences, func(of casefile.Decided) bool {
				return of.Finding == d.ID && of.Said == d.Said
			}) {
				d.Decisions = append(d.Decisions, a)
			}
		}
	}
}
