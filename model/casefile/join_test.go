package casefile

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/sheets"
)

// half is the small entry as a keyer has it who keyed one precinct of the roster.
func half(precinct string) *sheets.Sheets {
	s := smallEntry()
	s.Styles = []sheets.StyleRow{{Style: "A", Precinct: precinct}}
	s.Units = nil
	return s
}

func keyedElsewhere(t testing.TB, s *sheets.Sheets) *Case {
	t.Helper()
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Load("proof", s))
	return c
}

func TestManyKeyersAreJoined(t *testing.T) {
	main := keyedElsewhere(t, half("1-01"))
	other := keyedElsewhere(t, half("1-02"))
	require.NoError(t, keying(t, other).Set(Set(Choices, 1, "name", "Ilse Brandiwine")))
	export := []byte("<ElectionReport/>")
	require.NoError(t, main.Announce("p1", "county.xml", DigestOf(export), int64(len(export))))
	require.ErrorContains(t, main.Seal("p2", Seal{Scope: ScopeBallots}), "1-02")

	j, err := main.Join("p2", other.Path())
	require.NoError(t, err)
	require.Equal(t, other.State().Head, j.Head)
	require.Equal(t, other.State().ID, j.Case)
	require.Equal(t, []PersonID{"p2"}, j.State.Keying)
	theirs, err := main.Sheets(1)
	require.NoError(t, err)
	require.Equal(t, "Ilse Brandiwine", theirs.Choices[0].Name)
	own, err := main.Sheets(0)
	require.NoError(t, err)
	require.Equal(t, "Ilse Brandywine", own.Choices[0].Name, "both keyings stand; neither is chosen")

	field := Field{Source: 1, Table: Choices, Row: 1, Column: "name"}
	require.ErrorIs(t, keying(t, main).Set(Change{field, "x"}), ErrRule)
	require.NoError(t, main.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, main.Correct("Certified list", "slip", []Change{{field, "Ilse Brandywine"}}, "p1", "p2"))
	_, err = main.Receive("p1", "county.xml", export)
	require.NoError(t, err)
	s := main.State()
	require.Less(t, s.Announced[0].Seq, s.Joined[0].Seq)
	require.Less(t, s.Joined[0].Seq, s.Exports[0].Seq)

	main = reopen(t, main)
	theirs, err = main.Sheets(1)
	require.NoError(t, err)
	require.Equal(t, "Ilse Brandywine", theirs.Choices[0].Name)
	before, err := main.SealedSheets(1, ScopeBallots)
	require.NoError(t, err)
	require.Equal(t, "Ilse Brandiwine", before.Choices[0].Name)

	t.Run("the units of a case joined before come weeks later", func(t *testing.T) {
		require.NoError(t, keying(t, other).Load("cards", &sheets.Sheets{Units: smallEntry().Units}))
		_, err := main.Join("p2", other.Path())
		require.NoError(t, err)
		require.Len(t, main.State().Joined, 1)
		theirs, err := main.Sheets(1)
		require.NoError(t, err)
		require.Len(t, theirs.Units, 2)
		require.Equal(t, "Ilse Brandywine", theirs.Choices[0].Name, "the correction stands")
		require.NoError(t, keying(t, other).Set(Set(Choices, 1, "name", "Somebody Else")))
		_, err = main.Join("p2", other.Path())
		require.ErrorIs(t, err, ErrSealed)
	})
	require.NoError(t, main.Close())
	r, err := Verify(main.Path(), Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())

	t.Run("a byte changed in what was joined shows", func(t *testing.T) {
		p := change(t, main.Path(), `UPDATE blob SET bytes = CAST(substr(bytes, 1, 40) || x'00' || substr(bytes, 42) AS `+
			`BLOB) WHERE hex(substr(bytes, 1, 2)) = '1F8B'`)
		broken(t, p, s.Joined[0].Seq)
	})
}

func TestWhatCannotBeJoined(t *testing.T) {
	main := keyedElsewhere(t, half("1-01"))
	refused := func(other *Case, says string) {
		t.Helper()
		before := main.State().Seq
		_, err := main.Join("p2", other.Path())
		require.ErrorContains(t, err, says)
		require.Equal(t, before, main.State().Seq)
	}
	t.Run("a copy of the case itself", func(t *testing.T) {
		to := newPath(t)
		require.NoError(t, main.Backup(to))
		same, err := Open(to, quick())
		require.NoError(t, err)
		defer same.Close()
		refused(same, "copy of this very case")
	})
	t.Run("another election", func(t *testing.T) {
		start := tarnwick
		start.Election.Date = "2028-06-06"
		other, err := Create(newPath(t), start, quick())
		require.NoError(t, err)
		defer other.Close()
		staff(t, other)
		require.NoError(t, keying(t, other).Load("proof", half("1-02")))
		refused(other, "another election")
	})
	t.Run("another roster", func(t *testing.T) {
		s := half("1-02")
		s.Precincts = append(s.Precincts, sheets.PrecinctRow{Precinct: "1-03"})
		refused(keyedElsewhere(t, s), "1-03")
	})
	t.Run("a case in which an export was opened", func(t *testing.T) {
		other := sealedCase(t, newPath(t))
		_, err := other.Receive("p1", "a.xml", []byte(marker))
		require.NoError(t, err)
		refused(other, "an export was opened in it")
		b, err := main.Sheets(0)
		require.NoError(t, err)
		require.NotNil(t, b)
	})
	t.Run("a case that was itself joined", func(t *testing.T) {
		other := keyedElsewhere(t, half("1-02"))
		_, err := other.Join("p2", keyedElsewhere(t, half("1-02")).Path())
		require.NoError(t, err)
		refused(other, "itself joined")
	})
	t.Run("after the seal", func(t *testing.T) {
		require.NoError(t, main.Seal("p2", Seal{Scope: ScopeBallots, Without: []string{"1-02"}}))
		refused(keyedElsewhere(t, half("1-02")), "sealed here")
	})
}

// TestALineOfAKeptJournalIsTheEntry: what an entry writes is read back as it was, and
// nothing else is read as an entry that the chain would take.
func TestALineOfAKeptJournalIsTheEntry(t *testing.T) {
	path, _ := signedCase(t)
	for _, e := range allEntries(t, path) {
		got, ok := parseLine(string(e.Canonical()))
		require.True(t, ok)
		require.Equal(t, e, got)
	}
	tricky := Entry{Seq: 1, At: "2027-09-14T09:00:00Z", Kind: KindKeyed,
		Body: `{"contest/1":{"title":",\"kind\":\"x\",\"prev\":\""}}`}
	tricky.Hash = DigestOf(tricky.Canonical())
	got, ok := parseLine(string(tricky.Canonical()))
	require.True(t, ok)
	require.Equal(t, tricky, got)
	for _, line := range []string{"", "{}", `{"at":"","body":{},"kind":"","prev":"","seq":1,"who":""}`,
		strings.Replace(string(tricky.Canonical()), `"seq":1`, `"seq":one`, 1)} {
		_, ok := parseLine(line)
		require.False(t, ok, line)
	}
	spaced, ok := parseLine(strings.Replace(string(tricky.Canonical()), `"seq":1`, `"seq":01`, 1))
	require.True(t, ok)
	require.NotEmpty(t, (&chain{}).next(&spaced), "another spelling is another hash")
}
