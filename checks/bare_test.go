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
		require.ElementsMatch(t, []string{"style-conflict [2-01]", "style-conflict [2-02]", "style-label [2-02]"}, codesAndPlaces(found))
		for k, f := range found {
			for _, e := range f.Edits {
				if wrongIs := map[bool]Side{true: SidePrimary, false: SideSecond}[sides[0] == wrong]; e.Side != wrongIs {
					continue
				}
				p, s := sides[0].Clone(), sides[1].Clone()
				e.Apply(map[Side]*model.Election{SidePrimary: p, SideSecond: s}[e.Side])
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
