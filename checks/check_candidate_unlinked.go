package checks

import (
	"fmt"
	"maps"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeCandidateUnlinked finding.Code = "candidate-unlinked"

var candidateUnlinked = &Check{Check: finding.Check{
	Code:    codeCandidateUnlinked,
	Purpose: "positions of one person are different candidates to the export",
	Doc: `A person who stands at several positions of a contest must be one Candidate of the
export, or its Candidates must share a Person; else the votes of the positions are not
added. Rows of one name in the sheets are one person unless the person column says
otherwise. Graded must-fix.`,
	Example:  `"County Executive": Noa Lind's two positions are two candidates in the export`,
	Mark:     finding.MarkLine,
	Field:    "the candidate",
	Keyed:    []finding.Thing{finding.Choice},
	Sentence: sayCandidateUnlinked,
},
	find: findCandidateUnlinked,
}

func findCandidateUnlinked(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !repeatsPerson(a) && !repeatsPerson(b) {
			return
		}
		// People of either side, as groups of the positions that are paired.
		people := func(person func(i, j int) string) map[string][]int {
			g := map[string][]int{}
			for j := range b.Choices {
				if i := m.Choices.ToPrimary[j]; i >= 0 && !b.Choices[j].WriteIn && !a.Choices[i].WriteIn {
					if p := person(i, j); p != "" {
						g[p] = append(g[p], j)
					}
				}
			}
			return g
		}
		ofPrimary := func(i, _ int) string { return a.Choices[i].Person }
		ofSecond := func(_, j int) string { return b.Choices[j].Person }
		report := func(list []int, apart bool) {
			i := m.Choices.ToPrimary[list[0]]
			f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, i, m.Second,
				list[0])
			f.Facts, f.Primary, f.Second = personApart{len(list), apart}, "one candidate", "different persons"
			if apart {
				f.Primary, f.Second = "different candidates", "one person"
			}
			one := r.reportPair(m, f, "person")
			for _, j := range list {
				one.claim(choiceRef(m, m.Choices.ToPrimary[j], j).Claims(finding.Person)...)
			}
		}
		unclaimed := func(list []int) []int {
			return slices.DeleteFunc(slices.Clone(list), func(j int) bool {
				return r.claims.has(choiceRef(m,
					m.Choices.ToPrimary[j], j), finding.Person)
			})
		}
		second, primary := people(ofSecond), people(ofPrimary)
		for _, who := range slices.Sorted(maps.Keys(second)) {
			list := unclaimed(second[who])
			kinds := map[string]bool{}
			for _, j := range list {
				kinds[a.Choices[m.Choices.ToPrimary[j]].Person] = true
			}
			if len(list) > 1 && len(kinds) > 1 && !kinds[""] {
				report(list, true)
			}
		}
		for _, who := range slices.Sorted(maps.Keys(primary)) {
			list := unclaimed(primary[who])
			kinds := map[string]bool{}
			for _, j := range list {
				kinds[b.Choices[j].Person] = true
			}
			if len(list) > 1 && len(kinds) > 1 && !kinds[""] {
				report(list, false)
			}
		}
	})
}

// repeatsPerson is true where somebody stands at several positions.
func repeatsPerson(c *model.Contest) bool {
	for i := range c.Choices {
		for j := range i {
			if c.Choices[i].Person != "" && c.Choices[i].Person == c.Choices[j].Person {
				return true
			}
		}
		if i > 64 {
			return true // look closely instead
		}
	}
	return false
}

// personApart is a person with several positions whom one side takes for several: the
// primary, where apart is set.
type personApart struct {
	Positions int
	Apart     bool
}

func sayCandidateUnlinked(f *finding.Finding) string {
	x := f.Facts.(personApart)
	contest, choice := finding.Quote(f.Contest), finding.Quote(f.Choice)
	positions := english.Plural(x.Positions, "position", "")
	if x.Apart {
		return fmt.Sprintf(
			"%s: the %s of %s are different candidates in the export, so that their votes would not be added.", contest,
			positions, choice)
	}
	return fmt.Sprintf("%s: %s was keyed as different persons, and the export holds the %s as one candidate.", contest,
		choice, positions)
}
