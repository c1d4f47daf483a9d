package casefile

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// A test deck with its key, its results and what is decided about them are signed by both of the pair;
// the key is of the sealed ballots.
func TestATestDeckIsSignedByBothOfThePair(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	deck, key, counted := []byte("ballot,precinct\n1,1-01\n"), []byte("precinct,count\n1-01,1\n"), []byte("counted")
	made := TestDeck{Name: " All units ", Rules: map[string]string{"open-primary": "first"}}
	require.ErrorContains(t, c.RecordDeck(made, deck, key, "p1", "p2"), "not sealed yet")
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	seal := c.State().Seq
	require.ErrorContains(t, c.RecordDeck(made, deck, key), "nobody signs")
	require.ErrorContains(t, c.RecordDeck(made, deck, key, "p2"), "programmer")
	require.ErrorContains(t, c.RecordDeck(made, deck, key, "p1", "p3"), "second party")
	require.ErrorContains(t, c.RecordDeck(TestDeck{}, deck, key, "p1", "p2"), "name the test deck")
	require.ErrorContains(t, c.RecordDeck(TestDeck{Name: "x", Units: []string{"1", "1"}}, deck, key, "p1", "p2"), "once")
	require.NoError(t, c.RecordDeck(made, deck, key, "p2", "p1"))
	first := c.State().Seq

	results := DeckResults{Deck: first, Units: []string{"004"}, Name: "out/unit-004.csv"}
	bring := func(r DeckResults, by ...PersonID) error { return c.BringDeckResults(r, counted, nil, by...) }
	require.ErrorContains(t, bring(results, "p2"), "programmer")
	require.ErrorContains(t, bring(DeckResults{Deck: seal, Name: "x"}, "p1", "p2"), "no deck was recorded in entry")
	require.ErrorContains(t, bring(DeckResults{Deck: first}, "p1", "p2"), "name of their file")
	require.ErrorContains(t, bring(DeckResults{Deck: first, Name: "x", Typed: true, Mapping: &NamedDigest{Name: "m"}},
		"p1", "p2"), "a mapping reads a file")
	require.NoError(t, bring(results, "p1", "p2"))

	differs := []Decided{{Finding: "x", Message: "m", Words: "[2,3]", Said: DigestOf([]byte("[2,3]"))}}
	for says, d := range map[string]DeckDecision{
		"no deck was recorded":      {Deck: seal, Differences: differs, Outcome: DeckRefer, Reason: "r"},
		"no outcome":                {Deck: first, Differences: differs, Outcome: "as-certified", Reason: "r"},
		"names its differences":     {Deck: first, Outcome: DeckRefer, Reason: "r"},
		"gives its reason":          {Deck: first, Differences: differs, Outcome: DeckRefer},
		"explained by a document":   {Deck: first, Differences: differs, Outcome: DeckExplained, Reason: "r"},
		"said and its digest":       {Deck: first, Differences: []Decided{{Finding: "x"}}, Outcome: DeckRefer, Reason: "r"},
		"signature of second party": {Deck: first, Differences: differs, Outcome: DeckRefer, Reason: "r"},
	} {
		by := []PersonID{"p1", "p2"}
		if says == "signature of second party" {
			says, by = "second party", by[:1]
		}
		require.ErrorContains(t, c.DecideDeck(d, by...), says)
	}
	require.NoError(t, c.DecideDeck(DeckDecision{Deck: first, Differences: differs, Outcome: DeckRepeat, Reason: "r"},
		"p2", "p1"))
	require.NoError(t, c.RecordDeck(TestDeck{Name: "All units"}, deck, []byte("another key"), "p1", "p2"))

	c = reopen(t, c)
	s := c.State()
	require.Len(t, s.Decks, 2)
	require.Equal(t, s.Decks[1].Seq, s.DeckReplacedBy(0), "a later one of the same name takes its place")
	require.Len(t, s.CurrentDecks(), 1)
	require.Equal(t, seal, s.Deck(first).Terms.Seal)
	require.Equal(t, "unit-004.csv", s.DeckResults[0].Terms.Name)
	require.Equal(t, DeckRepeat, s.DeckDecisions[0].Terms.Outcome)
	for _, b := range [][]byte{deck, key, counted} {
		kept, err := c.DeckFile(DigestOf(b))
		require.NoError(t, err)
		require.Equal(t, b, kept)
	}
	_, err := c.DeckFile(DigestOf([]byte("x")))
	require.Error(t, err)
	unlockAll(t, c)
	require.NoError(t, c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Contests: []Row{{Table: Contests,
		Row: 1}}}, "p1", "p2"))
	require.ErrorContains(t, c.RecordDeck(made, deck, key, "p1", "p2"), "an amendment is open")
	require.NoError(t, c.Close())

	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	for what, b := range map[string][]byte{"test deck All units": deck, "answer key of test deck All units": key,
		"results unit-004.csv": counted} {
		r, err := Verify(change(t, path, fmt.Sprintf(`UPDATE blob SET bytes = CAST('x' AS BLOB) WHERE sha256 = x'%s'`,
			DigestOf(b))), Expect{})
		require.NoError(t, err)
		require.Contains(t, r.Words(), what)
	}
}

// A case of layout 1 becomes one of layout 4 with its first test deck.
func TestAnOlderCaseTakesADeckUp(t *testing.T) {
	if testing.Short() {
		t.Skip("opens keys of full strength: long; run without -short")
	}
	path := layout1(t, "signed")
	c, err := Open(path, quick())
	require.NoError(t, err)
	require.NoError(t, c.Unlock("p2", "meridian second party"))
	require.NoError(t, c.Unlock("p1", "hearth programmer"))
	require.NoError(t, c.RecordDeck(TestDeck{Name: "All units"}, []byte("deck"), []byte("key"), "p1", "p2"))
	require.NoError(t, c.Close())
	require.EqualValues(t, 4, versionOf(t, path))
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}
