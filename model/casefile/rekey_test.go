package casefile

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// amendedCase is sealed, and an amendment has opened its second contest, "County Judge".
func amendedCase(t *testing.T, rekey bool) (*Case, *Keying) {
	t.Helper()
	c := staffed(t, newPath(t))
	k := keying(t, c)
	require.NoError(t, k.Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Reason: "withdrawn",
		Contests: []Row{{Table: Contests, Row: 2}}, Rekey: rekey}, "p1", "p2"))
	return c, k
}

func TestAnAmendmentEmptiesItsContestsAndTheSealWaitsForThem(t *testing.T) {
	c, k := amendedCase(t, true)
	sealed, err := c.ShownTables(0)
	require.NoError(t, err)
	require.Equal(t, "County Judge", sealed.Value(Contests, 2, "title"), "others see what was sealed")
	require.NotEmpty(t, sealed.Value(Contests, 1, "title"))
	now := k.Tables()
	for _, column := range []string{"title", "subtitle", "kind", "vote_for", "primary_party", "text"} {
		require.Empty(t, now.Value(Contests, 2, column), column)
	}
	require.Equal(t, sealed.Value(Contests, 1, "title"), now.Value(Contests, 1, "title"), "the other one is not touched")
	var choices []int
	now.Each(Choices, func(row int, _ []string) {
		require.NotEqual(t, 2, now.Ref(Choices, row, "contest"))
	})
	sealed.Each(Choices, func(row int, _ []string) {
		if sealed.Ref(Choices, row, "contest") == 2 {
			choices = append(choices, row)
		}
	})
	require.NotEmpty(t, choices)
	on := 0
	now.Each(Placements, func(row int, _ []string) {
		if now.Ref(Placements, row, "contest") == 2 {
			on++
		}
	})
	require.Positive(t, on, "it stays on its ballots")
	undo, redo := k.Can()
	require.False(t, undo || redo, "nothing brings it back")

	require.ErrorIs(t, c.Seal("p2", Seal{Scope: ScopeBallots}), ErrRule)
	require.Equal(t, "County Judge", c.Untyped()[0].Title)
	require.Contains(t, c.Untyped()[0].Lacks, "vote for")
	require.Contains(t, c.Untyped()[0].Lacks, "its choices")
	again := []Change{}
	for _, column := range Contests.Columns() {
		if v := sealed.Value(Contests, 2, column); v != "" && now.Value(Contests, 2, column) == "" {
			again = append(again, Set(Contests, 2, column, v))
		}
	}
	require.NoError(t, k.Set(again...))
	require.Equal(t, []string{"its choices"}, c.Untyped()[0].Lacks)
	for _, row := range choices {
		name := sealed.Value(Choices, row, "name")
		rows := k.Again(2, name)
		require.Contains(t, rows, row)
		require.Empty(t, k.Again(2, "Nobody"))
		require.Empty(t, k.Again(1, name), "only where the amendment opened a contest")
		require.NoError(t, k.Set(Set(Choices, row, "contest", "2"), Set(Choices, row, "position", itoa(row)),
			Set(Choices, row, "name", name)))
		if lines := sealed.Value(Choices, row, "party_lines"); lines != "" {
			require.Equal(t, []string{"the party of " + name}, c.Untyped()[0].Lacks)
			require.ErrorContains(t, c.Seal("p2", Seal{Scope: ScopeBallots}), "the party of "+name)
			require.NoError(t, k.Set(Set(Choices, row, "party_lines", "-")))
		}
	}
	require.Empty(t, c.Untyped())
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	c = reopen(t, c)
	require.Equal(t, "County Judge", c.state.entries[0].Value(Contests, 2, "title"), "the journal says the same again")
	require.Empty(t, c.Untyped())
}

func TestAContestThatGoesIsTakenOffItsBallots(t *testing.T) {
	c, k := amendedCase(t, true)
	var gone []Change
	now := k.Tables()
	now.Each(Placements, func(row int, _ []string) {
		if now.Ref(Placements, row, "contest") == 2 {
			for _, column := range Placements.Columns() {
				gone = append(gone, Set(Placements, row, column, ""))
			}
		}
	})
	require.NoError(t, k.Set(gone...))
	require.Empty(t, c.Untyped())
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots, Without: c.Unkeyed(ScopeBallots)}))
}

func TestSheetsFillAnEmptiedContestInItsOwnRows(t *testing.T) {
	c, k := amendedCase(t, true)
	before, err := c.ShownTables(0)
	require.NoError(t, err)
	require.NoError(t, k.Load("proof B", smallEntry()))
	now := k.Tables()
	before.Each(Choices, func(row int, cells []string) {
		require.Equal(t, cells[2], now.Value(Choices, row, "name"))
	})
	require.Equal(t, before.Last(Choices), now.Last(Choices))
	require.Empty(t, c.Untyped())
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
}

func TestAnAmendmentOfAnEarlierVersionLeavesWhatWasKeyed(t *testing.T) {
	c, k := amendedCase(t, false)
	require.Equal(t, "County Judge", k.Get(Contests, 2, "title"))
	require.Empty(t, c.Untyped())
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
}

func TestTheEntryBeforeAnAmendmentIsWhatWasSealed(t *testing.T) {
	c, k := amendedCase(t, true)
	require.NoError(t, k.Set(Set(Contests, 2, "title", marker)))
	for seq := c.State().Amendments[0].Seq; seq <= c.State().Seq; seq++ {
		rows, err := c.SheetsAt(seq, 0)
		require.NoError(t, err)
		require.Equal(t, "County Judge", rows.Contests[1].Title)
	}
}
