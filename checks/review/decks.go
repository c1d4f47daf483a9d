package review

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// DeckEntry is the sealed second entry as test decks are made and counted of it: without the units until
// they are sealed, and each contest with a code of its own. The error wraps ErrBlind before the ballots
// are sealed and while an amendment is open. The result is shared and must not be modified.
func (r *Review) DeckEntry() (*model.Election, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	state := r.of.State()
	if err := unsealed(state); err != nil {
		return nil, err
	}
	e, _, err := r.second(state)
	if err != nil {
		return nil, err
	}
	return ownCodes(e), nil
}

// ownCodes gives contests that two keyers named by the same code a code each.
func ownCodes(e *model.Election) *model.Election {
	seen := map[string]bool{}
	var origins []model.ContestOrigin
	for i := range e.Contests {
		code := e.Origins.Contest(i).ID
		for n := 2; code != "" && seen[code]; n++ {
			code = fmt.Sprintf("%s-%d", e.Origins.Contest(i).ID, n)
		}
		seen[code] = true
		if code != e.Origins.Contest(i).ID {
			if origins == nil {
				origins = slices.Clone(e.Origins.Contests)
			}
			origins[i].ID = code
		}
	}
	if origins == nil {
		return e
	}
	own := *e
	own.Origins.Contests = origins
	return &own
}

// NewDeck is a deck that is to be recorded.
type NewDeck struct {
	Name string
	// Units are the voting units that it is for; none for all.
	Units []string
	Marks []results.Mark
	Rules deck.Rules
	// Received says that somebody else made it.
	Received bool
}

// CountedDeck is a deck with its key, counted from a second entry.
type CountedDeck struct {
	Entry *model.Election
	Deck  *deck.Deck
	// Whole is the key of the deck as a whole. Key has its tallies by unit, where units are known.
	Whole, Key *deck.Key
	Rules      deck.Rules
	// Units are those of the entry that the deck is for, as indexes, in its order. Unfed are the precincts
	// of the deck that none of them is fed the ballots of.
	Units []int
	Unfed []string
}

// Rows are the rows of key.csv.
func (c *CountedDeck) Rows() []results.Count { return c.Key.Rows(c.Entry) }

// CountDeck counts a deck from the sealed second entry.
func (r *Review) CountDeck(d NewDeck) (*CountedDeck, error) {
	e, err := r.DeckEntry()
	if err != nil {
		return nil, err
	}
	return countDeck(e, d)
}

func countDeck(e *model.Election, d NewDeck) (*CountedDeck, error) {
	made, err := deck.Of(e, d.Marks)
	if err != nil {
		return nil, err
	}
	key, err := deck.Count(e, made, d.Rules)
	if err != nil {
		return nil, err
	}
	units, err := UnitsNamed(e, d.Units)
	if err != nil {
		return nil, err
	}
	if len(d.Units) == 0 {
		units = unitsFed(e, made)
	}
	out := &CountedDeck{Entry: e, Deck: made, Whole: key, Key: key, Rules: d.Rules, Units: units}
	if len(units) > 0 {
		out.Key = &deck.Key{Left: key.Left}
		fed := map[int]bool{}
		for _, unit := range units {
			out.Key.Tallies = append(out.Key.Tallies, key.OfUnit(e, unit)...)
			for _, p := range e.Units[unit].Precincts.Value {
				fed[p] = true
			}
		}
		for i := range made.Ballots {
			if p := made.Ballots[i].Precinct; !fed[p] {
				fed[p] = true
				out.Unfed = append(out.Unfed, e.Precincts[p].Name.In(""))
			}
		}
	}
	if len(out.Key.Tallies) == 0 {
		return nil, fmt.Errorf("%w: no contest of this deck is counted for these voting units", ErrUndecidable)
	}
	return out, nil
}

// UnitsNamed are the units of an entry with these names.
func UnitsNamed(e *model.Election, names []string) (units []int, err error) {
	for _, name := range names {
		i := slices.IndexFunc(e.Units, func(u model.Unit) bool { return u.Name == name })
		if i < 0 {
			return nil, fmt.Errorf("%w: no voting unit of the second entry is called %q; name it as it is keyed", ErrUndecidable,
				name)
		}
		units = append(units, i)
	}
	return units, nil
}

// unitsFed are the units whose card headers name a precinct of a deck.
func unitsFed(e *model.Election, d *deck.Deck) (units []int) {
	fed := map[int]bool{}
	for i := range d.Ballots {
		fed[d.Ballots[i].Precinct] = true
	}
	for i := range e.Units {
		if slices.ContainsFunc(e.Units[i].Precincts.Value, func(p int) bool { return fed[p] }) {
			units = append(units, i)
		}
	}
	return units
}

// RecordDeck counts a deck from the sealed second entry and records both, signed by the pair.
func (r *Review) RecordDeck(d NewDeck, signedBy ...casefile.PersonID) error {
	counted, err := r.CountDeck(d)
	if err != nil {
		return err
	}
	var marks, key bytes.Buffer
	if err := results.WriteDeck(&marks, d.Marks); err != nil {
		return err
	}
	if err := results.WriteKey(&key, counted.Rows()); err != nil {
		return err
	}
	return r.of.RecordDeck(casefile.TestDeck{Name: d.Name, Units: d.Units, Rules: d.Rules.Named(), Received: d.Received},
		marks.Bytes(), key.Bytes(), signedBy...)
}

// TestDeck is a deck of the case as it stands.
type TestDeck struct {
	casefile.Act[casefile.TestDeck]
	// ReplacedBy is the entry of the deck that took its place, 0 if none did. Nothing else is said then.
	ReplacedBy int64
	// Counted is the deck as the second entry is now; nil where it cannot be counted.
	Counted *CountedDeck
	// Stale says why the recorded key is not that of the second entry as it is now, each without a full
	// stop; empty where it is.
	Stale []string
	// Units are the voting units of the deck, or the deck as a whole where no unit is known.
	Units []UnitOfDeck
}

// TestDecks says how each deck of the case stands, in the order in which they were recorded. If nothing
// was recorded since the last call, nothing is counted again. The result is shared and must not be
// modified.
func (r *Review) TestDecks() ([]TestDeck, error) {
	r.decks.Lock()
	defer r.decks.Unlock()
	state := r.of.State()
	if len(state.Decks) == 0 {
		return nil, nil
	}
	if r.decks.at == state.Head {
		return r.decks.list, nil
	}
	list, err := r.testDecks(state)
	if err == nil {
		r.decks.at, r.decks.list = state.Head, list
	}
	return list, err
}

func (r *Review) testDecks(state *casefile.State) ([]TestDeck, error) {
	e, blind := r.DeckEntry()
	var out []TestDeck
	for i, a := range state.Decks {
		d := TestDeck{Act: a, ReplacedBy: state.DeckReplacedBy(i)}
		switch {
		case d.ReplacedBy > 0:
		case blind != nil:
			d.Stale = []string{"an amendment is open; what it changes is known when the ballots are sealed again"}
		default:
			if err := r.recount(&d, e, state); err != nil {
				return nil, err
			}
		}
		out = append(out, d)
	}
	return out, nil
}

// recount counts a recorded deck from the second entry as it is now.
func (r *Review) recount(d *TestDeck, e *model.Election, state *casefile.State) error {
	data, err := r.of.DeckFile(d.Terms.Deck)
	if err != nil {
		return err
	}
	stored, err := r.of.DeckFile(d.Terms.Key)
	if err != nil {
		return err
	}
	rules, err := deck.RulesNamed(d.Terms.Rules)
	if err != nil {
		d.Stale = []string{err.Error()}
		return nil
	}
	marks, err := results.ReadDeck("deck.csv", bytes.Clone(data))
	if err == nil {
		d.Counted, err = countDeck(e, NewDeck{Units: d.Terms.Units, Marks: marks, Rules: rules})
	}
	if err != nil {
		d.Stale = []string{"the deck no longer fits the second entry: " + err.Error()}
		return nil
	}
	was, err := results.ReadKey("key.csv", bytes.Clone(stored))
	if err != nil {
		d.Stale = []string{"the recorded key cannot be read: " + err.Error()}
		return nil
	}
	now := d.Counted.Rows()
	if !slices.ContainsFunc(was, func(c results.Count) bool { return c.Unit != "" }) {
		now = d.Counted.Whole.Rows(e) // it was counted before the units were sealed
	}
	if d.Stale = keyChanges(e, was, now); len(d.Stale) > 0 {
		return nil
	}
	return r.units(d, state)
}

// keyChanges says, contest by contest, where the rows of a key are no longer those that were recorded.
func keyChanges(e *model.Election, was, now []results.Count) (words []string) {
	type counted struct{ unit, style, precinct, party, position, choice string }
	byContest := func(rows []results.Count) map[string]map[counted]int {
		out := map[string]map[counted]int{}
		for _, c := range rows {
			if out[c.Contest] == nil {
				out[c.Contest] = map[counted]int{}
			}
			out[c.Contest][counted{c.Unit, c.Style, c.Precinct, c.Party, c.Position, c.Choice}] = c.Count
		}
		return out
	}
	before, after := byContest(was), byContest(now)
	title := map[string]string{}
	for i := range e.Contests {
		title[e.Origins.Contest(i).ID] = KeyedTitle(e, i)
	}
	seen := map[string]bool{}
	for _, rows := range [][]results.Count{now, was} {
		for _, row := range rows {
			code := row.Contest
			if seen[code] {
				continue
			}
			seen[code] = true
			name := title[code]
			if name == "" {
				name = code
			}
			switch b, a := before[code], after[code]; {
			case b == nil:
				words = append(words, name+" is on its ballots now and was not")
			case a == nil:
				words = append(words, name+" was counted and is no longer")
			case !sameCounts(b, a):
				words = append(words, name+" is counted otherwise, or its choices are called otherwise")
			}
		}
	}
	return words
}

// KeyedTitle is what people call a contest of the second entry.
func KeyedTitle(e *model.Election, c int) string {
	of := &e.Contests[c]
	return cmp.Or(strings.TrimSpace(of.Title.Value.In("")+" "+of.Subtitle.Value.In("")), e.Origins.Contest(c).ID)
}

func sameCounts[K comparable](a, b map[K]int) bool {
	if len(a) != len(b) {
		return false
	}
	for k, n := range a {
		if m, ok := b[k]; !ok || m != n {
			return false
		}
	}
	return true
}

// AreaSeparator stands between the precincts of a typed count that is the total of several.
const AreaSeparator = "|"
