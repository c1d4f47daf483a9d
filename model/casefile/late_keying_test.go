package casefile

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWhatACorrectionAddsAfterAnExportIsKeyedLate(t *testing.T) {
	c := staffed(t, newPath(t))
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	add := func(contest int, title string) {
		require.NoError(t, c.Correct("Certified list 3", "forgotten", []Change{Set(Contests, contest, "title", title),
			Set(Contests, contest, "kind", "candidate"), Set(Choices, c.state.entries[0].Next(Choices), "contest",
				itoa(contest)),
			Set(Choices, c.state.entries[0].Next(Choices), "name", "Ida Lund")}, "p1", "p2"))
	}
	add(3, "Coroner")
	require.Empty(t, c.State().Late, "no export was in the file")
	require.Equal(t, AfterSeal, modes(c)["Coroner"], "and yet it was not keyed blind, before the seal")

	_, err := c.Receive("p1", "county.xml", []byte("<ElectionReport/>"))
	require.NoError(t, err)
	require.NoError(t, c.Correct("Certified list 3", "slip", []Change{Set(Contests, 1, "subtitle", "At large")}, "p1",
		"p2"))
	require.Empty(t, c.State().Late, "a value that was put in adds no thing")
	add(4, "Sheriff")
	late := c.State().Late
	require.Len(t, late, 1)
	require.Equal(t, c.State().Seq, late[0].Correction)
	require.Equal(t, []Row{{Table: Contests, Row: 4}}, late[0].Added)
	require.Equal(t, []PersonID{"p1", "p2"}, late[0].By)
	c = reopen(t, c)
	require.Equal(t, late, c.State().Late, "the journal says the same again")
	require.Equal(t, AfterSeal, modes(c)["Sheriff"])
}
