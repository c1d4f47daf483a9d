package checks

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeWriteIn finding.Code = "write-in"

var writeIn = &Check{Check: finding.Check{
	Code:    codeWriteIn,
	Purpose: "the number of write-in positions differs",
	Doc: `The blank lines for names that voters write in are counted on both sides. Graded
must-fix.`,
	Example:  `"County Judge": one write-in position in the export, two as keyed`,
	Mark:     finding.MarkNumber,
	Field:    "the number of write-in positions",
	Keyed:    []finding.Thing{finding.Choice},
	Sentence: sayWriteIn,
},
	find: findWriteIn,
}

func findWriteIn(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		n := ds.Positions[k].WriteIns
		for i := range ds.Positions[k].NamedWriteIn {
			r.agree(choiceRef(m, i, finding.None).Claims(finding.Whole)...)
		}
		if n[0] == n[1] {
			return
		}
		var lone []finding.Claim
		for j := range b.Choices {
			if b.Choices[j].WriteIn && m.Choices.ToPrimary[j] < 0 {
				lone = append(lone, choiceRef(m, finding.None, j).Claims(finding.Whole)...)
			}
		}
		for i := range a.Choices {
			if a.Choices[i].WriteIn && m.Choices.ToSecond[i] < 0 {
				lone = append(lone, choiceRef(m, i, finding.None).Claims(finding.Whole)...)
			}
		}
		if len(lone) > 0 && !slices.ContainsFunc(lone, func(c finding.Claim) bool { return !r.claims.whole(c.Ref) }) {
			return // the contest has no choices at all
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: strconv.Itoa(n[0]), Second: strconv.Itoa(n[1]),
			Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		f.Facts = writeInLines{n[0], n[1], len(ds.Positions[k].NamedWriteIn) > 0}
		r.reportPair(m, f, "write-ins").claim(lone...)
	})
}

// writeInLines are the numbers of write-in positions.
type writeInLines struct {
	Primary, Second int
	Named           bool // the primary holds the words for one as a candidate
}

func sayWriteIn(f *finding.Finding) string {
	x, ok := f.Facts.(writeInLines)
	if !ok {
		return sayChoiceOnBallot(f)
	}
	words := fmt.Sprintf("%s: the export has %s, and %s keyed.", finding.Quote(f.Contest),
		english.Plural(x.Primary, "write-in position", ""), wasKeyed(x.Second))
	if x.Named {
		words += " The export holds the words for a write-in as if they were a candidate."
	}
	return words
}

func wasKeyed(n int) string {
	if n == 1 {
		return "1 was"
	}
	return strconv.Itoa(n) + " were"
}

// ofWriteIns makes a finding about a choice one of write-in, where the choice is for
// writing in.
func ofWriteIns(f *finding.Finding, c *model.Choice) {
	if c.WriteIn {
		f.Check = codeWriteIn
	}
}
