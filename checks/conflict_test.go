package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func TestAPrecinctWithAnothersStyleThatHoldsNothingIsToldApart(t *testing.T) {
	// The ballot of 2-01 holds no contest, and 2-02 was given that style.
	right, wrong := threeWards(), threeWards()
	wrong.Styles[1].Content, wrong.Styles[1].Closing = nil, model.Stated[[]model.Text]{}
	wrong.Styles[1].Precincts = []int{2, 3}
	wrong.Styles = wrong.Styles[:2]
	for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
		found := Compare(sides[0], sides[1], Options{}).Findings
		assert.ElementsMatch(t, []string{"style-conflict [2-01]", "style-conflict [2-02]", "style-label [2-02]"},
			codesAndPlaces(found))
	}
}

func TestABallotOfAnAreaForPrecinctsThatHaveTheirOwn(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	// The ballot of 2-01 and 2-02 is given to the council district, which holds 1-01 too.
	wrong.Precincts = append(wrong.Precincts, model.Precinct{Name: model.Plain("Council District 2"),
		Kind: "county-council", Members: []int{0, 2}})
	wrong.Styles[1].Precincts = []int{4}
	found := Compare(wrong, right, Options{}).Findings
	require.Equal(t, []string{"style-conflict [1-01]"}, codesAndPlaces(found))
	assert.Contains(t, found[0].Message, "2 ballots")
}

func TestPrecinctsWithTheSameTwoBallotsAreOneFinding(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	again := wrong.Clone().Styles[0]
	again.Label = model.Say("Style 9")
	wrong.Styles = append(wrong.Styles, again)
	found := Compare(wrong, right, Options{}).Findings
	assert.Equal(t, []string{"style-conflict [1-01 1-02]"}, codesAndPlaces(found))
}
