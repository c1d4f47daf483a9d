package checks

import (
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeChoiceDuplicate finding.Code = "choice-duplicate"

var choiceDuplicate = &Check{Check: finding.Check{
	Code:    codeChoiceDuplicate,
	Purpose: "the same choice stands twice in one contest",
	Doc: `The same name on the same party lines, twice in one contest of the export; or once on one
side and twice on the other; or listed twice in the order of the choices on a ballot.
Graded must-fix.`,
	Example:  `"School Trustee": Ana Brandt stands twice in the export`,
	Mark:     finding.MarkExtra,
	Keyed:    []finding.Thing{finding.Choice},
	Inspects: true,
	Sentence: sayChoiceDuplicate,
},
	find: findChoiceDuplicate,
}

func findChoiceDuplicate(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		for _, d := range ds.Positions[k].Doubled {
			f := finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m)}
			twice := choiceRef(m, d.Choice, finding.None)
			if d.Second {
				f = ds.AboutChoice(f, m.Primary, -1, m.Second, d.Choice)
				f.Primary, f.Second = "once", "twice"
				twice = choiceRef(m, finding.None, d.Choice)
			} else {
				f = ds.AboutChoice(f, m.Primary, d.Choice, m.Second, -1)
				f.Primary, f.Second = "twice", "once"
			}
			r.reportPair(m, f, "twice").claim(twice.Claims(finding.Whole)...)
		}
		reportListedTwice(ds, r, k, m)
	})
	type named struct {
		contest int // of the primary
		name    string
	}
	reported := map[named]bool{}
	called := func(contest, choice int) named {
		return named{contest, pairing.Plain(ds.Primary.Compared[contest].Choices[choice].Name)}
	}
	for k, m := range ds.Contests.Pairs {
		for _, d := range ds.Positions[k].Doubled {
			if !d.Second {
				reported[called(m.Primary, d.Choice)] = true
			}
		}
	}
	for _, d := range slices.Concat(ds.Doubled...) {
		if !d.SameLines || reported[called(d.Contest, d.Choice)] || touched(ds, r, d.Contest, d.Choice, d.Other) {
			continue
		}
		reported[called(d.Contest, d.Choice)] = true
		si := ds.Contests.ToSecond[d.Contest]
		f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix,
			Precincts: ds.PrimaryNames(ds.Primary.On[d.Contest].List())}, d.Contest, d.Choice, si, -1)
		f.Primary = "twice"
		f.Facts = twiceInside{Keyed: si >= 0}
		r.report(f, append(ds.ContestSubject(d.Contest, si), "twice")...)
	}
}

// reportListedTwice reports choices that a side's ballots print twice, although its
// contest has them once.
func reportListedTwice(ds *difference.Differences, r *reporter, k int, m pairing.ContestPair) {
	for _, o := range ds.Omitted[k] {
		if !o.Twice {
			continue
		}
		f := finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(o.Areas), Primary: "twice on the ballot",
			Second: "once", Facts: twiceOnBallot}
		if o.BySecond {
			f.Primary, f.Second, f.Facts = "once", "twice on the ballot", keyedTwice
		}
		ofWriteIns(&f, &ds.Second.Compared[m.Second].Choices[o.Choice])
		f = ds.AboutChoice(f, m.Primary, m.Choices.ToPrimary[o.Choice], m.Second, o.Choice)
		r.reportPair(m, f, "listed twice", lineSubject(ds, &ds.Second.Compared[m.Second].Choices[o.Choice])).
			claim(ballotClaims(ds, o.Areas, finding.Order, m.Primary, m.Second)...)
	}
}

// twiceInside is a choice that the primary shows twice by itself.
type twiceInside struct{ Keyed bool } // the contest was keyed

func sayChoiceDuplicate(f *finding.Finding) string {
	contest, choice := finding.Quote(f.Contest), finding.Quote(f.Choice)
	switch x := f.Facts.(type) {
	case choiceCase:
		return sayChoiceOnBallot(f)
	case twiceInside:
		also := ""
		if x.Keyed {
			also = ", and was keyed twice as well"
		}
		return fmt.Sprintf("%s: %s stands twice in the export%s.", contest, choice, also)
	}
	if f.Second == "twice" {
		return fmt.Sprintf("%s: %s was keyed twice, and stands once in the export.", contest, choice)
	}
	return fmt.Sprintf("%s: %s stands twice in the export, and was keyed once.", contest, choice)
}

// touched is true where a finding that compares the sides already speaks of one
// of the choices of a contest of the primary.
func touched(ds *difference.Differences, r *reporter, contest int, choices ...int) bool {
	for _, k := range ds.PairsOf(contest) {
		m := ds.Contests.Pairs[k]
		for _, i := range choices {
			if r.claims.has(choiceRef(m, i, finding.None), finding.Whole) {
				return true
			}
			if j := m.Choices.ToSecond[i]; j >= 0 && (r.claims.has(choiceRef(m, i, j), finding.Lines) ||
				r.claims.has(choiceRef(m, i, j), finding.Name)) {
				return true
			}
		}
	}
	return false
}
