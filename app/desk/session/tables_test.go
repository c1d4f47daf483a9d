package session

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model/casefile"
)

// demoAtTheSeal is the demo, keyed as far as it is and sealed, everybody unlocked.
func demoAtTheSeal(t *testing.T) (s *Session, at func(string) string) {
	t.Helper()
	s = demoSession(t)
	for _, seat := range s.Seats() {
		require.NoError(t, s.Case().Unlock(seat.Person.ID, s.DemoPassphrase(seat.Person.ID)))
	}
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, s.Case().Seal("p2", casefile.Seal{Scope: scope, Without: s.Case().Unkeyed(scope)}))
	}
	return s, func(name string) string { return filepath.Join(filepath.Dir(s.Case().Path()), name) }
}

// Tables come in through a mapping that both of the pair sign; later ones through the same, which is
// found by their columns.
func TestTablesComeInThroughAMappingThatThePairSigned(t *testing.T) {
	s, at := demoAtTheSeal(t)
	book, mapping := at("lists/lists.xlsx"), at("lists/mapping.json")
	var unmapped *Unmapped
	_, err := s.LookAtExport(t.Context(), book)
	require.ErrorAs(t, err, &unmapped)
	assert.Equal(t, mapping, unmapped.Offer, "one beside the tables fits them")
	assert.Empty(t, unmapped.Changed)

	in, err := s.LookAtExport(t.Context(), mapping, book)
	require.NoError(t, err)
	var facts []string
	for _, f := range s.IncomingFacts(in) {
		facts = append(facts, f.Name+": "+f.Value)
	}
	all := strings.Join(facts, "\n")
	b, err := os.ReadFile(book)
	require.NoError(t, err)
	for _, words := range []string{"file: lists.xlsx", casefile.DigestOf(b).Groups(), "24 precincts, 10 ballot styles, " +
		"26 contests", "12 voting units", `rows above the header`} {
		assert.Contains(t, all, words)
	}
	unsigned, ok := s.UnsignedMapping(in)
	require.True(t, ok)
	_, means, err := MappingWords(unsigned)
	require.NoError(t, err)
	require.Len(t, means, 7)
	assert.Contains(t, means[0].Lines, "contests, vote_for is “{Vote For}”")
	_, err = s.BringIn(t.Context(), "p1", in)
	require.ErrorContains(t, err, "both of the pair sign the mapping")

	act, err := s.SignMapping(unsigned)
	require.NoError(t, err)
	require.Len(t, act.People, 2)
	require.Error(t, act.Do(t.Context(), []casefile.PersonID{"p1"}), "one of them is not enough")
	require.NoError(t, act.Do(t.Context(), []casefile.PersonID{act.People[0].ID, act.People[1].ID}))
	_, ok = s.UnsignedMapping(in)
	assert.False(t, ok)
	_, err = s.BringIn(t.Context(), "p1", in)
	require.NoError(t, err)

	later := at("lists of October.xlsx")
	alter := func(cell, words string) {
		f, err := excelize.OpenFile(book)
		require.NoError(t, err)
		require.NoError(t, f.SetCellStr("Candidates", cell, words))
		require.NoError(t, f.SaveAs(later))
	}
	alter("E5", "Marisol Tejada-Quinn / Desmond Achterberg Jr.")
	in, err = s.LookAtExport(t.Context(), later)
	require.NoError(t, err, "the mapping of the case is taken, since the columns are its")
	_, ok = s.UnsignedMapping(in)
	assert.False(t, ok)

	alter("C4", "Seats")
	_, err = s.LookAtExport(t.Context(), later)
	require.ErrorAs(t, err, &unmapped)
	assert.Empty(t, unmapped.Offer)
	assert.Contains(t, unmapped.Changed, `lacks "Vote For", and has "Seats" instead`)
}

// Before the seal, the digest of tables with their mapping is that under which they come in.
func TestTheDigestOfTablesIsNotedWithTheirMapping(t *testing.T) {
	s := demoSession(t)
	at := func(name string) string { return filepath.Join(filepath.Dir(s.Case().Path()), name) }
	_, err := s.LookAtExport(t.Context(), at("lists/lists.xlsx"))
	require.ErrorContains(t, err, "seal the ballots first")
	digests, err := s.NoteDigests(t.Context(), at("lists/lists.xlsx"), at("lists/mapping.json"))
	require.NoError(t, err)
	require.Len(t, digests, 1)
	assert.Equal(t, "lists.xlsx", s.State().Announced[0].Name)

	it, _ := s.Holder(casefile.SeatSecond)
	require.NoError(t, s.Case().Unlock(it.ID, s.DemoPassphrase(it.ID)))
	require.NoError(t, s.Case().Seal(it.ID, casefile.Seal{Scope: casefile.ScopeBallots,
		Without: s.Case().Unkeyed(casefile.ScopeBallots)}))
	in, err := s.LookAtExport(t.Context(), at("lists/lists.xlsx"), at("lists/mapping.json"))
	require.NoError(t, err)
	facts := s.IncomingFacts(in)
	assert.Contains(t, facts[0].Value, "its digest was noted before, in entry")
	assert.True(t, slices.ContainsFunc(facts, func(f Fact) bool {
		return strings.HasPrefix(f.Value, digests[0].Groups())
	}),
		"the digest that was noted is shown")
	for _, f := range facts {
		assert.NotContains(t, f.Value, "voting unit", "the units are not sealed")
		assert.NotEqual(t, "not compared", f.Name, "what is not compared may be of units")
	}
}

// Sheets in our own layout need no mapping, and a list of cards goes with an export.
func TestWhatNeedsNoMapping(t *testing.T) {
	s, at := demoAtTheSeal(t)
	var all []string
	for _, name := range []string{"parties", "precincts", "contests", "choices", "ballots", "styles", "units",
		"election"} {
		all = append(all, at("second/"+name+".csv"))
	}
	in, err := s.LookAtExport(t.Context(), all...)
	require.NoError(t, err)
	assert.Len(t, in.Files, 8)
	_, err = s.LookAtExport(t.Context(), at("export.xml"), at("second/units.csv"))
	require.ErrorContains(t, err, "TW-1101\" is in the export as well", "it was read as a card list")
}

func TestDroppedTablesAreAnExportWithTheirMapping(t *testing.T) {
	s := demoSession(t)
	at := func(name string) string { return filepath.Join(filepath.Dir(s.Case().Path()), name) }
	list := at("candidates.csv")
	require.NoError(t, os.WriteFile(list, []byte("Contest,Candidate\nJudge,Ada Quill\n"), 0o600))
	for _, paths := range [][]string{{at("lists/lists.xlsx")}, {list, at("lists/mapping.json")},
		{list, at("lists/lists.xlsx")}} {
		assert.Equal(t, DroppedExport, LookAt(paths).Kind, paths)
	}
	assert.Equal(t, DroppedNothing, LookAt([]string{list, at("export.xml")}).Kind)
}
