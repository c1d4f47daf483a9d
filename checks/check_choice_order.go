package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeChoiceOrder finding.Code = "choice-order"

var choiceOrder = &Check{Check: finding.Check{
	Code:    codeChoiceOrder,
	Purpose: "the choices stand in another order",
	Doc: `The order of choices is the style's (SP 1500-100, OrderedContestSelectionIds); where it
states none, the order of the file stands in and a difference is graded confirm. So it is
in a contest that the export declares rotated when no order was keyed ballot by ballot.
Otherwise must-fix.`,
	Example:  `"Proposition One": No before Yes in the export`,
	Mark:     finding.MarkOrder,
	Field:    "the order of choices",
	Keyed:    []finding.Thing{finding.Choice, finding.Ballot},
	Sentence: sayChoiceOrder,
},
	find: findChoiceOrder,
}

func findChoiceOrder(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		d := ds.Orders[k]
		if d.Primary == nil {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.Confirm, Precincts: ds.AreaNames(d.Areas)}, m.Primary, m.Second)
		name := func(j int) string { return choiceOnLines(ds, m, j) }
		f.Primary, f.Second = choiceList(ds, m, d.Primary), choiceList(ds, m, d.Second)
		f.Orders = [2][]string{finding.Ordered(d.Primary, name), finding.Ordered(d.Second, name)}
		f.Facts = choicesOrdered{Stated: d.Stated, Rotates: a.Rotates.Value}
		if d.Stated {
			f.Grade = finding.MustFix
		}
		r.reportPair(m, f, "order").claim(ballotClaims(ds, d.Areas, finding.Order, m.Primary, m.Second)...)
	})
}

func choiceList(ds *difference.Differences, m pairing.ContestPair, list []int) string {
	names := make([]string, len(list))
	for i, j := range list {
		names[i] = choiceOnLines(ds, m, j)
	}
	return strings.Join(names, "; ")
}

func choiceOnLines(ds *difference.Differences, m pairing.ContestPair, j int) string {
	return ds.Second.Choice(m.Second, j) + onLines(ds.Second, &ds.Second.Compared[m.Second].Choices[j])
}

// choicesOrdered says how the primary orders choices: as stated, or rotated.
type choicesOrdered struct{ Stated, Rotates bool }

func sayChoiceOrder(f *finding.Finding) string {
	contest, precincts := finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts)
	switch x := f.Facts.(choicesOrdered); {
	case x.Stated:
		return fmt.Sprintf("%s: the choices stand in another order in the export, on the ballot of %s.", contest, precincts)
	case x.Rotates:
		return fmt.Sprintf("%s: the export rotates the choices from ballot to ballot, and no order was keyed ballot by "+
			"ballot; check the order in %s.", contest, precincts)
	}
	return fmt.Sprintf("%s: the choices stand in another order in the export, which does not say in what order the "+
		"ballot prints them.", contest)
}
