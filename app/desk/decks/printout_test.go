package decks

import (
	"fmt"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/deck"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// demoCase is the demo, keyed and with its people unlocked.
func demoCase(t *testing.T) *casefile.Case {
	t.Helper()
	path := filepath.Join(t.TempDir(), demo.CaseName)
	require.NoError(t, demo.WriteCase(path))
	c, err := casefile.Open(path, casefile.Options{WorkFactor: 1})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for i, p := range demo.People {
		require.NoError(t, c.Unlock(casefile.PersonID(fmt.Sprintf("p%d", i+1)), p.Passphrase))
	}
	return c
}

func sealedDemo(t *testing.T) *review.Review {
	t.Helper()
	c := demoCase(t)
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal("p2", casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	return review.New(c)
}

// recorded is the demo with a deck for a unit, recorded.
func recorded(t *testing.T) (*review.Review, review.TestDeck) {
	t.Helper()
	r := sealedDemo(t)
	p, err := Design(r, []string{"TW-1101"}, deck.Rules{})
	require.NoError(t, err)
	require.NoError(t, p.Record(r, []casefile.PersonID{casefile.PersonID("p1"), casefile.PersonID("p2")}))
	list, err := r.TestDecks()
	require.NoError(t, err)
	require.Len(t, list, 1)
	return r, list[0]
}

// A printout asks for each choice in ballot order, all write-ins of a contest at once, then over- and
// undervotes; it takes digits alone, and knows nothing of the key.
func TestAPrintoutAsksInBallotOrder(t *testing.T) {
	_, d := recorded(t)
	unit := d.Counted.Units[0]
	p := NewPrintout(d.Counted, unit, false)
	first := d.Counted.Entry.Contests[d.Counted.Entry.Styles[0].Content[0].Contest]
	require.Equal(t, first.Title.Value.In(""), p.Parts[0].Title)
	var labels []string
	for _, c := range p.Parts[0].Counts {
		require.Empty(t, c.Text, "blind")
		labels = append(labels, c.Label)
	}
	want := []string{}
	for _, c := range first.Choices {
		if !c.WriteIn {
			want = append(want, c.Name.Value.In(""))
		}
	}
	require.Equal(t, append(want, "Write-in", "Overvotes", "Undervotes"), labels)

	for _, wrong := range []string{"-1", "1.5", "1,000", "9999999999", "x", "１"} {
		require.NotEmpty(t, p.Set(0, 0, wrong), wrong)
		require.Empty(t, p.Parts[0].Counts[0].Text, wrong)
	}
	require.Empty(t, p.Set(0, 0, " 12 "))
	require.Empty(t, p.Set(0, 1, "0"))
	typed, all := p.Counts()
	require.Equal(t, 2, typed, "0 is typed, empty is not")
	require.Greater(t, all, 20)
	rows := p.Rows()
	require.Len(t, rows, 2)
	require.Equal(t, []int{12, 0}, []int{rows[0].Count, rows[1].Count})
	require.Empty(t, p.Set(0, 0, ""))
	require.Len(t, p.Rows(), 1)

	single := NewPrintout(d.Counted, unit, true)
	require.Len(t, single.Parts, len(p.Parts)*len(d.Counted.Entry.Units[unit].Precincts.Value))
}

// typedAsKey types what the key has.
func typedAsKey(d review.TestDeck, p *Printout) {
	sum := map[[2]string]int{}
	for _, row := range d.Counted.Rows() {
		position := row.Position
		if n, err := strconv.Atoi(position); err == nil {
			for c, origin := range d.Counted.Entry.Origins.Contests {
				if origin.ID != row.Contest || !d.Counted.Entry.Contests[c].Choices[n-1].WriteIn {
					continue
				}
				for i, choice := range d.Counted.Entry.Contests[c].Choices { // all write-ins stand at the first
					if choice.WriteIn {
						position = strconv.Itoa(i + 1)
						break
					}
				}
			}
		}
		sum[[2]string{row.Contest, position}] += row.Count
	}
	for i := range p.Parts {
		for k, c := range p.Parts[i].Counts {
			p.Set(i, k, strconv.Itoa(sum[[2]string{c.row.Contest, c.row.Position}]))
		}
	}
}

// writeIns is where a printout counts several write-in positions together.
func writeIns(t *testing.T, p *Printout) (part, at int) {
	t.Helper()
	for i := range p.Parts {
		for k, c := range p.Parts[i].Counts {
			if c.Label == review.WriteInsName {
				require.NotEqual(t, "0", c.Text)
				return i, k
			}
		}
	}
	t.Fatal("no contest has several write-in positions")
	return 0, 0
}

// What is typed as the key has it agrees; two choices exchanged on the printout are one difference, with
// that cause; a decision leaves it open until results agree, unless a document explains it.
func TestATypedPrintoutIsHeldAgainstTheKey(t *testing.T) {
	r, d := recorded(t)
	pair := []casefile.PersonID{casefile.PersonID("p1"), casefile.PersonID("p2")}
	p := NewPrintout(d.Counted, d.Counted.Units[0], false)
	bring := func() *review.UnitOfDeck {
		t.Helper()
		require.NoError(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: p.Unit, Name: "printout",
			Typed: p.Rows()}, pair...))
		list, err := r.TestDecks()
		require.NoError(t, err)
		require.Len(t, list[0].Units, 1)
		return &list[0].Units[0]
	}
	typedAsKey(d, p)
	u := bring()
	require.Empty(t, u.Unread)
	require.Empty(t, u.Differences)
	require.False(t, u.Again, "typed blind")
	typed, _ := p.Counts()
	require.GreaterOrEqual(t, u.Held, typed)
	state, words := (Row{&d, u}).State()
	require.Equal(t, InPart, state, "no printout states the over-voted ballots")
	require.Equal(t, fmt.Sprintf("%d of %d counts agree with the key; the others were not held", u.Held,
		u.Held+u.NotHeld), words)
	state, words = (Row{Deck: &review.TestDeck{Units: []review.UnitOfDeck{*u}}}).State()
	require.Equal(t, InPart, state, words)
	u.NotHeld = 0
	state, words = (Row{&d, u}).State()
	require.Equal(t, Agrees, state, words)

	part, at := writeIns(t, p)
	was := p.Parts[part].Counts[at].Text
	p.Set(part, at, was+"0")
	u = bring()
	require.True(t, u.Again, "typed when results had been held against the key")
	require.Len(t, u.Differences, 1, "the write-in positions of a contest together")
	require.Contains(t, u.Differences[0].Message, p.Parts[part].Title)
	p.Set(part, at, was)

	a, b := p.Parts[1].Counts[0].Text, p.Parts[1].Counts[1].Text
	require.NotEqual(t, a, b, "a designed deck tells any two choices apart")
	p.Set(1, 0, b)
	p.Set(1, 1, a)
	u = bring()
	require.Len(t, u.Differences, 1)
	x := u.Differences[0]
	require.Contains(t, x.Message, p.Parts[1].Title)
	require.NotEmpty(t, x.Causes)
	require.Contains(t, x.Causes[0], "exchanged")
	state, words = (Row{&d, u}).State()
	require.Equal(t, Differs, state, words)

	decide := func(o casefile.DeckOutcome, by ...casefile.PersonID) *review.UnitOfDeck {
		t.Helper()
		require.NoError(t, r.DecideDeck(review.DeckVerdict{Deck: d.Seq, Differences: []string{x.ID}, Outcome: o,
			Reason: "seen", Document: "Order 12"}, by...))
		list, err := r.TestDecks()
		require.NoError(t, err)
		return &list[0].Units[0]
	}
	require.Equal(t, 1, decide(casefile.DeckFixConfiguration, pair...).Open())
	require.Equal(t, 1, decide(casefile.DeckRefer, pair...).Open())
	require.ErrorContains(t, r.DecideDeck(review.DeckVerdict{Deck: d.Seq, Differences: []string{x.ID},
		Outcome: casefile.DeckExplained, Reason: "r", Document: "d"}, pair...), "referred to the supervisor")
	require.Equal(t, 0, decide(casefile.DeckExplained, append(pair, casefile.PersonID("p3"))...).Open())
	require.Equal(t, 1, func() int { p.Set(1, 0, "77"); return bring().Open() }(), "of other numbers nothing is decided")

	require.Error(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: p.Unit, Name: "x",
		Typed: []results.Count{{Unit: p.Unit, Precinct: "1-01", Contest: "nothing", Position: "1"}}}, pair...))
}

// A number that was typed wrong, and is left empty when the printout is typed again, stays a difference until it is
// typed and agrees.
func TestANumberLeftEmptyKeepsItsDifference(t *testing.T) {
	r, d := recorded(t)
	bring := func(p *Printout) (State, string) {
		t.Helper()
		require.NoError(t, r.BringDeckResults(review.NewResults{Deck: d.Seq, Unit: p.Unit, Name: "printout",
			Typed: p.Rows()}, casefile.PersonID("p1"), casefile.PersonID("p2")))
		list, err := r.TestDecks()
		require.NoError(t, err)
		return (Row{&list[0], &list[0].Units[0]}).State()
	}
	p := NewPrintout(d.Counted, d.Counted.Units[0], false)
	typedAsKey(d, p)
	right := p.Parts[0].Counts[0].Text
	for range 2 {
		for _, text := range []string{right + "1", "", right + "1"} {
			p.Set(0, 0, text)
			state, words := bring(p)
			require.Equal(t, Differs, state, text)
			require.Equal(t, "1 difference is open", words, text)
		}
		p.Set(0, 0, right)
		state, words := bring(p)
		require.Equal(t, InPart, state, words)
	}
}

// A voting unit is named exactly, without regard of case, or by its number; a name that means several is none.
func TestUnitsAreNamedAsPeopleTypeThem(t *testing.T) {
	e := &model.Election{}
	for _, name := range []string{"TW-1101", "TW-1102", "EV-1102", "tw-7", "TW-7", "9"} {
		e.Units = append(e.Units, model.Unit{Name: name})
	}
	for typed, want := range map[string]string{"TW-1101": "TW-1101", "tw-1101": "TW-1101", "1101": "TW-1101",
		"TW-7": "TW-7", "tw-7": "tw-7", "9": "9", "ev-1102": "EV-1102"} {
		name, err := unitNamed(e, typed)
		require.NoError(t, err, typed)
		require.Equal(t, want, name, typed)
	}
	for typed, says := range map[string]string{"1102": "may be TW-1102 or EV-1102", "Tw-7": "may be",
		"101": "no voting unit", "TW": "no voting unit", "W-1101": "no voting unit"} {
		_, err := unitNamed(e, typed)
		require.ErrorContains(t, err, says, typed)
	}
}

// Until the ballots are sealed the place is locked, and says what comes first.
func TestATestDeckComesAfterTheSeal(t *testing.T) {
	c := demoCase(t)
	ok, why := May(c.State())
	require.False(t, ok)
	require.Contains(t, why, "seal them in Re-key")
	ok, _ = May(sealedDemo(t).Case().State())
	require.True(t, ok)
}
