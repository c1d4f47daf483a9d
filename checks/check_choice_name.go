package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codeChoiceName finding.Code = "choice-name"

var choiceName = &Check{Check: finding.Check{
	Code:    codeChoiceName,
	Purpose: "a choice is worded otherwise",
	Doc: `The name of a candidate, or the label of another choice, is compared as printed. Where
only capitals, spacing, punctuation or accents differ it is graded confirm, else
must-fix. One misspelt person on several party lines is one finding.`,
	Example:  `"County Clerk": "Rourke Dunne" in the export, "Rourke Dunn" as keyed`,
	Mark:     finding.MarkSpelling,
	Field:    "the name",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Choice},
	Sentence: sayChoiceName,
},
	find: findChoiceName, further: true,

	pattern: spelling, exchange: exchanged,
}

func findChoiceName(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		type spelling struct{ primary, second string }
		reported := map[spelling]*found{}
		for j := range b.Choices {
			i := m.Choices.ToPrimary[j]
			if i < 0 || a.Choices[i].WriteIn || b.Choices[j].WriteIn || !b.Choices[j].Name.Known ||
				r.claims.has(choiceRef(m, i, j), finding.Name) {
				continue
			}
			x, y := pairing.Plain(a.Choices[i].Name), pairing.Plain(b.Choices[j].Name)
			if !a.Choices[i].Name.Known && a.Kind.Value == model.KindCandidate {
				// A person has one name in all languages, and an export need not repeat it.
				if x = ds.Primary.Choice(m.Primary, i); wording.Compare(x, y).Same {
					r.agree(choiceRef(m, i, j).Claims(finding.Name)...)
				}
			}
			f, differs := wordingFinding(x, y)
			if !differs {
				continue
			}
			// A misspelling makes another person of a keyed name; that is explained too.
			named := choiceRef(m, i, j).Claims(finding.Name, finding.Person)
			if one := reported[spelling{x, y}]; one != nil {
				one.claim(named...)
				continue
			}
			if explainedByParty(ds, b, x, y) {
				r.agree(named...)
				continue
			}
			f = ds.AboutChoice(f, m.Primary, i, m.Second, j)
			f.Precincts = ds.PairNames(m)
			one := r.reportPair(m, f, "name").claim(named...)
			reported[spelling{x, y}] = one
		}
	})
}

func sayChoiceName(f *finding.Finding) string {
	if f.Primary == "" {
		return fmt.Sprintf("%s: the export holds no words for the choice keyed as %s.", finding.Quote(f.Contest),
			finding.Quote(f.Second))
	}
	return fmt.Sprintf("%s: the name keyed as %s is %s in the export; it differs %s.",
		finding.Quote(f.Contest), finding.Quote(f.Second), finding.Quote(f.Primary), finding.DiffersIn(f.Primary, f.Second))
}

// explainedByParty is true where the choice of a straight-party contest is a party
// whose name differs: party-name says so.
func explainedByParty(ds *difference.Differences, b *model.Contest, primary, second string) bool {
	if b.Kind.Value != model.KindParty {
		return false
	}
	for i, j := range ds.Parties.ToSecond {
		if j >= 0 && ds.Primary.Words(ds.Primary.Parties[i].Name.Value) == primary &&
			ds.Second.Words(ds.Second.Parties[j].Name.Value) == second {
			return true
		}
	}
	return false
}
