package checks

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

// fourRotations is smallCounty with two styles for each ward that differ in nothing but the
// rotation of two contests; every precinct has its own.
func fourRotations() *model.Election {
	e := smallCounty()
	for i, s := range e.Clone().Styles {
		own := s.Clone()
		own.Label, own.Precincts = model.Say(fmt.Sprintf("Style %d", i+3)), []int{2*i + 1}
		for k := range 2 {
			own.Content[k].Order = model.Say([]int{1, 2, 0, 3})
		}
		e.Styles[i].Precincts = []int{2 * i}
		e.Styles = append(e.Styles, own)
	}
	e.Contests[0].Rotates, e.Contests[1].Rotates = model.Say(true), model.Say(true)
	return e
}

// A precinct that carries another style's ballot has that style's rotation too: no finding of its own.
func TestAPrecinctOnAnotherBallotLeavesNoRotationBehind(t *testing.T) {
	cases := []struct {
		name string
		move func(e *model.Election)
		want []string
		// keyed is wanted where the keyer moved the precinct and nothing but the order tells: then the
		// export's style may be wrong as well.
		keyed []string
	}{
		{"another ward's ballot, of the other rotation",
			func(e *model.Election) { e.Styles[0].Precincts, e.Styles[3].Precincts = nil, []int{0, 3} },
			[]string{"wrong-style [1-01]"}, nil},
		{"the same ward's ballot, of the other rotation",
			func(e *model.Election) { e.Styles[0].Precincts, e.Styles[2].Precincts = nil, []int{0, 1} },
			[]string{"wrong-style [1-01]"},
			[]string{"choice-order Reeve of Fennick[1-01]", "choice-order Warden of the Weir[1-01]", "style-unused []"}},
		{"two precincts exchanged",
			func(e *model.Election) { e.Styles[0].Precincts, e.Styles[3].Precincts = []int{3}, []int{0} },
			[]string{"wrong-style [1-01]", "wrong-style [2-02]"}, nil},
		{"one contest of a style rotated otherwise",
			func(e *model.Election) { e.Styles[0].Content[0].Order = model.Say([]int{1, 2, 0, 3}) },
			[]string{"choice-order Warden of the Weir[1-01]"}, nil},
		{"both contests of a style rotated otherwise",
			func(e *model.Election) {
				for k := range 2 {
					e.Styles[0].Content[k].Order = model.Say([]int{1, 2, 0, 3})
				}
			},
			[]string{"choice-order Reeve of Fennick[1-01]", "choice-order Warden of the Weir[1-01]"}, nil},
		{"another ward's ballot, and a choice moved on it besides", func(e *model.Election) {
			e.Styles[0].Precincts, e.Styles[3].Precincts = nil, []int{0, 3}
			e.Styles[3].Content[2].Order = model.Say([]int{1, 0, 2})
		}, []string{"wrong-style [1-01]", "choice-order Upper Ward Steward[1-01 2-02]"}, nil},
	}
	for _, c := range cases {
		for _, labels := range []bool{true, false} {
			for _, exchanged := range []bool{false, true} {
				t.Run(fmt.Sprintf("%s, labels %v, by the keyer %v", c.name, labels, exchanged), func(t *testing.T) {
					primary, second := fourRotations(), fourRotations()
					c.move(primary)
					if !labels {
						withoutLabels(primary)
						withoutLabels(second)
					}
					want := c.want
					if exchanged {
						primary, second = second, primary
						if !labels && c.keyed != nil {
							want = c.keyed
						}
					}
					assert.ElementsMatch(t, want, codesAndPlaces(Compare(primary, second, Options{}).Findings))
				})
			}
		}
	}
}
