package checks

import (
	"fmt"
	"maps"
	"slices"

	"counterproof/model"
)

var choiceDuplicate = &Check{
	Code:    "choice-duplicate",
	Purpose: "the same choice stands twice in one contest",
	Doc: `The same name on the same party lines, twice in one contest of the export; or once on one
side and twice on the other; or listed twice in the order of the choices on a ballot.
Graded must-fix.`,
	Example:  `"School Trustee": Ana Brandt stands twice in the primary`,
	find:     findChoiceDuplicate,
	inspects: true,
}

func findChoiceDuplicate(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		for _, d := range ps.positions[k].doubled {
			f := Finding{Check: "choice-duplicate", Grade: MustFix, Precincts: ps.pairNames(m)}
			if d.second {
				f = ps.aboutChoice(f, m.primary, -1, m.second, d.choice)
				f.Primary, f.Second = "once", "twice"
				f.Message = fmt.Sprintf("%s: %s was keyed twice, and stands once in the primary.", quote(f.Contest), quote(f.Choice))
				ps.claims.add("contest", k, choicePath(d.choice, ""))
			} else {
				f = ps.aboutChoice(f, m.primary, d.choice, m.second, -1)
				f.Primary, f.Second = "twice", "once"
				f.Message = fmt.Sprintf("%s: %s stands twice in the primary, and was keyed once.", quote(f.Contest), quote(f.Choice))
				ps.claims.add("contest", k, extraPath(b, d.choice))
			}
			ps.reportPair(m, f, "twice").mend(haveChoice(k, &f, d.choice, d.second))
		}
		ps.reportListedTwice(k, m)
	})
	reported := map[[2]int]bool{} // of the primary: contest, name's first choice
	for k, m := range ps.contests.pairs {
		for _, d := range ps.positions[k].doubled {
			if !d.second {
				reported[[2]int{m.primary, firstNamed(&ps.p.contests[m.primary], d.choice)}] = true
			}
		}
	}
	for _, d := range slices.Concat(ps.doubled...) {
		if !d.sameLines || reported[[2]int{d.contest, firstNamed(&ps.p.contests[d.contest], d.choice)}] || ps.touched("contest", d.contest, d.choice, d.other) {
			continue
		}
		reported[[2]int{d.contest, firstNamed(&ps.p.contests[d.contest], d.choice)}] = true
		si := ps.contests.toSecond[d.contest]
		f := ps.aboutChoice(Finding{Check: "choice-duplicate", Grade: MustFix, Precincts: ps.primaryNames(ps.p.on[d.contest].list())}, d.contest, d.choice, si, -1)
		f.Primary = "twice"
		f.Message = fmt.Sprintf("%s: %s stands twice in the primary%s.", quote(f.Contest), quote(f.Choice), alsoKeyed(si >= 0))
		ps.report(f, append(ps.contestSubject(d.contest, si), "twice")...)
	}
}

// reportListedTwice reports choices that a side's ballots print twice, although its
// contest has them once.
func (ps *pass) reportListedTwice(k int, m contestPair) {
	for _, o := range ps.omitted[k] {
		if !o.twice {
			continue
		}
		i := m.choices.toPrimary[o.choice]
		f := ps.aboutChoice(Finding{Check: "choice-duplicate", Grade: MustFix, Precincts: ps.areaNames(o.areas), Primary: "twice on the ballot", Second: "once"}, m.primary, i, m.second, o.choice)
		f.Message = fmt.Sprintf("%s: the primary lists %s twice in the order of the choices on the ballot of %s.", quote(f.Contest), quote(f.Choice), countPrecincts(f.Precincts))
		if o.bySecond {
			f.Primary, f.Second = "once", "twice on the ballot"
			f.Message = fmt.Sprintf("%s: %s was keyed twice in the order of the choices on the ballot of %s.", quote(f.Contest), quote(f.Choice), countPrecincts(f.Precincts))
		}
		if ps.s.contests[m.second].Choices[o.choice].WriteIn {
			f.Check = "write-in"
		}
		ps.reportPair(m, f, "listed twice", ps.lineSubject(&ps.s.contests[m.second].Choices[o.choice])).mend(listOnce(k, &f, o))
	}
}

func alsoKeyed(keyed bool) string {
	if keyed {
		return ", and was keyed twice as well"
	}
	return ""
}

// firstNamed is the first choice of the same name.
func firstNamed(c *model.Contest, i int) int {
	for k := range c.Choices {
		if !c.Choices[k].WriteIn && plain(c.Choices[k].Name) == plain(c.Choices[i].Name) {
			return k
		}
	}
	return i
}

// doubledChoice is a name that stands twice in one contest of the primary, on
// the same lines or on one line in common.
type doubledChoice struct {
	contest, other, choice int
	sameLines              bool
	line                   int // in common, where the lines are not the same
}

// doubledInside lists them by contest.
func (ps *pass) doubledInside() [][]doubledChoice {
	doubled := make([][]doubledChoice, len(ps.p.contests))
	for ci := range ps.p.contests {
		doubled[ci] = ps.doubledIn(ci)
	}
	return doubled
}

func (ps *pass) doubledIn(contest int) []doubledChoice {
	var out []doubledChoice
	list := ps.p.contests[contest].Choices
	byName := map[string][]int{}
	for i := range list {
		if name := plain(list[i].Name); name != "" && !list[i].WriteIn {
			byName[name] = append(byName[name], i)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		same := byName[name]
		if len(same) < 2 || len(same) > 64 || ps.keyedAsTwoPersons(contest, same) {
			continue
		}
		for x := 1; x < len(same); x++ {
			for y := range x {
				i, j := same[y], same[x]
				a, b := ps.jointLines(ps.p, list[i].Lines.Value), ps.jointLines(ps.p, list[j].Lines.Value)
				d := doubledChoice{contest: contest, other: i, choice: j, sameLines: slices.Equal(a, b), line: -1}
				for _, l := range list[j].Lines.Value {
					if slices.Contains(list[i].Lines.Value, l) {
						d.line = l
					}
				}
				if d.sameLines || d.line >= 0 {
					out = append(out, d)
				}
			}
		}
	}
	return out
}

// keyedAsTwoPersons is true where the second entry says that positions of one
// name are different people.
func (ps *pass) keyedAsTwoPersons(contest int, choices []int) bool {
	k := ps.mainPair(contest)
	if k < 0 {
		return false
	}
	m := &ps.contests.pairs[k]
	persons := map[string]bool{}
	for _, i := range choices {
		if j := m.choices.toSecond[i]; j >= 0 {
			persons[ps.s.contests[m.second].Choices[j].Person] = true
		}
	}
	return len(persons) > 1
}

// touched is true where a finding that compares the sides already speaks of one
// of the choices of a contest of the primary.
func (ps *pass) touched(thing string, contest int, choices ...int) bool {
	for k, m := range ps.contests.pairs {
		if m.primary != contest {
			continue
		}
		b := &ps.s.contests[m.second]
		for _, i := range choices {
			if ps.claims.has(thing, k, extraPath(b, i)) {
				return true
			}
			if j := m.choices.toSecond[i]; j >= 0 && (ps.claims.has(thing, k, choicePath(j, "Lines")) || ps.claims.has(thing, k, choicePath(j, "Name"))) {
				return true
			}
		}
	}
	return false
}
