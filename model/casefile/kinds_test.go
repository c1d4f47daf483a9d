package casefile

import (
	"crypto/ed25519"
	"encoding/json"
	"slices"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/require"

	"counterproof/model/cards"
)

// TestNoSignatureStandsForAnotherKind takes every signature of a case that has all kinds
// of signed messages, and tries each in the place of each other: over its bytes, with its
// message, and with its act. None holds but in its own place.
func TestNoSignatureStandsForAnotherKind(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	require.NoError(t, c.Countersign("p1"))
	_, err := c.Receive("p1", "county.xml", []byte("<ElectionReport/>"))
	require.NoError(t, err)
	require.NoError(t, c.Correct("list", "slip", []Change{Set(Choices, 2, "name", "Tobias Quillon")}, "p1", "p2"))
	require.NoError(t, c.Decide(Decision{Findings: []Decided{{Finding: "x", Said: DigestOf([]byte("y"))}},
		Outcome: OutcomeRefer, Reason: "unclear"}, nil, "p1", "p2"))
	require.NoError(t, c.Map(Mapping{Kind: "precinct", Second: "1-01", Primary: "Precinct 1"}, "p1", "p2"))
	require.NoError(t, c.CompareAs(ComparedAs{Elections: []string{"General Election"}, Reason: "two"}, "p1", "p2"))
	_, err = c.Receive("p1", "other.xml", []byte("<ElectionReport></ElectionReport>"))
	require.NoError(t, err)
	require.NoError(t, c.Withdraw(Withdrawal{Exports: []int64{c.State().Seq}, Reason: "another election's"}, "p1", "p2"))
	require.NoError(t, c.MapTables("mapping.json", []byte("{}"), "the lists of the office", "p1", "p2"))
	require.NoError(t, c.BringWitness(candidateList, []byte("contest,name"), nil, "p2"))
	require.NoError(t, c.RecordDeck(TestDeck{Name: "All units"}, []byte("ballot"), []byte("precinct"), "p1", "p2"))
	deck := c.State().Seq
	require.NoError(t, c.BringDeckResults(DeckResults{Deck: deck, Name: "unit.csv"}, []byte("x"), nil, "p1", "p2"))
	require.NoError(t, c.DecideDeck(DeckDecision{Deck: deck, Outcome: DeckRefer, Reason: "unclear",
		Differences: []Decided{{Finding: "x", Words: "y", Said: DigestOf([]byte("y"))}}}, "p1", "p2"))
	require.NoError(t, c.SetMachineRules(cards.Rules{Zone: "America/New_York"}, "p1", "p2"))
	require.NoError(t, c.ReadUnit("p2", cards.Reading{Unit: "U-1", Field: cards.Label, Value: "C-1"}))
	require.NoError(t, c.SignUnit(UnitSignature{Unit: "U-1", Visit: 1}, "p1", "p2"))
	require.NoError(t, c.DecideUnit(UnitDecision{Outcome: cards.Accept, Reason: "it is a spare",
		Findings: []Decided{{Finding: "x", Words: "y", Said: DigestOf([]byte("y"))}}}, "p1", "p2"))
	report := []byte(`{"format":"counterproof-report/1"}`)
	var on []Signature
	for _, id := range []PersonID{"p1", "p2", "p3"} {
		sig, err := c.SignReport(id, report)
		require.NoError(t, err)
		on = append(on, sig)
	}
	require.NoError(t, c.SignOff(report, nil, on, nil, "p3", "p1", "p2"))
	require.NoError(t, c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Contests: []Row{{Table: Contests,
		Row: 1}}}, "p1", "p2"))
	number, people := c.state.ID, c.State()
	require.NoError(t, c.Close())

	type place struct {
		kind    string
		entry   Entry
		body    signed
		message []byte
		by      []Signature
	}
	var places []place
	kinds := map[Kind]bool{}
	for _, e := range allEntries(t, path) {
		if !slices.Contains(signedKinds, e.Kind) {
			continue
		}
		kinds[e.Kind] = true
		p := place{kind: string(e.Kind), entry: e}
		require.NoError(t, decode(e.Body, &p.body))
		p.message, err = canonical(statement{Act: p.body.Act, At: e.At, Case: number, Kind: e.Kind, Prev: e.Prev, Who: e.Who})
		require.NoError(t, err)
		p.by = p.body.Signatures
		places = append(places, p)
	}
	require.Len(t, kinds, len(signedKinds), "the case has every signed kind")
	places = append(places, place{kind: "report", message: report, by: on})

	keyOf := func(sig Signature) ed25519.PublicKey {
		who, ok := people.Person(sig.Person)
		require.True(t, ok)
		return who.PublicKey
	}
	// The state that checks knows everybody; what is planned is not asked for here.
	s := newState(func(Digest) ([]byte, error) { return report, nil })
	s.ID, s.People = number, people.People
	holds := func(e Entry, act jsontext.Value, by []Signature) bool {
		b, err := json.Marshal(signed{Act: act, Signatures: by})
		require.NoError(t, err)
		e.Body = string(b)
		return s.holds(&e) == ""
	}
	tried := 0
	for i, from := range places {
		for _, sig := range from.by {
			require.True(t, ed25519.Verify(keyOf(sig), from.message, sig.Signature), "%s holds in its own place", from.kind)
			for k, to := range places {
				own := i == k
				tried++
				require.Equal(t, own, ed25519.Verify(keyOf(sig), to.message, sig.Signature), "%s for %s", from.kind, to.kind)
				if to.kind == "report" {
					// The bytes of a statement are no report, whoever signed them.
					err := reportShape(from.message)
					require.Equal(t, own, err == nil, "%s as a report", from.kind)
					continue
				}
				require.Equal(t, own, holds(to.entry, to.body.Act, []Signature{sig}), "%s on the act of %s", from.kind, to.kind)
				act := from.body.Act
				if from.kind == "report" {
					act = report
				}
				require.Equal(t, own, holds(to.entry, act, []Signature{sig}), "%s with its act in %s", from.kind, to.kind)
				if from.kind != "report" && from.kind != to.kind {
					moved := from.entry
					moved.Kind = to.entry.Kind
					require.False(t, holds(moved, from.body.Act, []Signature{sig}), "%s at its own entry as %s", from.kind, to.kind)
				}
			}
		}
	}
	require.Greater(t, tried, 200)

	t.Run("a statement signed off as a report", func(t *testing.T) {
		// All three signed the signing-off itself: its statement with their signatures is
		// the nearest thing to a report that is none.
		i := slices.IndexFunc(places, func(p place) bool { return p.kind == string(KindSignedOff) })
		c, err := Open(path, quick())
		require.NoError(t, err)
		defer c.Close()
		unlockAll(t, c)
		terms := SignOff{Exceptions: []string{}, Report: DigestOf(places[i].message), Reported: places[i].by}
		by, err := c.signers([]PersonID{"p1", "p2", "p3"})
		require.NoError(t, err)
		err = c.commit([][]byte{places[i].message}, draft{KindSignedOff, "p1", terms, by})
		require.ErrorIs(t, err, ErrRule)
		require.ErrorContains(t, err, "names its format")
	})
	t.Run("another case", func(t *testing.T) {
		s.ID = "00000000000000000000000000000000"
		for _, p := range places[:len(places)-1] {
			require.False(t, holds(p.entry, p.body.Act, p.by), p.kind)
		}
	})
}

// A kind that layout 1 did not have is named, so that a case that holds it says so.
func TestTheKindsOfEachLayoutAreNamed(t *testing.T) {
	require.Subset(t, signedKinds, kindsSince2)
	require.Equal(t, []Kind{KindCollected, KindProof, KindTablesMapped, KindTablesReceived, KindWitnessed}, kindsSince3)
	require.Equal(t, []Kind{KindDeckMade, KindDeckResults, KindDeckDecided, KindMachineRules, KindCardsMade,
		KindUnitRead, KindUnitSigned, KindUnitDecided, KindTeamFormed, KindTeamWork, KindTeamJoined}, kindsSince4)
	require.NotContains(t, signedKinds, KindCollected, "what is collected nobody signs")
	require.NotContains(t, signedKinds, KindProof)
	for kind, layout := range map[Kind]int64{KindReceived: 1, KindWithdrawn: 2, KindTablesMapped: 3, KindTablesReceived: 3,
		KindWitnessed: 3, KindDeckMade: 4, KindDeckResults: 4, KindDeckDecided: 4,
		KindMachineRules: 4, KindCardsMade: 4, KindUnitRead: 4, KindUnitSigned: 4, KindUnitDecided: 4, KindTeamFormed: 4,
		KindTeamWork: 4, KindTeamJoined: 4} {
		require.Equal(t, layout, needs(&Entry{Kind: kind}), kind)
	}
}
