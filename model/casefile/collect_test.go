package casefile

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

func ruling(finding string, o Outcome, changes ...Change) Ruling {
	return Ruling{Decision{Findings: []Decided{{Finding: finding, Said: DigestOf([]byte(finding)), Words: finding}},
		Outcome: o, Reason: "why " + finding, Document: "ballot proof, 14 September"}, changes, []PersonID{"p1", "p2"}}
}

// What is collected settles nothing, survives a crash, and verifies; a case of layout 1 goes on.
func TestWhatIsCollectedIsAnUnsignedEntry(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	signed := c.State().SignedSeq
	slip := ruling("name", OutcomeKeyingSlip, Set(Choices, 2, "name", "Tobias Quillon"))
	require.NoError(t, c.Collect("", slip.Terms, slip.Correction))
	fix := ruling("vote-for", OutcomeFixConfiguration)
	require.NoError(t, c.Collect("p2", fix.Terms, nil))
	first, second := c.State().Collected[0], c.State().Collected[1]
	require.Equal(t, slip.Correction, first.Changes())
	require.Empty(t, first.Decision.Findings[0].Words, "the words are recorded when it is signed")
	before := c.State()

	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	c, err = Open(path, quick())
	require.NoError(t, err)
	require.Equal(t, before.Collected, c.State().Collected)
	require.Equal(t, signed, c.State().SignedSeq, "nobody signed")
	require.Empty(t, c.State().Decisions)
	require.Empty(t, c.State().Corrections)
	now, _, err := c.Value(slip.Correction[0].Field)
	require.NoError(t, err)
	require.NotEqual(t, "Tobias Quillon", now)

	require.NoError(t, c.Collect("", fix.Terms, nil, second.Seq), "one is changed in one entry")
	require.Len(t, c.State().Collected, 2)
	require.ErrorIs(t, c.Uncollect("", second.Seq), ErrRule, "it is off already")
	require.NoError(t, c.Uncollect("", first.Seq))
	require.Len(t, c.State().Collected, 1)
	require.Len(t, before.Collected, 2, "a state does not change")
	require.NoError(t, c.Close())
}

func TestNothingIsCollectedBeforeTheSeal(t *testing.T) {
	c := staffed(t, newPath(t))
	require.ErrorIs(t, c.Collect("", ruling("x", OutcomeRefer).Terms, nil), ErrNotSealed)
	c = sealedCase(t, newPath(t))
	require.ErrorIs(t, c.Collect("", ruling("x", OutcomeKeyingSlip).Terms, nil), ErrRule, "a slip without its correction")
	require.ErrorIs(t, c.Collect("", ruling("x", OutcomeFixConfiguration, Set(Choices, 2, "name", "A")).Terms,
		[]Change{Set(Choices, 2, "name", "A")}), ErrRule, "a correction of something that is no slip")
}

// Several decisions are one commit, each as if it were recorded alone: corrections of the same row of
// a table, new rows that bear the same number, one correction for two findings. The case opens again.
func TestDecisionsThatAreSignedTogether(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	require.NoError(t, c.Collect("", ruling("x", OutcomeRefer).Terms, nil))
	off := c.State().Collected[0].Seq
	last := c.state.entries[0].Last(Choices)
	added := func(name string) []Change {
		return []Change{Set(Choices, last+1, "contest", "1"), Set(Choices, last+1, "position", "9"),
			Set(Choices, last+1, "name", name)}
	}
	seq := c.State().Seq
	title := Field{Table: Contests, Row: 1, Column: "title[es]"}
	french := Field{Table: Contests, Row: 1, Column: "title[fr]"}
	require.NoError(t, c.DecideAll([]Ruling{
		ruling("one", OutcomeKeyingSlip, added("Ada Brook")...),
		ruling("two", OutcomeFixConfiguration),
		ruling("three", OutcomeKeyingSlip, added("Odo Cask")...),
		ruling("four", OutcomeKeyingSlip, added("Ada Brook")...),
		ruling("five", OutcomeKeyingSlip, Change{title, "Juez"}),
		ruling("six", OutcomeKeyingSlip, Change{french, "Juge"}),
	}, off))
	check := func(c *Case) {
		var kinds []Kind
		for e, err := range c.Entries(seq) {
			require.NoError(t, err)
			kinds = append(kinds, e.Kind)
		}
		require.Equal(t, []Kind{KindCollected, KindCorrected, KindDecided, KindDecided, KindCorrected, KindDecided,
			KindDecided, KindCorrected, KindDecided, KindCorrected, KindDecided}, kinds)
		state := c.State()
		require.Empty(t, state.Collected)
		require.Len(t, state.Decisions, 6)
		require.Equal(t, state.Decisions[0].Terms.Correction, state.Decisions[3].Terms.Correction,
			"the same correction is made once")
		require.Zero(t, state.Decisions[1].Terms.Correction)
		for i, name := range []string{"Ada Brook", "Odo Cask"} {
			now, _, err := c.Value(Field{Table: Choices, Row: last + 1 + i, Column: "name"})
			require.NoError(t, err)
			require.Equal(t, name, now)
		}
		for field, want := range map[Field]string{title: "Juez", french: "Juge"} {
			now, _, err := c.Value(field)
			require.NoError(t, err)
			require.Equal(t, want, now)
		}
	}
	check(c)
	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	c, err = Open(path, quick())
	require.NoError(t, err)
	check(c)

	// Two that do not go together are not recorded, neither of them.
	seq = c.State().Seq
	require.ErrorContains(t, c.DecideAll([]Ruling{
		ruling("one", OutcomeKeyingSlip, Set(Choices, 1, "name", "A")),
		ruling("two", OutcomeKeyingSlip, Set(Choices, 1, "name", "B")),
	}), "do not go together")
	c.Lock("p2")
	require.ErrorIs(t, c.DecideAll([]Ruling{ruling("one", OutcomeFixConfiguration)}), ErrLocked)
	require.Equal(t, seq, c.State().Seq)
	require.NoError(t, c.Close())
}

// A row that is added refers to another that is added with it, whatever number that one gets.
func TestRowsThatAreAddedTogetherReferToEachOther(t *testing.T) {
	c := sealedCase(t, newPath(t))
	units, headers := c.state.entries[0].Last(Units), c.state.entries[0].Last(Headers)
	unit := func(name string) []Change {
		return []Change{Set(Units, units+1, "unit", name), Set(Headers, headers+1, "unit", strconv.Itoa(units+1)),
			Set(Headers, headers+1, "precinct", "1-01")}
	}
	require.NoError(t, c.DecideAll([]Ruling{ruling("a", OutcomeKeyingSlip, unit("TW-8")...),
		ruling("b", OutcomeKeyingSlip, unit("TW-9")...)}))
	now, _, err := c.Value(Field{Table: Headers, Row: headers + 2, Column: "unit"})
	require.NoError(t, err)
	require.Equal(t, strconv.Itoa(units+2), now)
}

// One of the pair may refer alone, and nothing else; the case is then of the layout that says so.
func TestOneOfThePairRefersAlone(t *testing.T) {
	path := newPath(t)
	c := sealedCase(t, path)
	for _, o := range []Outcome{OutcomeFixConfiguration, OutcomeAsCertified} {
		require.ErrorIs(t, c.Decide(ruling("x", o).Terms, nil, "p1"), ErrRule)
	}
	require.ErrorIs(t, c.Decide(ruling("x", OutcomeRefer).Terms, nil, "p3"), ErrRule, "the supervisor refers nothing")
	require.NoError(t, c.Decide(ruling("x", OutcomeRefer).Terms, nil, "p2"))
	require.Equal(t, []PersonID{"p2"}, c.State().Decisions[0].Signers())
	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}

// A case of layout 1 becomes one of layout 3 with the first entry that layout 1 did not have.
func TestAnOlderCaseTakesTheListUp(t *testing.T) {
	for name, do := range map[string]func(c *Case) error{
		"collected":     func(c *Case) error { return c.Collect("", ruling("x", OutcomeRefer).Terms, nil) },
		"refers alone":  func(c *Case) error { return c.Decide(ruling("x", OutcomeRefer).Terms, nil, "p2") },
		"both together": nil,
	} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && do == nil {
				t.Skip("each opens a case with keys of full strength: long; run without -short")
			}
			path := layout1(t, "signed")
			c, err := Open(path, quick())
			require.NoError(t, err)
			require.NoError(t, c.Unlock("p2", "meridian second party"))
			want := uint32(3)
			if do == nil {
				want = 1
				require.NoError(t, c.Unlock("p1", "hearth programmer"))
				do = func(c *Case) error { return c.DecideAll([]Ruling{ruling("x", OutcomeRefer)}) }
			}
			require.NoError(t, do(c))
			require.NoError(t, c.Close())
			require.Equal(t, want, versionOf(t, path))
			r, err := Verify(path, Expect{})
			require.NoError(t, err)
			require.True(t, r.Good(), r.Words())
		})
	}
}
