package casefile

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheProgrammerCountersignsTheHeadOfTheSeal(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.ErrorIs(t, c.Countersign("p1"), ErrNotSealed)
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	sealed := c.State().Head
	require.True(t, c.State().Uncountersigned())
	for _, other := range []PersonID{"p2", "p3"} {
		require.ErrorIs(t, c.Countersign(other), ErrRule, "it is the programmer's to sign")
	}
	require.NoError(t, c.Countersign("p1"))
	require.ErrorContains(t, c.Countersign("p1"), "countersigned already")
	s := c.State().Sealings()
	require.Len(t, s, 1)
	require.Equal(t, sealed, s[0].Sealed)
	require.Equal(t, sealed, s[0].Countersigned.Terms.Head)
	require.True(t, s[0].InTime())
	require.False(t, c.State().Uncountersigned())

	_, err := c.Receive("p1", "county.xml", []byte("<ElectionReport/>"))
	require.NoError(t, err)
	require.True(t, c.State().Sealings()[0].InTime())
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeUnits}))
	require.Nil(t, c.State().Sealings()[1].Countersigned)
	_, err = c.Receive("p1", "county.xml", []byte("<ElectionReport><!-- again --></ElectionReport>"))
	require.NoError(t, err)
	require.NoError(t, c.Countersign("p1"))
	all := c.State().Sealings()
	require.True(t, all[0].InTime(), "the first one counts")
	require.NotNil(t, all[1].Countersigned)
	require.False(t, all[1].InTime(), "an export came in before it")

	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	require.Len(t, r.State.Countersigned, 2)
}

// A case that was put back, keyed otherwise and sealed again cannot show the
// countersignature of the seal that was.
func TestACountersignatureOfAnotherSealIsRefused(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	backup := newPath(t)
	require.NoError(t, c.Backup(backup))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Countersign("p1"))
	was := c.State().Countersigned[0].Terms

	back, err := Open(backup, quick())
	require.NoError(t, err)
	defer back.Close()
	unlockAll(t, back)
	require.NoError(t, keying(t, back).Set(Set(Choices, 1, "name", "Ilse Brandywine Jr.")))
	require.NoError(t, back.Seal("p2", Seal{Scope: ScopeBallots}))
	seal := back.State().Seals[0].Seq
	head := back.State().Sealings()[0].Sealed
	require.NotEqual(t, was.Head, head)
	for name, terms := range map[string]Countersignature{
		"the seal that was":             was,
		"its head at the new seal":      {Head: was.Head, Seal: seal},
		"an entry that is no seal":      {Head: back.State().Sealings()[0].Act.Head, Seal: seal - 1},
		"the new head at another entry": {Head: head, Seal: seal + 1},
		"no head":                       {Seal: seal},
	} {
		require.ErrorIs(t, back.actBy(KindCountersigned, terms, "p1"), ErrRule, name)
	}
	require.True(t, back.State().Uncountersigned(), "the programmer would be asked once more")
}

func TestWhatIsKeyedWithAnExportInTheFileIsSaid(t *testing.T) {
	c := staffed(t, newPath(t))
	rows := smallEntry()
	rows.Units = nil
	for i := range rows.Precincts {
		rows.Precincts[i].Site = ""
	}
	k := keying(t, c)
	require.NoError(t, k.Load("proof A", rows))
	require.Len(t, c.Blind(), 1)
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.Empty(t, c.Blind(), "nothing of the units is keyed")
	_, err := c.Receive("p1", "county.xml", []byte("<ElectionReport/>"))
	require.NoError(t, err)
	require.Empty(t, c.State().Late)
	require.NoError(t, k.Set(Set(Units, 1, "unit", "S-1")))
	first := c.State().Seq
	_, err = k.Undo()
	require.NoError(t, err)
	require.Len(t, c.Blind(), 1, "what was taken back is in the journal still")
	_, err = k.Redo()
	require.NoError(t, err)
	require.Equal(t, []Late{{Scope: ScopeUnits, First: first, Last: first + 2, By: []PersonID{"p2"},
		At: c.State().Late[0].At, Until: c.State().Late[0].Until}}, c.State().Late)
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeUnits, Without: []string{"1-01", "1-02"}}))
	require.Empty(t, c.Blind())

	require.NoError(t, c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Contests: []Row{{Table: Contests,
		Row: 2}}}, "p1", "p2"))
	require.Len(t, c.Blind(), 1)
	require.NoError(t, k.Set(Set(Contests, 2, "title", marker)))
	late := c.State().Late
	require.Len(t, late, 2)
	require.Equal(t, ScopeBallots, late[1].Scope)
	require.EqualValues(t, c.State().Amendments[0].Seq, late[1].Amendment)

	t.Run("and not shown", func(t *testing.T) {
		shown, err := c.ShownRows(0, Contests)
		require.NoError(t, err)
		require.Len(t, shown, 2)
		require.Equal(t, "County Judge", shown[1].Cells[1])
		require.NoError(t, c.MayCorrect([]Change{Set(Contests, 1, "title", "x")}))
		err = c.Correct("list", "slip", []Change{Set(Contests, 2, "title", "x")}, "p1", "p2")
		require.ErrorIs(t, err, ErrSealed)
		require.NotContains(t, err.Error(), marker)
		require.NoError(t, c.Correct("list", "slip", []Change{Set(Contests, 1, "title", "Executive")}, "p1", "p2"))
		shown, err = c.ShownRows(0, Contests)
		require.NoError(t, err)
		require.Equal(t, "Executive", shown[0].Cells[1], "what the pair signed is known")
		require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
		shown, err = c.ShownRows(0, Contests)
		require.NoError(t, err)
		require.Equal(t, marker, shown[1].Cells[1])
	})
}

func TestNothingIsShownBeforeItsSeal(t *testing.T) {
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	for table := range tables {
		rows, err := c.ShownRows(0, table)
		require.NoError(t, err)
		require.Empty(t, rows)
	}
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	for table := range tables {
		rows, err := c.ShownRows(0, table)
		require.NoError(t, err)
		require.Equal(t, table == Units || table == Headers || table == Facts || table == Parties, len(rows) == 0, table)
		if table == Precincts {
			require.Equal(t, []string{"1-01", "", ""}, rows[0].Cells)
		}
	}
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeUnits}))
	for table := range tables {
		rows, err := c.ShownRows(0, table)
		require.NoError(t, err)
		all, err := c.Rows(0, table)
		require.NoError(t, err)
		require.Equal(t, all, rows)
	}
}
