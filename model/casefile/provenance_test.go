package casefile

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// modes are how the contests of a case came in, by title.
func modes(c *Case) map[string]EntryMode {
	out := map[string]EntryMode{}
	for _, e := range c.ContestEntries() {
		out[e.Title] = e.Mode
	}
	return out
}

func TestHowEachContestCameInIsKnown(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	require.NoError(t, k.Set(Set(Contests, 1, "title", "Keyed and then replaced")))
	require.Equal(t, map[string]EntryMode{"Keyed and then replaced": InProgram}, modes(c))
	require.NoError(t, k.Load("proof A", smallEntry()))
	require.Equal(t, map[string]EntryMode{"County Executive": AsSheets, "County Judge": AsSheets}, modes(c))

	require.NoError(t, k.Set(Set(Choices, 3, "name", "Anneke Vos")))
	require.NoError(t, k.Set(Set(Contests, 3, "title", "Coroner"), Set(Contests, 3, "vote_for", "1")))
	require.NoError(t, k.Set(Set(Choices, 5, "contest", "3"), Set(Choices, 5, "name", "Ida Lund")))
	want := map[string]EntryMode{"County Executive": AsSheets, "County Judge": SheetsChanged, "Coroner": InProgram}
	require.Equal(t, want, modes(c))
	c = reopen(t, c)
	require.Equal(t, want, modes(c), "the journal says the same again")

	unlockAll(t, c)
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Correct("Certified list 3", "slip", []Change{Set(Choices, 1, "name", "Ilse Brandywijn")}, "p1",
		"p2"))
	require.Equal(t, want, modes(c), "a correction is listed by itself")
	require.NoError(t, c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Reason: "one seat",
		Contests: []Row{{Table: Contests, Row: 1}}}, "p1", "p2"))
	require.NoError(t, keying(t, c).Set(Set(Contests, 1, "vote_for", "2")))
	want["County Executive"] = AfterSeal
	require.Equal(t, want, modes(c))
}

func TestSheetsThatAreTakenBackCountNoMore(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	require.NoError(t, k.Set(Set(Contests, 1, "title", "Keyed here")))
	require.NoError(t, k.Load("proof A", smallEntry()))
	_, err := k.Undo()
	require.NoError(t, err)
	require.Equal(t, map[string]EntryMode{"Keyed here": InProgram}, modes(c))
	require.Empty(t, c.SheetSources(ScopeBallots))
}

func TestASealSignsForTheSheetsByTheirDigests(t *testing.T) {
	c := staffed(t, newPath(t))
	k := keying(t, c)
	require.NoError(t, k.Load("first", smallEntry()))
	require.NoError(t, k.Load("proof A", smallEntry()))
	sources := c.SheetSources(ScopeBallots)
	var files []string
	for _, s := range sources {
		files = append(files, s.File)
		require.Equal(t, "proof A", s.Folder, "the sheets that stand, not those that they replaced")
		require.Equal(t, PersonID("p2"), s.Who)
		blob, err := c.blob(s.Digest)
		require.NoError(t, err)
		require.Equal(t, s.Digest, DigestOf(blob))
		require.Nil(t, c.State().SignedBy(s))
	}
	require.Equal(t, []string{"ballots.csv", "choices.csv", "contests.csv", "precincts.csv", "styles.csv"}, files)

	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	c = reopen(t, c)
	for _, s := range sources {
		require.NotNil(t, c.State().SignedBy(s), s.File)
	}
	other := sources[0]
	other.Digest = DigestOf([]byte("another sheet"))
	require.Nil(t, c.State().SignedBy(other))
	for _, s := range c.SheetSources(ScopeUnits) {
		require.Equal(t, s.File == "precincts.csv", c.State().SignedBy(s) != nil, "%s: the units are not sealed yet", s.File)
	}
}

func TestASealCannotSignForOtherSheets(t *testing.T) {
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	terms := Seal{Scope: ScopeBallots, Without: []string{}, Sheets: c.state.sealedSheets(ScopeBallots)}
	terms.Sheets[0].SHA256 = DigestOf([]byte("another sheet"))
	c.mu.Lock()
	err := c.actBy(KindSealed, terms, "p2")
	c.mu.Unlock()
	require.ErrorIs(t, err, ErrRule)
	require.ErrorContains(t, err, "other sheets")
}

// A seal of the program before had no digests of sheets: nobody signed for them.
func TestSheetsOfASealWithoutDigestsAreNotSigned(t *testing.T) {
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	c.mu.Lock()
	err := c.actBy(KindSealed, Seal{Scope: ScopeBallots, Without: []string{}}, "p2")
	c.mu.Unlock()
	require.NoError(t, err)
	require.True(t, c.State().Sealed(ScopeBallots))
	for _, s := range c.SheetSources(ScopeBallots) {
		require.Nil(t, c.State().SignedBy(s), s.File)
	}
}

func TestTheSheetsOfAJoinedCaseAreSignedForToo(t *testing.T) {
	main := keyedElsewhere(t, half("1-01"))
	other := keyedElsewhere(t, half("1-02"))
	_, err := main.Join("p2", other.Path())
	require.NoError(t, err)
	require.NoError(t, main.Seal("p2", Seal{Scope: ScopeBallots}))
	bySource := map[int]int{}
	for _, s := range main.SheetSources(ScopeBallots) {
		bySource[s.Source]++
		require.NotNil(t, main.State().SignedBy(s), "%s of source %d", s.File, s.Source)
	}
	require.Equal(t, map[int]int{0: 5, 1: 5}, bySource)
}
