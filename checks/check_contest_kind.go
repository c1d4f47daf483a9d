package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeContestKind finding.Code = "contest-kind"

var contestKind = &Check{Check: finding.Check{
	Code:    codeContestKind,
	Purpose: "the kind of a contest differs",
	Doc: `One side holds a contest as candidates, the other as a measure, a retention question or
a straight-party contest. Votes are then counted by other rules. Graded must-fix.`,
	Example:  `"Retain Judge Orla Finch?": a measure in the export, a retention question as keyed`,
	Mark:     finding.MarkSpelling,
	Field:    "the kind",
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayContestKind,
},
	find: findContestKind,

	pattern: sameValues,
}

func findContestKind(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.Kind.Known || !b.Kind.Known || a.Kind == b.Kind {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: string(a.Kind.Value), Second: string(b.Kind.Value),
			Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		r.reportPair(m, f, "kind").claim(contestRef(m).Claims(finding.Kind)...)
	})
}

func sayContestKind(f *finding.Finding) string {
	return fmt.Sprintf("%s is %s in the export, and was keyed as %s.", finding.Quote(f.Contest),
		kindWord(model.Kind(f.Primary)), kindWord(model.Kind(f.Second)))
}

func kindWord(k model.Kind) string {
	switch k {
	case model.KindCandidate:
		return "a contest of candidates"
	case model.KindMeasure:
		return "a measure"
	case model.KindRetention:
		return "a retention question"
	case model.KindParty:
		return "a straight-party contest"
	}
	return finding.Quote(string(k))
}
