package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// unitDesk is a desk at the page of voting units, with a roster of two sites.
func unitDesk(t *testing.T) (*Keying, *casefile.Keying) {
	_, r := newCase(t, sheets.PrecinctRow{Precinct: "1-01", Site: "Town Hall"},
		sheets.PrecinctRow{Precinct: "1-02", Site: "Town Hall"}, sheets.PrecinctRow{Precinct: "2-01", Site: "Grange"})
	k := OpenKeying(r, Options{})
	k.Open(Page{Kind: PageUnits})
	return k, r
}

func TestAHeaderThatNamesAPrecinctOffTheRoster(t *testing.T) {
	k, r := unitDesk(t)
	keys(k, "U1⏎Town⏎1-01, Ward 9⏎")
	assert.Contains(t, k.Message(), "not on the official roster")
	assert.Contains(t, k.Message(), "Ctrl+Enter")
	assert.Empty(t, k.UnitPrecinctNames(1), "nothing of it was keyed")
	keys(k, "⌃")
	assert.Equal(t, []string{"1-01", "Ward 9"}, k.UnitPrecinctNames(1))
	assert.Contains(t, k.Flags(Stop{Kind: UnitPrecincts, Row: 1}), "Ward 9 is not on the official roster")
	var all []string
	for _, f := range k.Odd(casefile.ScopeUnits) {
		all = append(all, f.Words)
	}
	assert.Contains(t, all, "Ward 9 is not on the official roster")

	require.NoError(t, k.Flush())
	e, err := r.Sheets().Election()
	require.NoError(t, err, "the case is still one that can be compared")
	assert.Equal(t, []string{"Ward 9"}, e.Units[0].Unknown)
	assert.Len(t, e.Units[0].Precincts.Value, 1)

	k.GoTo(Stop{Kind: UnitPrecincts, Row: 1})
	keys(k, "!Ward 9⏎")
	assert.Equal(t, []string{"1-01"}, k.UnitPrecinctNames(1), "and it is taken back")
}

func TestAFaceHasOnlyPrecinctsOfTheRoster(t *testing.T) {
	k, _ := open(t, "1-01", "1-02")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎⏎1-01, 9-99⌃")
	assert.Contains(t, k.Message(), "9-99 is not on the official roster")
	assert.Empty(t, k.FacePrecinctNames(1))
}

func TestASiteThatNobodyKnowsIsMarked(t *testing.T) {
	k, _ := unitDesk(t)
	keys(k, "U1⏎Town⏎*⏎U2⏎Fire House⏎2-01⏎")
	assert.Empty(t, k.Flags(Stop{Kind: UnitSite, Row: 1}))
	assert.Equal(t, []string{"no site of the official roster"}, k.Flags(Stop{Kind: UnitSite, Row: 2}))

	_, r := newCase(t, sheets.PrecinctRow{Precinct: "1-01"})
	k = OpenKeying(r, Options{})
	k.Open(Page{Kind: PageUnits})
	keys(k, "U1⏎Fire House⏎1-01⏎")
	assert.Empty(t, k.Flags(Stop{Kind: UnitSite, Row: 1}), "a roster without sites knows nothing of them")
}

func TestWhatARangeMeansIsSaidBeforeEnter(t *testing.T) {
	k, _ := open(t, "1-01", "1-02", "1-03")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎⏎Proof⏎⏎")
	for typed, want := range map[string]string{
		"1-01 to 1-02": "to this face: 2 precincts, 1-01, 1-02",
		"1-01–1-03":    "to this face: 3 precincts, 1-01, 1-02, 1-03",
		"1-01 1-03":    "to this face: 2 precincts, 1-01, 1-03",
		"!1-03":        "back: 1 precinct, 1-03",
		"1-01 9-99":    "",
	} {
		k.Type(typed)
		assert.Equal(t, want, k.Next(), typed)
	}
}
