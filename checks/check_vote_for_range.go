package checks

import (
	"fmt"
	"strconv"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
)

const codeVoteForRange finding.Code = "vote-for-range"

var voteForRange = &Check{Check: finding.Check{
	Code:    codeVoteForRange,
	Purpose: "vote-for is zero or above the number of positions",
	Doc: `A contest of the export lets a voter cast no vote, or more votes than it has voting
positions, write-ins counted. The first is must-fix; the second is graded confirm, since
short slates are lawful. Cumulative contests are left out.`,
	Example:  `"Town Council": vote for 4, and 3 voting positions`,
	Mark:     finding.MarkNumber,
	Keyed:    []finding.Thing{finding.Contest, finding.Choice},
	Inspects: true,
	Sentence: sayVoteForRange,
},
	find: findVoteForRange,
}

func findVoteForRange(ds *difference.Differences, r *reporter) {
	differs := map[int]bool{}
	for _, m := range ds.Contests.Pairs {
		if r.claims.has(contestRef(m), finding.VoteFor) {
			differs[m.Primary] = true
		}
	}
	for ci := range ds.Primary.Compared {
		c := &ds.Primary.Compared[ci]
		if !c.VoteFor.Known || differs[ci] {
			continue
		}
		n, positions := c.VoteFor.Value, len(c.Choices)
		if c.Variation.Value == "cumulative" && n > 0 || n > 0 && n <= positions {
			continue
		}
		// A position that is missing explains a vote-for above what is left.
		if n > 0 && lacksPositions(ds, ci, n-positions) {
			continue
		}
		si := ds.Contests.ToSecond[ci]
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: strconv.Itoa(n),
			Precincts: ds.PrimaryNames(ds.Primary.On[ci].List())}, ci, si)
		if si >= 0 && ds.Second.Compared[si].VoteFor.Known {
			f.Second = strconv.Itoa(ds.Second.Compared[si].VoteFor.Value)
		}
		f.Facts = votingPositions{n, positions}
		if n > 0 {
			f.Grade = finding.Confirm
		}
		r.report(f, ds.ContestSubject(ci, si)...)
	}
}

// lacksPositions is true where so many voting positions of a contest were keyed
// and are missing from the primary.
func lacksPositions(ds *difference.Differences, contest, n int) bool {
	for k, m := range ds.Contests.Pairs {
		if m.Primary == contest {
			d := ds.Positions[k]
			return len(d.Missing)+len(d.LineMissing)+max(0, d.WriteIns[1]-d.WriteIns[0]) >= n
		}
	}
	return false
}

// votingPositions is how many votes a voter has, and for how many positions.
type votingPositions struct{ Votes, Positions int }

func sayVoteForRange(f *finding.Finding) string {
	x := f.Facts.(votingPositions)
	if x.Votes > 0 {
		return fmt.Sprintf("%s: the export lets a voter vote for %d, and has %s.", finding.Quote(f.Contest), x.Votes,
			english.Plural(x.Positions, "voting position", ""))
	}
	return fmt.Sprintf("%s: the export lets a voter vote for %d.", finding.Quote(f.Contest), x.Votes)
}
