package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// sealedCase has one keyed face, sealed, and units that are keyed and not sealed.
func sealedCase(t *testing.T) *casefile.Case {
	t.Helper()
	c, r := newCase(t, roster("1-01", "1-02")...)
	k := OpenKeying(r, Options{})
	k.Open(Page{PageFace, 1})
	keys(k, "A⏎County Judge⏎⏎c⏎1⏎Ada Quill⏎ALD⏎Bo Reed⏎BRK⏎⏎Proof⏎⏎1-01⏎")
	k.Open(Page{Kind: PageUnits})
	keys(k, "U-1⏎Hall⏎*⏎")
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots, Without: []string{"1-02"}}))
	return c
}

// correcting opens a correction of the case.
func correcting(t *testing.T, c *casefile.Case, proposal ...casefile.Change) (*Keying, *Correction) {
	t.Helper()
	o := &Correction{Spots: []Spot{{Page: Page{PageFace, 1}, Stop: Stop{Kind: VoteFor, Row: 1, Place: 1}}},
		Done: func([]casefile.Change) {}}
	require.NoError(t, o.Begin(c, proposal))
	k := OpenKeying(o.Draft(), Options{})
	k.Show(o.Spot().Page, o.Spot().Stop)
	return k, o
}

func TestACorrectionIsTypedOnThePageAndChangesNothingInTheCase(t *testing.T) {
	c := sealedCase(t)
	head := c.State().Head
	k, o := correcting(t, c)
	require.Equal(t, VoteFor, k.Focus().Kind)
	require.False(t, k.ReadOnly(k.Focus()))
	k.Type("2")
	k.Enter()
	was, changed := k.Was(Stop{Kind: VoteFor, Row: 1, Place: 1})
	assert.Equal(t, "1", was)
	assert.True(t, changed)
	assert.Equal(t, []casefile.Change{casefile.Set(casefile.Contests, 1, "vote_for", "2")}, o.Changes())
	assert.Equal(t, head, c.State().Head, "nothing is written before both sign")
	require.NoError(t, c.Correct("proof, 14 September", "a slip", o.Changes(), "p1", "p2"), "and this can be signed")

	require.True(t, k.Undo())
	assert.Empty(t, o.Changes(), "undone, it says what is sealed")
	require.True(t, k.Redo())
	assert.Len(t, o.Changes(), 1)
	k.GoTo(Stop{Kind: VoteFor, Row: 1, Place: 1})
	k.Type("1")
	k.Enter()
	assert.Empty(t, o.Changes(), "typed as it was, it is no change")
}

func TestAProposalIsFilledInAndCanBeTakenBack(t *testing.T) {
	c := sealedCase(t)
	k, o := correcting(t, c, casefile.Set(casefile.Contests, 1, "vote_for", "2"))
	assert.Equal(t, "2", k.Text())
	assert.Len(t, o.Changes(), 1)
	require.True(t, k.Undo())
	assert.Empty(t, o.Changes())
	_, o = correcting(t, c, casefile.Set(casefile.Units, 1, "site", "Elsewhere"))
	assert.Empty(t, o.Changes(), "what no correction can make is not filled in")
}

func TestForgottenThingsAreKeyedOnThePageAfterTheSeal(t *testing.T) {
	c := sealedCase(t)
	k, o := correcting(t, c)
	// A choice, a contest, a face with a precinct that was left out, and a precinct of the roster.
	k.GoTo(Stop{Kind: NextChoice, Row: 1, Place: 1})
	keys(k, "Cy Lund⏎ALD⏎⏎")
	k.GoTo(Stop{Kind: NextContest, Row: 1})
	keys(k, "County Clerk⏎⏎c⏎1⏎Dee Marsh⏎ALD⏎⏎⏎⏎")
	k.Open(Page{Kind: PageRoster})
	keys(k, "1-03⏎")
	k.Open(Page{PageFace, 2})
	keys(k, "B⏎cc⏎⏎1-03⏎")
	changes := o.Changes()
	require.NotEmpty(t, changes)
	require.NoError(t, c.MayCorrect(changes))
	require.NoError(t, c.Correct("proof, 14 September", "forgotten", changes, "p1", "p2"))
	s, err := c.Sheets(0)
	require.NoError(t, err)
	e, err := s.Election()
	require.NoError(t, err)
	require.Len(t, e.Contests, 2)
	assert.Len(t, e.Contests[0].Choices, 3)
	require.Len(t, e.Styles, 2)
	assert.Equal(t, []int{2}, e.Styles[1].Precincts, "1-03 has the second face")
}

func TestACorrectionLeavesAloneWhatIsNotSealed(t *testing.T) {
	c := sealedCase(t)
	k, o := correcting(t, c)
	k.Open(Page{Kind: PageUnits})
	assert.Equal(t, "", k.Value(Stop{Kind: UnitName, Row: 1}), "units that are not sealed are not shown")
	assert.True(t, k.ReadOnly(k.Focus()))
	keys(k, "U-9⏎")
	assert.Contains(t, k.Message(), "keyed on Re-key")
	assert.NotContains(t, k.Message(), "unit/", "no raw field")
	assert.Empty(t, o.Changes())
}

func TestALookChangesNothing(t *testing.T) {
	c := sealedCase(t)
	o := &Correction{Spots: []Spot{{Page: Page{PageFace, 1}, Stop: Stop{Kind: Title, Row: 1, Place: 1}}}}
	require.NoError(t, o.Begin(c, []casefile.Change{casefile.Set(casefile.Contests, 1, "vote_for", "2")}))
	k := OpenKeying(o.Draft(), Options{})
	k.Show(o.Spot().Page, o.Spot().Stop)
	assert.Equal(t, "County Judge", k.Value(k.Focus()))
	for _, s := range k.Stops() {
		assert.True(t, k.ReadOnly(s.Stop), "%v", s.Stop)
	}
	k.Type("County Surrogate")
	k.Enter()
	k.Remove()
	assert.Empty(t, o.Changes())
}

func TestEnterStaysOnACorrectedFieldAndGoesOnInWhatIsAdded(t *testing.T) {
	c := sealedCase(t)
	k, _ := correcting(t, c)
	k.Type("2")
	k.Enter()
	assert.Equal(t, Stop{Kind: VoteFor, Row: 1, Place: 1}, k.Focus())
	k.GoTo(Stop{Kind: NextChoice, Row: 1, Place: 1})
	keys(k, "Cy Lund⏎")
	assert.Equal(t, ChoiceLines, k.Focus().Kind, "the added choice is keyed whole")
	k.GoTo(Stop{Kind: FacePrecincts, Row: 1})
	keys(k, "1-02⏎")
	assert.Equal(t, FacePrecincts, k.Focus().Kind)
	assert.Equal(t, Page{PageFace, 1}, k.Page())
}

func TestRowsAddedAndTakenAwayLeaveNoGapInTheCorrection(t *testing.T) {
	c := sealedCase(t)
	k, o := correcting(t, c)
	for range 4 {
		k.GoTo(Stop{Kind: NextContest, Row: 1})
		keys(k, "County Clerk⌃")
		k.Remove()
		k.GoTo(Stop{Kind: NextContest, Row: 1})
	}
	assert.NotEmpty(t, o.Changes(), "the contests are on no face now")
	for len(k.loose()) > 0 {
		k.Open(Page{Kind: PageLoose})
		k.GoTo(Stop{Kind: Title, Row: k.loose()[0]})
		k.Remove()
	}
	require.Empty(t, o.Changes())
	k.Open(Page{PageFace, 1})
	k.GoTo(Stop{Kind: NextContest, Row: 1})
	keys(k, "County Clerk⏎⏎c⏎1⏎Dee Marsh⏎ALD⏎⏎")
	require.NoError(t, c.Correct("proof, 14 September", "forgotten", o.Changes(), "p1", "p2"))
	s, err := c.Sheets(0)
	require.NoError(t, err)
	e, err := s.Election()
	require.NoError(t, err)
	require.Len(t, e.Contests, 2)
	assert.Equal(t, "Dee Marsh", e.Contests[1].Choices[0].Name.Value.In(""))
}
