package checks

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

// A rule that lets "nothing printed" agree with the export's parties covers a whole contest,
// and never the one choice that departs from what all others have.
func TestOneChoiceDepartsWhereARuleCoversTheContest(t *testing.T) {
	const none, heron, quarry, orchard = -1, 0, 1, 2
	lines := func(party int) model.Stated[[]int] {
		if party == none {
			return model.Say([]int{})
		}
		return model.Say([]int{party})
	}
	cases := []struct {
		name             string
		of               []int // whose primary
		export, keyed    []int // beside each choice
		want             []string
		sentenceContains string
	}{
		{"nothing was keyed, and the export gives one of the candidates another party", nil,
			[]int{heron, heron, quarry}, []int{none, none, none},
			[]string{"confirm ", "confirm Ravi Holm"}, "QUA beside \"Ravi Holm\" and HER beside all others"},
		{"nothing was keyed, and the export gives one candidate no party", nil,
			[]int{heron, none, quarry}, []int{none, none, none},
			[]string{"confirm ", "confirm Petra Vane"}, "has no party, and all other choices have one"},
		{"nothing was keyed, and the export gives one candidate a party", nil,
			[]int{none, none, quarry}, []int{none, none, none},
			[]string{"confirm Ravi Holm"}, "QUA beside \"Ravi Holm\" and no party beside all others; no party beside every"},
		{"each candidate has a party of its own", nil,
			[]int{heron, quarry, orchard}, []int{none, none, none}, []string{"confirm "}, ""},
		{"the primary's party for all", []int{heron},
			[]int{heron, heron, heron}, []int{none, none, none}, nil, ""},
		{"the primary's party for all but one", []int{heron},
			[]int{heron, none, heron}, []int{none, none, none},
			[]string{"confirm Petra Vane"}, "no party beside \"Petra Vane\" and HER beside all others"},
		{"another party than the primary's for one", []int{heron},
			[]int{quarry, heron, heron}, []int{none, none, none},
			[]string{"confirm Ansel Moor"}, "QUA beside \"Ansel Moor\""},
		{"keyed for all but one", []int{heron},
			[]int{heron, heron, heron}, []int{heron, none, heron},
			[]string{"confirm Petra Vane"}, "HER beside every choice; no party beside \"Petra Vane\" and HER beside all others"},
		{"no rule was applied", []int{heron},
			[]int{heron, none, heron}, []int{heron, none, heron}, nil, ""},
		{"another party was keyed for one", []int{heron},
			[]int{heron, heron, heron}, []int{none, quarry, none}, []string{"must-fix Petra Vane"}, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			primary, second := smallCounty(), smallCounty()
			for side, e := range []*model.Election{primary, second} {
				e.Contests[1].PrimaryParties = model.Say(c.of)
				for i, party := range [][]int{c.export, c.keyed}[side] {
					e.Contests[1].Choices[i].Lines = lines(party)
				}
			}
			var got, sentences []string
			for _, f := range Compare(primary, second, Options{}).Findings {
				assert.EqualValues(t, "party-line", f.Check)
				got = append(got, fmt.Sprintf("%s %s", f.Grade, f.Choice))
				sentences = append(sentences, f.Message)
			}
			assert.Equal(t, c.want, got)
			assert.Contains(t, fmt.Sprint(sentences), c.sentenceContains)
		})
	}
}
