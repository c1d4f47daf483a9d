package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// What is sealed next: the ballots when each precinct has its face, then the units when each stands on
// a card header, and after an amendment the ballots again once its contest is keyed.
func TestTheSealComesNextWhenAllIsKeyed(t *testing.T) {
	c, r := newCase(t, roster("1-01", "1-02")...)
	k := OpenKeying(r, Options{})
	next := func() (scope casefile.Scope) {
		scope, ok := k.ToSeal()
		if !ok {
			return ""
		}
		return scope
	}
	k.OpenNext()
	assert.Equal(t, Page{PageFace, 1}, k.Page())
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎⏎Proof⏎⏎1-01⏎")
	require.Equal(t, []string{"1-02"}, k.Unassigned())
	assert.Empty(t, next(), "1-02 has no face")
	k.OpenNext()
	assert.Equal(t, Page{PageFace, 2}, k.Page(), "keying goes on with the next face")
	k.Open(Page{PageFace, 1})
	keys(k, "⏎1-02⏎")
	require.Empty(t, k.Unassigned())
	assert.Equal(t, casefile.ScopeBallots, next())

	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	k.Refresh()
	assert.Empty(t, next(), "no card header names a precinct")
	require.Equal(t, []string{"1-01", "1-02"}, k.OnNoHeader())
	require.NoError(t, r.Set(casefile.Set(casefile.Units, 1, "unit", "S-1"), casefile.Set(casefile.Units, 1, "site",
		"Hall"),
		casefile.Set(casefile.Headers, 1, "unit", "1"), casefile.Set(casefile.Headers, 1, "precinct", "1-01")))
	k.Refresh()
	assert.Empty(t, next())
	require.NoError(t, r.Set(casefile.Set(casefile.Headers, 2, "unit", "1"),
		casefile.Set(casefile.Headers, 2, "precinct", "1-02")))
	k.Refresh()
	assert.Equal(t, casefile.ScopeUnits, next())

	require.NoError(t, c.Amend(casefile.Amendment{Contests: []casefile.Row{{Table: casefile.Contests, Row: 1}},
		Document: "Order 12", Date: "2027-09-20", Reason: "withdrawn"}, "p1", "p2"))
	k.Refresh()
	k.Open(Page{Kind: PageUnits})
	k.OpenNext()
	assert.Equal(t, Page{PageFace, 1}, k.Page(), "on the face of the contest that was opened again")
	assert.Equal(t, casefile.ScopeBallots, next())
	require.NoError(t, r.Set(casefile.Set(casefile.Contests, 1, "title", "")))
	k.Refresh()
	assert.Empty(t, next(), "its title is not keyed")
}
