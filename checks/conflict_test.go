package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
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
		require.ElementsMatch(t, []string{"style-conflict [2-01]", "style-conflict [2-02]", "style-label [2-02]"}, codesAndPlaces(found))
		for k, f := range found {
			for _, e := range f.Edits {
				if wrongIs := map[bool]finding.Side{true: finding.SidePrimary, false: finding.SideSecond}[sides[0] == wrong]; e.Side != wrongIs {
					continue
				}
				p, s := sides[0].Clone(), sides[1].Clone()
				e.Apply(map[finding.Side]*model.Election{finding.SidePrimary: p, finding.SideSecond: s}[e.Side])
				left := Compare(p, s, Options{}).Findings
				var others []string
				for i := range found {
					if i != k {
						others = append(others, codesAndPlaces(found[i : i+1])[0])
					}
				}
				assert.ElementsMatch(t, others, codesAndPlaces(left), "%s %v mended in the %s", f.Check, f.Precincts, e.Side)
			}
		}
	}
}

func TestABallotOfAnAreaForPrecinctsThatHaveTheirOwn(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	// The ballot of 2-01 and 2-02 is given to the council district, which holds 1-01 too.
	wrong.Precincts = append(wrong.Precincts, model.Precinct{Name: model.Plain("Council District 2"), Kind: "county-council", Members: []int{0, 2}})
	wrong.Styles[1].Precincts = []int{4}
	found := Compare(wrong, right, Options{}).Findings
	require.Equal(t, []string{"style-conflict [1-01]"}, codesAndPlaces(found))
	assert.Contains(t, found[0].Message, "2 ballots")
	assert.Empty(t, found[0].Edits)
}

func TestPrecinctsWithTheSameTwoBallotsAreOneFinding(t *testing.T) {
	right, wrong := threeWards(), threeWards()
	again := wrong.Clone().Styles[0]
	again.Label = model.Say("Style 9")
	wrong.Styles = append(wrong.Styles, again)
	found := Compare(wrong, right, Options{}).Findings
	require.Equal(t, []string{"style-conflict [1-01 1-02]"}, codesAndPlaces(found))
	found[0].Edits[0].Apply(wrong)
	assert.Empty(t, codesAndPlaces(Compare(wrong, right, Options{}).Findings))
}
