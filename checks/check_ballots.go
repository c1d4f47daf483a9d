package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

var wrongStyleCheck = &Check{
	Code:    "wrong-style",
	Purpose: "the precinct carries another style's ballot",
	Doc: `The ballot that the primary gives a precinct is exactly, or most nearly, that of a
style that the second entry means for other precincts, or the other way round. One
finding takes the place of the missing and extra contests that it explains. Places at the
assignment of styles to precincts in the primary, and at the district table. Where only
one contest differs, it must be so both ways, or the label must be that style's too; else
the contest is missing or extra. Graded must-fix.`,
	Example: `1-06: carries the ballot of style 3; style 2 is meant for it`,
	find:    findWrongStyle,
}

var contestMissing = &Check{
	Code:    "contest-missing",
	Purpose: "keyed for the precinct's ballot but not on it in the primary",
	Doc: `A contest that was keyed for a ballot and that the primary leaves off it. The
precincts are listed; where they are all that vote on the contest, it is missing from
the primary altogether. So is a contest that was keyed and put on no ballot, where the
primary does not hold it. Graded must-fix.`,
	Example: `Town Justice: keyed for 3-01 to 3-04, and not on their ballots in the primary`,
	find:    findContestMissing,
}

var contestExtra = &Check{
	Code:    "contest-extra",
	Purpose: "on the precinct's ballot in the primary but not keyed for it",
	Doc: `A contest that the primary puts on a ballot for which it was not keyed: an old
contest left over, a contest of the district next door, a contest printed twice, or one
that the export holds as two contests whose votes would be counted apart. Graded
must-fix.`,
	Example: `School Trustee: on the ballot of 4-02 in the primary, and not keyed for it`,
	find:    findContestExtra,
}

var contestOrder = &Check{
	Code:    "contest-order",
	Purpose: "same contests, another order on the ballot",
	Doc: `Both sides have the same contests on a ballot, in another order. The finding names
the fewest contests whose moving explains the difference; the same move on many ballots
is one finding. Graded must-fix.`,
	Example: `County Clerk: printed after "County Judge" in the primary, before it in the second entry`,
	find:    findContestOrder,
}

func findWrongStyle(ds *difference.Differences, r *reporter) {
	for _, w := range ds.Content.Wrong {
		meant := pairing.StyleName(ds.Second, w.Meant)
		names := natural.Sorted(ds.AreaNames(w.Areas))
		f := finding.Finding{Check: "wrong-style", Grade: finding.MustFix, Precincts: names, Style: meant,
			Party:  ds.Second.PartyList(ds.Second.Styles[w.Meant].Parties),
			Second: meant,
			Places: finding.Places{Primary: ds.PlaceOfStyle(w.Areas[0]), Second: pairing.Place("style", ds.Second.Origins.Style(w.Meant))}}
		how := "exactly"
		if !w.Exact {
			how = "most nearly"
		}
		if w.Carried >= 0 {
			f.Primary = pairing.StyleName(ds.Second, w.Carried)
			f.Message = fmt.Sprintf("In the primary %s %s %s %s; the second entry gives %s.",
				finding.CountPrecincts(names), verb(names, "carries", "carry"), how, ballotOf(f.Primary), styleWord(meant))
		} else {
			f.Primary, f.Second = pairing.StyleName(ds.Primary, w.Own), pairing.StyleName(ds.Primary, w.KeyedAs)
			gives := "has another there"
			if f.Primary == ds.Primary.Styles[w.Own].Label.Value {
				gives = "gives " + styleWord(f.Primary)
			}
			f.Message = fmt.Sprintf("The second entry gives %s %s the ballot that the primary has for %s; the primary %s.",
				finding.CountPrecincts(names), how, strings.TrimPrefix(styleWord(f.Second), "the ballot of "), gives)
		}
		if w.Single {
			f.Message += " One contest left off or added on this ballot alone would look the same."
		}
		r.report(f, "style", meant, strings.Join(names, "\x01")).claim(precinctClaims(ds, w.Areas, finding.Style)...).mend(moveStyle(&f, w))
	}
}

func styleWord(name string) string {
	if strings.HasPrefix(name, "the ballot of ") || name == "an unnamed style" {
		return name
	}
	return "style " + finding.Quote(name)
}

// ballotOf is the ballot of a style, or of the precinct by which it goes.
func ballotOf(style string) string {
	if strings.HasPrefix(style, "the ballot of ") {
		return style
	}
	return "the ballot of " + styleWord(style)
}

func verb(names []string, one, many string) string {
	if len(names) == 1 {
		return one
	}
	return many
}

// What a side says of a contest that it does not have at all.
const (
	notInPrimary = "not in the primary"
	neverKeyed   = "not keyed"
)

func findContestMissing(ds *difference.Differences, r *reporter) {
	others := loneTitles(ds, ds.Content.Extra, false)
	for _, j := range slices.Sorted(maps.Keys(ds.Content.Missing)) {
		pi, si := ds.ByKey(j)
		areas := ds.Content.Missing[j]
		f := ds.About(finding.Finding{Check: "contest-missing", Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Second: "on the ballot"}, pi, si)
		names := natural.Sorted(f.Precincts)
		switch {
		case pi < 0:
			f.Primary = notInPrimary
			f.Message = fmt.Sprintf("%s was keyed for %s, and the primary does not hold it at all.", finding.Quote(f.Contest), finding.CountPrecincts(names))
			if others[[2]string{f.Contest, f.Party}] {
				f.Message = fmt.Sprintf("%s was keyed for %s, and the primary has a contest of that title with other choices.", finding.Quote(f.Contest), finding.CountPrecincts(names))
			}
		default:
			f.Primary = "not on the ballot"
			f.Message = fmt.Sprintf("%s was keyed for %s, and the primary leaves it off %s.", finding.Quote(f.Contest), finding.CountPrecincts(names), verb(names, "that ballot", "those ballots"))
			f.Places.Primary = cmp.Or(ds.PlaceOfStyle(areas[0]), f.Places.Primary)
		}
		r.report(f, ds.ContestSubject(pi, si)...).claim(contentClaims(ds, areas, pi, si)...).mend(haveContest(&f, j, areas, true))
	}
	for si, pi := range ds.Contests.ToPrimary {
		if pi >= 0 || ds.Second.On[si].Count() > 0 || slices.ContainsFunc(ds.Contests.Pairs, func(m pairing.ContestPair) bool { return m.Second == si }) {
			continue
		}
		f := ds.About(finding.Finding{Check: "contest-missing", Grade: finding.MustFix, Primary: notInPrimary, Second: "on no ballot"}, -1, si)
		f.Message = fmt.Sprintf("%s was keyed and put on no ballot, and the primary does not hold it at all.", finding.Quote(f.Contest))
		r.report(f, ds.ContestSubject(-1, si)...).claim(finding.RefTo(finding.Contest, finding.None, si).Claims(finding.Whole)...).mend(haveUnplaced(&f, si))
	}
	reportTwice(ds, r, true, "contest-missing")
}

func findContestExtra(ds *difference.Differences, r *reporter) {
	others := loneTitles(ds, ds.Content.Missing, true)
	for _, j := range slices.Sorted(maps.Keys(ds.Content.Extra)) {
		pi, si := ds.ByKey(j)
		areas := ds.Content.Extra[j]
		f := ds.About(finding.Finding{Check: "contest-extra", Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Primary: "on the ballot"}, pi, si)
		names := natural.Sorted(f.Precincts)
		if si < 0 {
			f.Second = neverKeyed
			f.Message = fmt.Sprintf("%s is on the ballot of %s in the primary, and was not keyed at all.", finding.Quote(f.Contest), finding.CountPrecincts(names))
			if others[[2]string{f.Contest, f.Party}] {
				f.Message = fmt.Sprintf("%s is on the ballot of %s in the primary, and a contest of that title was keyed with other choices.", finding.Quote(f.Contest), finding.CountPrecincts(names))
			}
		} else {
			f.Second = "not on the ballot"
			f.Message = fmt.Sprintf("%s is on the ballot of %s in the primary, and was not keyed for %s.", finding.Quote(f.Contest), finding.CountPrecincts(names), verb(names, "it", "them"))
			f.Places.Primary = cmp.Or(ds.PlaceOfStyle(areas[0]), f.Places.Primary)
		}
		r.report(f, ds.ContestSubject(pi, si)...).claim(contentClaims(ds, areas, pi, si)...).mend(haveContest(&f, j, areas, false))
	}
	reportTwice(ds, r, false, "contest-extra")
}

// contentClaims claim that a contest is on ballots or not, and the contest where only
// one side has it.
func contentClaims(ds *difference.Differences, areas []int, pi, si int) []finding.Claim {
	out := ballotClaims(ds, areas, finding.Content, pi, si)
	if pi < 0 || si < 0 {
		out = append(out, finding.RefTo(finding.Contest, pi, si).Claims(finding.Whole)...)
	}
	return out
}

// loneTitles are the title and party of the contests of a list that only one side
// has: the second entry, or the primary. Where the other side has one of that title,
// the two share nothing else.
func loneTitles(ds *difference.Differences, list map[int][]int, second bool) map[[2]string]bool {
	out := map[[2]string]bool{}
	joints, v := ds.Contests.PrimaryKey, ds.Primary
	paired := ds.Contests.SecondKey
	if second {
		joints, paired, v = paired, joints, ds.Second
	}
	both := pairing.NewSet(ds.Contests.Keys)
	for _, j := range paired {
		both.Add(j)
	}
	for i, j := range joints {
		if len(list[j]) > 0 && !both.Has(j) {
			out[[2]string{v.Title(i), v.PartyList(v.Compared[i].PrimaryParties.Value)}] = true
		}
	}
	return out
}

func reportTwice(ds *difference.Differences, r *reporter, second bool, code finding.Code) {
	var keys []int
	for j, t := range ds.Content.Twice {
		if t.Second == second {
			keys = append(keys, j)
		}
	}
	sort.Ints(keys)
	for _, j := range keys {
		pi, si := ds.ByKey(j)
		f := ds.About(finding.Finding{Check: code, Grade: finding.MustFix, Precincts: ds.AreaNames(ds.Content.Twice[j].Areas)}, pi, si)
		if second {
			f.Primary, f.Second = "once on the ballot", "twice on the ballot"
			f.Message = fmt.Sprintf("%s was keyed twice on the ballot of %s.", finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts))
		} else {
			f.Primary, f.Second = "twice on the ballot", "once on the ballot"
			f.Message = fmt.Sprintf("%s stands twice on the ballot of %s in the primary.", finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts))
		}
		r.report(f, append(ds.ContestSubject(pi, si), "twice")...).
			claim(ballotClaims(ds, ds.Content.Twice[j].Areas, finding.Content, pi, si)...).mend(haveTwice(&f, j, ds.Content.Twice[j]))
	}
}

// reportHeldTwice reports contests that the primary holds as two, with nothing
// printed to tell them apart: their votes would be counted as two contests. It
// runs after all checks, when it is known which versions of a contest differ.
func reportHeldTwice(ds *difference.Differences, r *reporter) {
	for k, m := range ds.Contests.Pairs {
		if !m.Variant || slices.Contains(r.spoken, k) {
			continue
		}
		f := ds.About(finding.Finding{Check: "contest-extra", Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		if ds.Contests.ToSecond[m.Primary] == m.Second {
			continue
		}
		if ds.Contests.ToSecond[m.Primary] < 0 {
			f.Primary, f.Second = "two contests", "one contest"
			f.Message = fmt.Sprintf("The primary holds %s as two contests, one of them for %s: their votes would be counted apart.", finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts))
		} else {
			f.Check, f.Primary, f.Second = "contest-missing", "one contest", "two contests"
			f.Message = fmt.Sprintf("%s was keyed as two contests, one of them for %s; the primary holds one.", finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts))
		}
		r.report(f, append(ds.ContestSubject(m.Primary, m.Second), "held twice")...).
			claim(contestRef(m).Claims(finding.Versions)...).mend(holdOnce(&f, k, ds.Contests.ToSecond[m.Primary] < 0))
	}
}

// alsoMoved begins what contest-order says where several contests moved together.
const alsoMoved = " Also moved: "

func findContestOrder(ds *difference.Differences, r *reporter) {
	for _, mv := range ds.Content.Moved {
		pi, si := ds.ByKey(mv.Keys[0])
		f := ds.About(finding.Finding{Check: "contest-order", Grade: finding.MustFix, Precincts: ds.AreaNames(mv.Areas)}, pi, si)
		plainly := func(j int) string { return finding.Quote(ds.TitleOf(j)) }
		withBoth := func(j int) string { return bothTitles(ds, j) }
		f.Primary, f.Second = neighbour(mv.Primary, mv.Keys[0], plainly), neighbour(mv.Other, mv.Keys[0], plainly)
		f.Places.Primary = cmp.Or(ds.PlaceOfStyle(mv.Areas[0]), f.Places.Primary)
		others := ""
		if n := len(mv.Keys) - 1; n > 0 {
			var list []string
			for _, j := range mv.Keys[1:min(len(mv.Keys), 4)] {
				list = append(list, bothTitles(ds, j))
			}
			others = alsoMoved + strings.Join(list, ", ")
			if n > 3 {
				others += fmt.Sprintf(" and %d more", n-3)
			}
			others += "."
		}
		f.Message = fmt.Sprintf("On the ballot of %s %s is printed %s in the primary, and %s in the second entry.%s",
			finding.CountPrecincts(f.Precincts), bothTitles(ds, mv.Keys[0]), neighbour(mv.Primary, mv.Keys[0], withBoth), neighbour(mv.Other, mv.Keys[0], withBoth), others)
		r.report(f, ds.ContestSubject(pi, si)...).claim(ballotClaims(ds, mv.Areas, finding.Order, finding.None, finding.None)...).mend(moveContests(&f, mv))
	}
}

// neighbour says after which contest one stands.
func neighbour(order []int, j int, title func(joint int) string) string {
	i := slices.Index(order, j)
	if i <= 0 {
		return "first"
	}
	return "after " + title(order[i-1])
}

// toldTitle names a contest for people who look at the order of either side: with
// what the primary calls it, where that is another wording.
func bothTitles(ds *difference.Differences, j int) string {
	title := ds.TitleOf(j)
	pi, si := ds.ByKey(j)
	if pi >= 0 && si >= 0 {
		if called := ds.Primary.Title(pi); called != title && !wording.Compare(called, title).Minor {
			return fmt.Sprintf("%s (%s in the primary)", finding.Quote(title), finding.Quote(called))
		}
	}
	return finding.Quote(title)
}
