package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
)

var wrongStyleCheck = &Check{
	Code:    "wrong-style",
	Purpose: "the precinct carries another style's ballot",
	Doc: `The ballot that the primary gives a precinct is exactly, or most nearly, that of a
style that the second entry means for other precincts, or the other way round. One
finding takes the place of the missing and extra contests that it explains. Look at the
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

func findWrongStyle(ps *pass) {
	for _, w := range ps.content.wrong {
		meant := styleName(ps.s, w.meant)
		names := natural.Sorted(ps.areaNames(w.areas))
		f := Finding{Check: "wrong-style", Grade: MustFix, Precincts: names, Style: meant,
			Party:  ps.s.partyList(ps.s.Styles[w.meant].Parties),
			Second: meant,
			Look:   Look{Primary: ps.lookStyle(w.areas[0]), Second: place("style", ps.s.Origins.Style(w.meant))}}
		how := "exactly"
		if !w.exact {
			how = "most nearly"
		}
		if w.carried >= 0 {
			f.Primary = styleName(ps.s, w.carried)
			f.Message = fmt.Sprintf("In the primary %s %s %s %s; the second entry gives %s.",
				countPrecincts(names), verb(names, "carries", "carry"), how, ballotOf(f.Primary), styleWord(meant))
		} else {
			f.Primary, f.Second = styleName(ps.p, w.own), styleName(ps.p, w.keyedAs)
			gives := "has another there"
			if f.Primary == ps.p.Styles[w.own].Label.Value {
				gives = "gives " + styleWord(f.Primary)
			}
			f.Message = fmt.Sprintf("The second entry gives %s %s the ballot that the primary has for %s; the primary %s.",
				countPrecincts(names), how, strings.TrimPrefix(styleWord(f.Second), "the ballot of "), gives)
		}
		if w.single {
			f.Message += " One contest left off or added on this ballot alone would look the same."
		}
		ps.report(f, "style", meant, strings.Join(names, "\x01")).mend(moveStyle(&f, w))
	}
}

func styleWord(name string) string {
	if strings.HasPrefix(name, "the ballot of ") || name == "an unnamed style" {
		return name
	}
	return "style " + quote(name)
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

// lookStyle is the place of the primary's style in an area.
func (ps *pass) lookStyle(area int) string {
	styles := ps.p.stylesOf[ps.precincts.areas[area].primary]
	if len(styles) == 0 {
		return ""
	}
	return strings.TrimSpace(place("BallotStyle", ps.p.Origins.Style(styles[0])))
}

// byJoint returns the contests behind a joint number, -1 where a side has none.
func (ps *pass) byJoint(j int) (pi, si int) {
	pi, si = slices.Index(ps.contests.primaryJoint, j), slices.Index(ps.contests.secondJoint, j)
	for _, m := range ps.contests.pairs {
		if !m.variant && ps.contests.primaryJoint[m.primary] == j {
			return m.primary, m.second
		}
	}
	return pi, si
}

// What a side says of a contest that it does not have at all.
const (
	notInPrimary = "not in the primary"
	neverKeyed   = "not keyed"
)

func findContestMissing(ps *pass) {
	others := ps.loneTitles(ps.content.extra, false)
	for _, j := range slices.Sorted(maps.Keys(ps.content.missing)) {
		pi, si := ps.byJoint(j)
		areas := ps.content.missing[j]
		f := ps.about(Finding{Check: "contest-missing", Grade: MustFix, Precincts: ps.areaNames(areas), Second: "on the ballot"}, pi, si)
		names := natural.Sorted(f.Precincts)
		switch {
		case pi < 0:
			f.Primary = notInPrimary
			f.Message = fmt.Sprintf("%s was keyed for %s, and the primary does not hold it at all.", quote(f.Contest), countPrecincts(names))
			if others[[2]string{f.Contest, f.Party}] {
				f.Message = fmt.Sprintf("%s was keyed for %s, and the primary has a contest of that title with other choices.", quote(f.Contest), countPrecincts(names))
			}
		default:
			f.Primary = "not on the ballot"
			f.Message = fmt.Sprintf("%s was keyed for %s, and the primary leaves it off %s.", quote(f.Contest), countPrecincts(names), verb(names, "that ballot", "those ballots"))
			f.Look.Primary = cmp.Or(ps.lookStyle(areas[0]), f.Look.Primary)
		}
		ps.report(f, ps.contestSubject(pi, si)...).mend(haveContest(&f, j, areas, true))
	}
	for si, pi := range ps.contests.toPrimary {
		if pi >= 0 || ps.s.on[si].count() > 0 || slices.ContainsFunc(ps.contests.pairs, func(m contestPair) bool { return m.second == si }) {
			continue
		}
		f := ps.about(Finding{Check: "contest-missing", Grade: MustFix, Primary: notInPrimary, Second: "on no ballot"}, -1, si)
		f.Message = fmt.Sprintf("%s was keyed and put on no ballot, and the primary does not hold it at all.", quote(f.Contest))
		ps.report(f, ps.contestSubject(-1, si)...).mend(haveUnplaced(&f, si))
	}
	ps.reportTwice(true, "contest-missing")
}

func findContestExtra(ps *pass) {
	others := ps.loneTitles(ps.content.missing, true)
	for _, j := range slices.Sorted(maps.Keys(ps.content.extra)) {
		pi, si := ps.byJoint(j)
		areas := ps.content.extra[j]
		f := ps.about(Finding{Check: "contest-extra", Grade: MustFix, Precincts: ps.areaNames(areas), Primary: "on the ballot"}, pi, si)
		names := natural.Sorted(f.Precincts)
		if si < 0 {
			f.Second = neverKeyed
			f.Message = fmt.Sprintf("%s is on the ballot of %s in the primary, and was not keyed at all.", quote(f.Contest), countPrecincts(names))
			if others[[2]string{f.Contest, f.Party}] {
				f.Message = fmt.Sprintf("%s is on the ballot of %s in the primary, and a contest of that title was keyed with other choices.", quote(f.Contest), countPrecincts(names))
			}
		} else {
			f.Second = "not on the ballot"
			f.Message = fmt.Sprintf("%s is on the ballot of %s in the primary, and was not keyed for %s.", quote(f.Contest), countPrecincts(names), verb(names, "it", "them"))
			f.Look.Primary = cmp.Or(ps.lookStyle(areas[0]), f.Look.Primary)
		}
		ps.report(f, ps.contestSubject(pi, si)...).mend(haveContest(&f, j, areas, false))
	}
	ps.reportTwice(false, "contest-extra")
}

// loneTitles are the title and party of the contests of a list that only one side
// has: the second entry, or the primary. Where the other side has one of that title,
// the two share nothing else.
func (ps *pass) loneTitles(list map[int][]int, second bool) map[[2]string]bool {
	out := map[[2]string]bool{}
	joints, v := ps.contests.primaryJoint, ps.p
	paired := ps.contests.secondJoint
	if second {
		joints, paired, v = paired, joints, ps.s
	}
	both := newSet(ps.contests.joint)
	for _, j := range paired {
		both.add(j)
	}
	for i, j := range joints {
		if len(list[j]) > 0 && !both.has(j) {
			out[[2]string{v.title(i), v.partyList(v.contests[i].PrimaryParties.Value)}] = true
		}
	}
	return out
}

func (ps *pass) reportTwice(second bool, code string) {
	var keys []int
	for j, t := range ps.content.twice {
		if t.second == second {
			keys = append(keys, j)
		}
	}
	sort.Ints(keys)
	for _, j := range keys {
		pi, si := ps.byJoint(j)
		f := ps.about(Finding{Check: code, Grade: MustFix, Precincts: ps.areaNames(ps.content.twice[j].areas)}, pi, si)
		if second {
			f.Primary, f.Second = "once on the ballot", "twice on the ballot"
			f.Message = fmt.Sprintf("%s was keyed twice on the ballot of %s.", quote(f.Contest), countPrecincts(f.Precincts))
		} else {
			f.Primary, f.Second = "twice on the ballot", "once on the ballot"
			f.Message = fmt.Sprintf("%s stands twice on the ballot of %s in the primary.", quote(f.Contest), countPrecincts(f.Precincts))
		}
		ps.report(f, append(ps.contestSubject(pi, si), "twice")...).mend(haveTwice(&f, j, ps.content.twice[j]))
	}
}

// reportHeldTwice reports contests that the primary holds as two, with nothing
// printed to tell them apart: their votes would be counted as two contests. It
// runs after all checks, when it is known which versions of a contest differ.
func (ps *pass) reportHeldTwice() {
	for k, m := range ps.contests.pairs {
		if !m.variant || slices.Contains(ps.spoken, k) {
			continue
		}
		f := ps.about(Finding{Check: "contest-extra", Grade: MustFix, Precincts: ps.pairNames(m)}, m.primary, m.second)
		if ps.contests.toSecond[m.primary] == m.second {
			continue
		}
		if ps.contests.toSecond[m.primary] < 0 {
			f.Primary, f.Second = "two contests", "one contest"
			f.Message = fmt.Sprintf("The primary holds %s as two contests, one of them for %s: their votes would be counted apart.", quote(f.Contest), countPrecincts(f.Precincts))
		} else {
			f.Check, f.Primary, f.Second = "contest-missing", "one contest", "two contests"
			f.Message = fmt.Sprintf("%s was keyed as two contests, one of them for %s; the primary holds one.", quote(f.Contest), countPrecincts(f.Precincts))
		}
		ps.report(f, append(ps.contestSubject(m.primary, m.second), "held twice")...).mend(holdOnce(&f, k, ps.contests.toSecond[m.primary] < 0))
	}
}

// alsoMoved begins what contest-order says where several contests moved together.
const alsoMoved = " Also moved: "

func findContestOrder(ps *pass) {
	for _, mv := range ps.content.moved {
		pi, si := ps.byJoint(mv.joints[0])
		f := ps.about(Finding{Check: "contest-order", Grade: MustFix, Precincts: ps.areaNames(mv.areas)}, pi, si)
		plainly := func(j int) string { return quote(ps.jointTitle(j)) }
		f.Primary, f.Second = neighbour(mv.primary, mv.joints[0], plainly), neighbour(mv.other, mv.joints[0], plainly)
		f.Look.Primary = cmp.Or(ps.lookStyle(mv.areas[0]), f.Look.Primary)
		others := ""
		if n := len(mv.joints) - 1; n > 0 {
			var list []string
			for _, j := range mv.joints[1:min(len(mv.joints), 4)] {
				list = append(list, ps.toldTitle(j))
			}
			others = alsoMoved + strings.Join(list, ", ")
			if n > 3 {
				others += fmt.Sprintf(" and %d more", n-3)
			}
			others += "."
		}
		f.Message = fmt.Sprintf("On the ballot of %s %s is printed %s in the primary, and %s in the second entry.%s",
			countPrecincts(f.Precincts), ps.toldTitle(mv.joints[0]), neighbour(mv.primary, mv.joints[0], ps.toldTitle), neighbour(mv.other, mv.joints[0], ps.toldTitle), others)
		ps.report(f, ps.contestSubject(pi, si)...).mend(moveContests(&f, mv))
	}
}

func (ps *pass) jointTitle(j int) string {
	pi, si := ps.byJoint(j)
	return ps.about(Finding{}, pi, si).Contest
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
func (ps *pass) toldTitle(j int) string {
	title := ps.jointTitle(j)
	pi, si := ps.byJoint(j)
	if pi >= 0 && si >= 0 {
		if called := ps.p.title(pi); called != title && !wording.Compare(called, title).Minor {
			return fmt.Sprintf("%s (%s in the primary)", quote(title), quote(called))
		}
	}
	return quote(title)
}
