package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

const codeContestOrder finding.Code = "contest-order"

var contestOrder = &Check{Check: finding.Check{
	Code:    codeContestOrder,
	Purpose: "same contests, another order on the ballot",
	Doc: `Both sides have the same contests on a ballot, in another order. The finding names
the fewest contests whose moving explains the difference; the same move on many ballots
is one finding. Graded must-fix.`,
	Example:  `County Clerk: printed after "County Judge" in the export, before it in the second entry`,
	Mark:     finding.MarkOrder,
	Field:    "the order of contests",
	BothWays: true,
	Keyed:    []finding.Thing{finding.Ballot},
	Sentence: sayContestOrder,
},
	find: findContestOrder,

	pattern: func(f *finding.Finding) pattern {
		if len(f.Facts.(movedContests).Others) == 0 {
			return pattern{}
		}
		return pattern{"contest order", "Several contests stand in another order in %d findings: two groups of contests " +
			"may have been exchanged on all ballots."}
	},
}

// movedContests is what contest-order says beside the first contest that moved: what it
// is called, where it is printed on either side, and what moved with it.
type movedContests struct {
	Contest, Primary, Second string
	Others                   []string // the first of them
	Further                  int
}

func findContestOrder(ds *difference.Differences, r *reporter) {
	plainly := func(key int) string { return finding.Quote(ds.TitleOf(key)) }
	withBoth := func(key int) string { return bothTitles(ds, key) }
	for _, mv := range ds.Content.Moved {
		first := mv.Keys[0]
		pi, si := ds.ByKey(first)
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(mv.Areas)}, pi, si)
		f.Primary, f.Second = neighbour(mv.Primary, first, plainly), neighbour(mv.Other, first, plainly)
		f.Orders = [2][]string{finding.Ordered(mv.Primary, ds.TitleOf), finding.Ordered(mv.Other, ds.TitleOf)}
		f.Places.Primary = cmp.Or(ds.PlaceOfStyle(mv.Areas[0]), f.Places.Primary)
		x := movedContests{Contest: withBoth(first), Primary: neighbour(mv.Primary, first, withBoth),
			Second: neighbour(mv.Other, first, withBoth)}
		for _, key := range mv.Keys[1:min(len(mv.Keys), 4)] {
			x.Others = append(x.Others, withBoth(key))
		}
		x.Further = len(mv.Keys) - 1 - len(x.Others)
		f.Facts = x
		r.report(f, ds.ContestSubject(pi, si)...).claim(ballotClaims(ds, mv.Areas, finding.Order, finding.None,
			finding.None)...)
	}
}

func sayContestOrder(f *finding.Finding) string {
	x := f.Facts.(movedContests)
	words := fmt.Sprintf("On the ballot of %s %s is printed %s in the export, and %s in the second entry.",
		finding.CountPrecincts(f.Precincts), x.Contest, x.Primary, x.Second)
	if len(x.Others) > 0 {
		words += " Also moved: " + strings.Join(x.Others, ", ")
		if x.Further > 0 {
			words += fmt.Sprintf(" and %d more", x.Further)
		}
		words += "."
	}
	return words
}

// neighbour says after which contest one stands.
func neighbour(order []int, j int, title func(key int) string) string {
	i := slices.Index(order, j)
	if i <= 0 {
		return "first"
	}
	return "after " + title(order[i-1])
}

// bothTitles names a contest for people who look at the order of either side: with
// what the primary calls it, where that is another wording.
func bothTitles(ds *difference.Differences, j int) string {
	title := ds.TitleOf(j)
	pi, si := ds.ByKey(j)
	if pi >= 0 && si >= 0 {
		if called := ds.Primary.Title(pi); called != title && !wording.Compare(called, title).Minor {
			return fmt.Sprintf("%s (%s in the export)", finding.Quote(title), finding.Quote(called))
		}
	}
	return finding.Quote(title)
}
