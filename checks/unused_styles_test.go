package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

// withDistricts draws a district for the county and for each of its wards.
func withDistricts(e *model.Election) *model.Election {
	e.Districts = []model.District{{Name: model.Plain("County"), Precincts: []int{0, 1, 2, 3}},
		{Name: model.Plain("Lower"), Precincts: []int{0, 1}}, {Name: model.Plain("Upper"), Precincts: []int{2, 3}}}
	for i := range e.Contests {
		e.Contests[i].District = model.Say(max(0, i-1))
	}
	return e
}

// What nobody gets is one finding, with all that stands on it.
func TestAStyleOrPrecinctThatNobodyUsesExplainsWhatItCarries(t *testing.T) {
	leftover := func(e *model.Election, contest int) { // a style that no precinct gets
		s := e.Styles[1].Clone()
		s.Label, s.Precincts = model.Say("Style 9"), nil
		s.Content[2].Contest = contest
		e.Styles = append(e.Styles, s)
	}
	another := func(e *model.Election, districts ...int) { // a precinct that nobody keyed
		e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain("9-09"), Kind: "precinct"})
		e.Styles[0].Precincts = append(e.Styles[0].Precincts, 4)
		for _, d := range districts {
			e.Districts[d].Precincts = append(e.Districts[d].Precincts, 4)
		}
	}
	cases := []struct {
		name  string
		alter func(e *model.Election)
		want  []string
	}{
		{"a style that lost its precincts", func(e *model.Election) { e.Styles[1].Precincts = nil },
			[]string{"style-conflict [2-01 2-02]"}},
		{"the same, without labels", func(e *model.Election) { e.Styles[1].Precincts = nil; withoutLabels(e) },
			[]string{"style-conflict [2-01 2-02]"}},
		{"a style that lost one of its precincts", func(e *model.Election) { e.Styles[1].Precincts = []int{2} },
			[]string{"style-conflict [2-02]"}},
		{"the same, beside a leftover style", func(e *model.Election) { e.Styles[1].Precincts = []int{2}; leftover(e, 3) },
			[]string{"style-conflict [2-02]", "style-unused []"}},
		{"a leftover style with a contest of an earlier election", func(e *model.Election) {
			old := e.Contests[3].Clone()
			old.Title, old.Choices[0].Name, old.Choices[1].Name = say("Old Office"), say("Cato Birch"), say("Effie Sand")
			e.Contests = append(e.Contests, old)
			leftover(e, 4)
		}, []string{"style-unused []"}},
		{"a precinct in no district that nobody keyed", func(e *model.Election) { another(e) },
			[]string{"precinct-unkeyed [9-09]"}},
		{"a precinct of the upper ward that nobody keyed, with a ballot of the lower",
			func(e *model.Election) { another(e, 0, 2) },
			[]string{"precinct-unkeyed [9-09]", "district-coverage Lower Ward Steward[9-09]",
				"district-coverage Upper Ward Steward[9-09]"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			primary, second := withDistricts(smallCounty()), smallCounty()
			c.alter(primary)
			if !primary.Styles[0].Label.Known {
				withoutLabels(second)
			}
			assert.Equal(t, c.want, codesAndPlaces(Compare(primary, second, Options{}).Findings))
		})
	}
}
