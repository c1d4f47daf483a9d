package checks

import (
	"fmt"
	"strconv"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeVoteFor finding.Code = "vote-for"

var voteFor = &Check{Check: finding.Check{
	Code:    codeVoteFor,
	Purpose: "the number of votes allowed differs",
	Doc: `The ballot prints how many votes a voter may cast in a contest; the export would count
by another number. Where the export states none, nothing is compared. Graded must-fix.`,
	Example:  `"County Judge": vote for 1 in the export, vote for 2 as keyed`,
	Mark:     finding.MarkNumber,
	Field:    "the vote-for",
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayVoteFor,
},
	find: findVoteFor,

	exchange: func(f *finding.Finding) exchange {
		half := exchanged(f)
		half.single = true // two numbers are exchanged by chance where more contests have them
		return half
	},
}

func findVoteFor(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.VoteFor.Known || !b.VoteFor.Known || a.VoteFor == b.VoteFor {
			return
		}
		if wentWithTitle(ds, k, finding.VoteFor) {
			return // as contest-title says
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: strconv.Itoa(a.VoteFor.Value),
			Second: strconv.Itoa(b.VoteFor.Value), Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		r.reportPair(m, f, "vote for").claim(contestRef(m).Claims(finding.VoteFor)...)
	})
}

func sayVoteFor(f *finding.Finding) string {
	return fmt.Sprintf("%s: the export lets a voter vote for %s, and vote for %s was keyed.", finding.Quote(f.Contest),
		f.Primary, f.Second)
}
