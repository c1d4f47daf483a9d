package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func messages(causes []Cause) []string {
	var out []string
	for _, c := range causes {
		out = append(out, c.Message)
	}
	return out
}

func TestCausesThatFindingsShare(t *testing.T) {
	for _, c := range []struct {
		name  string
		slip  func(primary *model.Election)
		codes []string
		cause string
	}{
		{"a candidate entered under another contest", func(e *model.Election) {
			moved := e.Contests[1].Choices[2].Clone()
			removePosition(e, 1, 2)
			addPosition(e, 3, 1, moved)
		}, []string{"choice-missing", "choice-extra"},
			`"Ravi Holm" stands under "Upper Ward Steward" in the export, and was keyed under "Reeve of Fennick".`},
		{"two candidates of two contests exchanged", func(e *model.Election) {
			a, b := &e.Contests[1].Choices[0], &e.Contests[2].Choices[0]
			a.Name, b.Name, a.Person, b.Person = b.Name, a.Name, b.Person, a.Person
		}, []string{"choice-name", "choice-name"}, `Exchanged: "Iris Pell" and "Ansel Moor".`},
		{"two sites exchanged", func(e *model.Election) { e.Sites[0], e.Sites[1] = e.Sites[1], e.Sites[0] },
			[]string{"unit-site", "unit-site", "unit-site", "unit-site"}, `Exchanged: "Fennick Mill" and "Weir House".`},
		{"two parties' codes exchanged", func(e *model.Election) {
			e.Parties[0].Abbreviation, e.Parties[1].Abbreviation = e.Parties[1].Abbreviation, e.Parties[0].Abbreviation
		}, []string{"party-name", "party-name"}, `Exchanged: "QUA" and "HER".`},
		{"two headings exchanged", func(e *model.Election) {
			for s := range e.Styles {
				c := e.Styles[s].Content
				c[3].Headings, c[4].Headings = c[4].Headings, c[3].Headings
			}
		}, []string{"heading", "heading"}, `Exchanged: "JUDGES" and "QUESTIONS".`},
		{"the choices of another election under the same title", func(e *model.Election) {
			for i, name := range []string{"Cato Birch", "Effie Sand", "Gil Thorne"} {
				ch := &e.Contests[1].Choices[i]
				ch.Name, ch.Person = say(name), name
			}
		}, []string{"contest-missing", "contest-extra"},
			`Both sides have a contest "Reeve of Fennick": one of them may have the wrong choices, or the wrong title.`},
		{"a precinct outside a district that several contests belong to", func(e *model.Election) {
			e.Districts = []model.District{{Name: model.Plain("Fennick"), Precincts: []int{0, 1, 2, 3, 4, 5}}}
			e.Contests[0].District, e.Contests[1].District = model.Say(0), model.Say(0)
		}, []string{"district-coverage", "district-coverage"}, `The same precincts in 2 findings about the district ` +
			`"Fennick": the export may draw that one district wrongly.`},
		{"one party entered for another in every contest", func(e *model.Election) {
			for k := range 3 {
				for i := range e.Contests[k+1].Choices {
					ch := &e.Contests[k+1].Choices[i]
					for l := range ch.Lines.Value {
						if ch.Lines.Value[l] == 0 {
							ch.Lines.Value[l] = 2
						}
					}
				}
			}
		}, []string{"party-line", "party-line", "party-line", "party-line"},
			`The same lines in 4 findings: ORC in the export, HER as keyed.`},
	} {
		t.Run(c.name, func(t *testing.T) {
			primary := fullElection()
			c.slip(primary)
			r := Compare(primary, fullElection(), Options{})
			var codes []string
			for _, f := range r.Findings {
				codes = append(codes, string(f.Check))
			}
			assert.Equal(t, c.codes, codes)
			assert.Equal(t, []string{c.cause}, messages(r.Causes))
		})
	}
}
