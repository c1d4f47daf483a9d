package checks

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/model"
)

var choiceMissing = &Check{
	Code:    "choice-missing",
	Purpose: "a voting position was keyed and is not in the primary",
	Doc: `A candidate or other choice that was keyed for a contest and that the primary does not
hold there, or leaves off the ballots of some styles. Graded must-fix.`,
	Example: `"Town Clerk": Ruth Adeyemi was keyed, and the primary does not have her`,
	find:    findChoiceMissing,
}

var choiceExtra = &Check{
	Code:    "choice-extra",
	Purpose: "a voting position is in the primary and was not keyed",
	Doc: `A candidate or other choice that the primary holds in a contest and that was not keyed
there: a withdrawn candidate left in, a position too many. Graded must-fix.`,
	Example: `"Town Clerk": the primary has Alan Fosse, who was not keyed`,
	find:    findChoiceExtra,
}

var choiceName = &Check{
	Code:    "choice-name",
	Purpose: "a choice is worded otherwise",
	Doc: `The name of a candidate, or the label of another choice, is compared as printed. Where
only capitals, spacing, punctuation or accents differ it is graded confirm, else
must-fix. One misspelt person on several party lines is one finding.`,
	Example: `"County Clerk": "Rourke Dunne" in the primary, "Rourke Dunn" as keyed`,
	find:    findChoiceName,
}

var choiceOrder = &Check{
	Code:    "choice-order",
	Purpose: "the choices stand in another order",
	Doc: `The order of choices is the style's (SP 1500-100, OrderedContestSelectionIds); where it
states none, the order of the file stands in and a difference is graded confirm. So it is
in a contest that the export declares rotated when no order was keyed ballot by ballot.
Otherwise must-fix.`,
	Example: `"Proposition One": No before Yes in the primary`,
	find:    findChoiceOrder,
}

var writeIn = &Check{
	Code:    "write-in",
	Purpose: "the number of write-in positions differs",
	Doc: `The blank lines for names that voters write in are counted on both sides. Graded
must-fix.`,
	Example: `"County Judge": one write-in position in the primary, two as keyed`,
	find:    findWriteIn,
}

var choiceDuplicate = &Check{
	Code:    "choice-duplicate",
	Purpose: "the same choice stands twice in one contest",
	Doc: `The same name on the same party lines, twice in one contest of the export; or once on one
side and twice on the other. Graded must-fix.`,
	Example:  `"School Trustee": Ana Brandt stands twice in the primary`,
	find:     findChoiceDuplicate,
	inspects: true,
}

// choicePath is the place of the second entry's choice j in the compared form of
// a pair; extraPath that of a choice that only the primary has.
func choicePath(j int, field string) string {
	p := "Choices[" + strconv.Itoa(j) + "]"
	if field != "" {
		p += "." + field
	}
	return p
}

func extraPath(b *model.Contest, i int) string { return choicePath(len(b.Choices)+i, "") }

// onLines adds the party lines of a choice to its name.
func onLines(v *view, c *model.Choice) string {
	if len(c.Lines.Value) == 0 {
		return ""
	}
	return " (" + v.partyList(c.Lines.Value) + ")"
}

func findChoiceMissing(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		told := map[string]bool{} // a candidate who lacks all positions is one finding
		for _, j := range ps.positions[k].missing {
			_, parted := ps.positions[k].split[j]
			if name := plain(b.Choices[j].Name); !parted {
				ps.claims.add("contest", k, choicePath(j, ""))
				if told[name] {
					continue
				}
				told[name] = true
			}
			f := ps.aboutChoice(Finding{Check: "choice-missing", Grade: MustFix, Precincts: ps.pairNames(m)}, m.primary, -1, m.second, j)
			f.Second = f.Choice + onLines(ps.s, &b.Choices[j])
			f.Message = fmt.Sprintf("%s: %s was keyed, and the primary does not have it.", quote(f.Contest), quote(f.Second))
			mending := haveCandidate(k, &f, j, true)
			if i, ok := ps.positions[k].split[j]; ok {
				mending = splitPosition(k, &f, j, i, true)
				f.Primary = f.Choice + onLines(ps.p, &a.Choices[i])
				f.Message = fmt.Sprintf("%s: %s was keyed as a position of its own; the primary has one position for these lines.", quote(f.Contest), quote(f.Second))
				if at := m.choices.toSecond[i]; at >= 0 {
					ps.claims.add("contest", k, choicePath(at, "Lines"))
				}
			}
			ps.reportPair(m, f, "missing", ps.lineSubject(&b.Choices[j])).mend(mending)
			ps.claims.add("contest", k, choicePath(j, ""))
		}
		ps.reportOmitted(k, m, false)
	})
}

// lineSubject tells the positions of one person apart.
func (ps *pass) lineSubject(c *model.Choice) string { return ps.s.partyList(c.Lines.Value) }

func findChoiceExtra(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		told := map[string]bool{}
		for _, i := range ps.positions[k].extra {
			_, parted := ps.positions[k].joined[i]
			if name := plain(a.Choices[i].Name); !parted {
				ps.claims.add("contest", k, extraPath(b, i))
				if told[name] {
					continue
				}
				told[name] = true
			}
			f := ps.aboutChoice(Finding{Check: "choice-extra", Grade: MustFix, Precincts: ps.pairNames(m)}, m.primary, i, m.second, -1)
			f.Primary = f.Choice + onLines(ps.p, &a.Choices[i])
			f.Message = fmt.Sprintf("%s: the primary has %s, which was not keyed.", quote(f.Contest), quote(f.Primary))
			mending := haveCandidate(k, &f, i, false)
			if j, ok := ps.positions[k].joined[i]; ok {
				mending = splitPosition(k, &f, i, j, false)
				f.Second = f.Choice + onLines(ps.s, &b.Choices[j])
				f.Message = fmt.Sprintf("%s: the primary has %s as a position of its own; one position was keyed for these lines.", quote(f.Contest), quote(f.Primary))
				ps.claims.add("contest", k, choicePath(j, "Lines"))
			}
			ps.reportPair(m, f, "extra", ps.p.partyList(a.Choices[i].Lines.Value)).mend(mending)
			ps.claims.add("contest", k, extraPath(b, i))
		}
		ps.reportOmitted(k, m, true)
	})
}

// omitted are choices that one side's ballots leave out although its contest has
// them: by pair of contests, the second entry's choice.
type omitted struct {
	bySecond bool
	choice   int
	areas    []int
}

// omissions finds, for a pair of contests, choices that a style's own order
// leaves out. Write-in positions count only where some style lists them: many
// orders name the candidates alone.
func (ps *pass) omissions(k int) []omitted {
	m := ps.contests.pairs[k]
	a, b := ps.p.contests[m.primary].Choices, ps.s.contests[m.second].Choices
	var out []omitted
	note := func(bySecond bool, j, face int) {
		for i := range out {
			if out[i].bySecond == bySecond && out[i].choice == j {
				out[i].areas = append(out[i].areas, ps.ballots.faces[face].areas...)
				return
			}
		}
		out = append(out, omitted{bySecond, j, slices.Clone(ps.ballots.faces[face].areas)})
	}
	var lists [2]bool // whether any style of a side lists a write-in position
	visit := func(do func(face int, p, s *model.Placement)) { ps.eachMeeting(k, do) }
	visit(func(_ int, p, s *model.Placement) {
		lists[0] = lists[0] || slices.ContainsFunc(p.Order.Value, func(i int) bool { return a[i].WriteIn })
		lists[1] = lists[1] || slices.ContainsFunc(s.Order.Value, func(j int) bool { return b[j].WriteIn })
	})
	visit(func(face int, p, s *model.Placement) {
		if p.Order.Known && len(p.Order.Value) < len(a) {
			for i := range a {
				if j := m.choices.toSecond[i]; j >= 0 && !slices.Contains(p.Order.Value, i) && (!a[i].WriteIn || lists[0]) &&
					(!s.Order.Known || slices.Contains(s.Order.Value, j) || len(s.Order.Value) == 0) {
					note(false, j, face)
				}
			}
		}
		if s.Order.Known && len(s.Order.Value) < len(b) {
			for j := range b {
				if i := m.choices.toPrimary[j]; i >= 0 && !slices.Contains(s.Order.Value, j) && (!b[j].WriteIn || lists[1]) &&
					(!p.Order.Known || slices.Contains(p.Order.Value, i)) {
					note(true, j, face)
				}
			}
		}
	})
	return out
}

// reportOmitted reports choices that stand in the contest and not on every
// ballot that carries it.
func (ps *pass) reportOmitted(k int, m contestPair, bySecond bool) {
	for _, o := range ps.omitted[k] {
		if o.bySecond != bySecond {
			continue
		}
		i := m.choices.toPrimary[o.choice]
		f := ps.aboutChoice(Finding{Check: "choice-missing", Grade: MustFix, Precincts: ps.areaNames(o.areas), Primary: "not on the ballot", Second: "on the ballot"}, m.primary, i, m.second, o.choice)
		f.Message = fmt.Sprintf("%s: %s was keyed, and the primary leaves it off the ballot of %s.", quote(f.Contest), quote(f.Choice), countPrecincts(f.Precincts))
		if bySecond {
			f.Check, f.Primary, f.Second = "choice-extra", "on the ballot", "not on the ballot"
			f.Message = fmt.Sprintf("%s: the primary has %s on the ballot of %s, where it was not keyed.", quote(f.Contest), quote(f.Choice), countPrecincts(f.Precincts))
		}
		if ps.s.contests[m.second].Choices[o.choice].WriteIn {
			f.Check = "write-in"
		}
		ps.reportPair(m, f, "omitted", ps.lineSubject(&ps.s.contests[m.second].Choices[o.choice])).mend(listChoice(k, &f, o))
	}
}

func findChoiceName(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		type spelling struct{ primary, second string }
		done := map[spelling]bool{}
		for j := range b.Choices {
			i := m.choices.toPrimary[j]
			if i < 0 || a.Choices[i].WriteIn || b.Choices[j].WriteIn || !a.Choices[i].Name.Known || !b.Choices[j].Name.Known {
				continue
			}
			x, y := plain(a.Choices[i].Name), plain(b.Choices[j].Name)
			f, differs := wordingFinding("choice-name", x, y)
			if !differs {
				continue
			}
			// A misspelling makes another person of a keyed name; that is explained too.
			ps.claims.add("contest", k, choicePath(j, "Name"), choicePath(j, "Person"))
			if done[spelling{x, y}] || ps.explainedByParty(b, x, y) {
				continue
			}
			done[spelling{x, y}] = true
			f = ps.aboutChoice(f, m.primary, i, m.second, j)
			f.Precincts = ps.pairNames(m)
			f.Message = fmt.Sprintf("%s: the name keyed as %s is %s in the primary; it differs %s.", quote(f.Contest), quote(y), quote(x), differsIn(x, y))
			ps.reportPair(m, f, "name").mend(setNames(k, &f, x, y))
		}
	})
}

// explainedByParty is true where the choice of a straight-party contest is a party
// whose name differs: party-name says so.
func (ps *pass) explainedByParty(b *model.Contest, primary, second string) bool {
	if b.Kind.Value != model.KindParty {
		return false
	}
	for i, j := range ps.parties.toSecond {
		if j >= 0 && ps.p.words(ps.p.Parties[i].Name.Value) == primary && ps.s.words(ps.s.Parties[j].Name.Value) == second {
			return true
		}
	}
	return false
}

// eachMeeting visits the faces on which a pair of contests meets, with both
// sides' placement of it.
func (ps *pass) eachMeeting(k int, visit func(face int, p, s *model.Placement)) {
	for _, mt := range ps.meetings[k] {
		visit(mt.face, mt.primary, mt.second)
	}
}

// orderDifference is how the choices of a pair of contests stand in another order
// on one side: where, and one example in terms of the second entry's choices.
type orderDifference struct {
	areas           []int
	primary, second []int
	stated          bool // by the primary's style, in a contest that is not rotated
}

func (ps *pass) compareOrders(k int) orderDifference {
	var d orderDifference
	m := ps.contests.pairs[k]
	a := &ps.p.contests[m.primary]
	order := ps.orderComparer(m)
	ps.eachMeeting(k, func(face int, p, s *model.Placement) {
		x, y := order.compare(p, s)
		if x == nil {
			return
		}
		if d.primary == nil {
			d.primary, d.second = slices.Clone(x), slices.Clone(y)
		}
		d.areas = append(d.areas, ps.ballots.faces[face].areas...)
		if rotated := a.Rotates.Value && !s.Order.Known; p.Order.Known && !rotated {
			d.stated = true
		}
	})
	return d
}

func findChoiceOrder(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		d := ps.orders[k]
		if d.primary == nil {
			return
		}
		f := ps.about(Finding{Check: "choice-order", Grade: Confirm, Precincts: ps.areaNames(d.areas)}, m.primary, m.second)
		f.Primary, f.Second = ps.choiceList(m, d.primary), ps.choiceList(m, d.second)
		switch {
		case d.stated:
			f.Grade = MustFix
			f.Message = fmt.Sprintf("%s: the choices stand in another order in the primary, on the ballot of %s.", quote(f.Contest), countPrecincts(f.Precincts))
		case a.Rotates.Value:
			f.Message = fmt.Sprintf("%s: the primary rotates the choices from ballot to ballot, and no order was keyed ballot by ballot; check the order in %s.", quote(f.Contest), countPrecincts(f.Precincts))
		default:
			f.Message = fmt.Sprintf("%s: the choices stand in another order in the primary, which does not say in what order the ballot prints them.", quote(f.Contest))
		}
		ps.reportPair(m, f, "order").mend(setOrder(k, &f))
	})
}

// orderComparer compares the orders in which two placements print the paired
// choices of their contests, in terms of the second entry's choices. Most
// placements of a county repeat the few orders there are, so equal ones are told
// without work.
type orderComparer struct {
	m     contestPair
	a, b  int // numbers of choices
	alike []int
	x, y  []int
}

func (ps *pass) orderComparer(m contestPair) orderComparer {
	a, b := &ps.p.contests[m.primary], &ps.s.contests[m.second]
	return orderComparer{m: m, a: len(a.Choices), b: len(b.Choices), alike: alikePositions(b)}
}

// compare returns both orders where they differ, else nil. The slices are good
// until the next call.
func (o *orderComparer) compare(p, s *model.Placement) (x, y []int) {
	o.x, o.y = o.x[:0], o.y[:0]
	each(p.Order, o.a, func(i int) {
		if j := o.m.choices.toSecond[i]; j >= 0 {
			o.x = append(o.x, o.alike[j])
		}
	})
	each(s.Order, o.b, func(j int) {
		if o.m.choices.toPrimary[j] >= 0 {
			o.y = append(o.y, o.alike[j])
		}
	})
	if slices.Equal(o.x, o.y) {
		return nil, nil
	}
	if len(o.x) != len(o.y) { // left-out choices are another finding
		o.x = slices.DeleteFunc(o.x, func(j int) bool { return !slices.Contains(o.y, j) })
		o.y = slices.DeleteFunc(o.y, func(j int) bool { return !slices.Contains(o.x, j) })
		o.x, o.y = firsts(o.x), firsts(o.y)
		if slices.Equal(o.x, o.y) {
			return nil, nil
		}
	}
	return o.x, o.y
}

// firsts keeps each element where it first stands.
func firsts(list []int) []int {
	out := list[:0]
	for _, j := range list {
		if !slices.Contains(out, j) {
			out = append(out, j)
		}
	}
	return out
}

// alikePositions gives, for each choice of the second entry, the first of those
// that nothing printed tells from it: write-in positions, and positions of one name
// whose party lines are the same or were not keyed. Their order says nothing.
func alikePositions(b *model.Contest) []int {
	out := make([]int, len(b.Choices))
	for j := range b.Choices {
		out[j] = j
		for i := range min(j, 500) { // no ballot is longer
			x, y := &b.Choices[i], &b.Choices[j]
			if x.WriteIn && y.WriteIn || !x.WriteIn && !y.WriteIn && plain(x.Name) == plain(y.Name) &&
				(!x.Lines.Known || !y.Lines.Known || slices.Equal(x.Lines.Value, y.Lines.Value)) {
				out[j] = out[i]
				break
			}
		}
	}
	return out
}

func each(order model.Stated[[]int], n int, visit func(int)) {
	if order.Known {
		for _, i := range order.Value {
			visit(i)
		}
		return
	}
	for i := range n {
		visit(i)
	}
}

func (ps *pass) choiceList(m contestPair, list []int) string {
	names := make([]string, len(list))
	for i, j := range list {
		names[i] = ps.s.choice(m.second, j) + onLines(ps.s, &ps.s.contests[m.second].Choices[j])
	}
	return strings.Join(names, "; ")
}

func findWriteIn(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		n := ps.positions[k].writeIns
		for i := range ps.positions[k].namedWriteIn {
			ps.claims.add("contest", k, extraPath(b, i))
		}
		if n[0] == n[1] {
			return
		}
		for j := range b.Choices {
			if b.Choices[j].WriteIn && m.choices.toPrimary[j] < 0 {
				ps.claims.add("contest", k, choicePath(j, ""))
			}
		}
		for i := range a.Choices {
			if a.Choices[i].WriteIn && m.choices.toSecond[i] < 0 {
				ps.claims.add("contest", k, extraPath(b, i))
			}
		}
		f := ps.about(Finding{Check: "write-in", Grade: MustFix, Primary: strconv.Itoa(n[0]), Second: strconv.Itoa(n[1]), Precincts: ps.pairNames(m)}, m.primary, m.second)
		f.Message = fmt.Sprintf("%s: the primary has %s, and %s keyed.", quote(f.Contest), countOf(n[0], "write-in position"), wasKeyed(n[1]))
		if named := len(ps.positions[k].namedWriteIn); named > 0 {
			f.Message += " The primary holds the words for a write-in as if they were a candidate."
		}
		ps.reportPair(m, f, "write-ins").mend(setWriteIns(k, &f))
	})
}

func wasKeyed(n int) string {
	if n == 1 {
		return "1 was"
	}
	return strconv.Itoa(n) + " were"
}

func countOf(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

func findChoiceDuplicate(ps *pass) {
	reported := map[[2]int]bool{} // of the primary: contest, name's first choice
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
				reported[[2]int{m.primary, firstNamed(a, d.choice)}] = true
			}
			ps.reportPair(m, f, "twice").mend(haveChoice(k, &f, d.choice, d.second))
		}
	})
	for _, d := range ps.doubledInside() {
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

func (ps *pass) doubledInside() []doubledChoice {
	var out []doubledChoice
	for ci := range ps.p.contests {
		list := ps.p.contests[ci].Choices
		byName := map[string][]int{}
		for i := range list {
			if name := plain(list[i].Name); name != "" && !list[i].WriteIn {
				byName[name] = append(byName[name], i)
			}
		}
		for _, name := range sortedKeys(byName) {
			same := byName[name]
			if len(same) < 2 || len(same) > 64 || ps.keyedAsTwoPersons(ci, same) {
				continue
			}
			for x := 1; x < len(same); x++ {
				for y := range x {
					i, j := same[y], same[x]
					a, b := ps.jointLines(ps.p, list[i].Lines.Value), ps.jointLines(ps.p, list[j].Lines.Value)
					d := doubledChoice{contest: ci, other: i, choice: j, sameLines: slices.Equal(a, b), line: -1}
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
	}
	return out
}

// keyedAsTwoPersons is true where the second entry says that positions of one
// name are different people.
func (ps *pass) keyedAsTwoPersons(contest int, choices []int) bool {
	for _, m := range ps.contests.pairs {
		if m.primary != contest {
			continue
		}
		persons := map[string]bool{}
		for _, i := range choices {
			if j := m.choices.toSecond[i]; j >= 0 {
				persons[ps.s.contests[m.second].Choices[j].Person] = true
			}
		}
		return len(persons) > 1
	}
	return false
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
