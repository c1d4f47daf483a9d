package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/natural"
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

var writeIn = &Check{
	Code:    "write-in",
	Purpose: "the number of write-in positions differs",
	Doc: `The blank lines for names that voters write in are counted on both sides. Graded
must-fix.`,
	Example: `"County Judge": one write-in position in the primary, two as keyed`,
	find:    findWriteIn,
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

// calledChoice is the name of the choice that a finding is about, for people.
func calledChoice(f *Finding) string { return cmp.Or(f.Choice, "a position without a name") }

// onAllLines adds the party lines of all positions of a candidate who lacks them all
// on the other side: those of choice j and of the rest of the list with its name,
// but for positions that were parted.
func onAllLines(v *view, choices []model.Choice, list []int, j int, parted map[int]int) string {
	var lines []string
	for _, i := range list {
		if _, ok := parted[i]; ok || plain(choices[i].Name) != plain(choices[j].Name) || len(choices[i].Lines.Value) == 0 {
			continue
		}
		if l := v.partyList(choices[i].Lines.Value); !slices.Contains(lines, l) {
			lines = append(lines, l)
		}
	}
	if len(lines) == 0 {
		return ""
	}
	return " (" + strings.Join(natural.Sorted(lines), "; ") + ")"
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
			f.Second = calledChoice(&f) + onAllLines(ps.s, b.Choices, ps.positions[k].missing, j, ps.positions[k].split)
			f.Message = fmt.Sprintf("%s: %s was keyed, and the primary does not have it.", quote(f.Contest), quote(f.Second))
			mending := haveCandidate(k, &f, j, true)
			if i, ok := ps.positions[k].split[j]; ok {
				mending = splitPosition(k, &f, j, i, true)
				f.Second = f.Choice + onLines(ps.s, &b.Choices[j])
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
			f.Primary = calledChoice(&f) + onAllLines(ps.p, a.Choices, ps.positions[k].extra, i, ps.positions[k].joined)
			f.Message = fmt.Sprintf("%s: the primary has %s, which was not keyed.", quote(f.Contest), quote(f.Primary))
			mending := haveCandidate(k, &f, i, false)
			if j, ok := ps.positions[k].joined[i]; ok {
				mending = splitPosition(k, &f, i, j, false)
				f.Primary = f.Choice + onLines(ps.p, &a.Choices[i])
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
// them, or list twice: by pair of contests, the second entry's choice.
type omitted struct {
	bySecond bool
	twice    bool // listed twice, by that side
	choice   int
	areas    []int
}

// omissions finds, for a pair of contests, choices that a style's own order
// leaves out or lists twice. Write-in positions that are left out count only where
// some style of the primary, or the order of the contest as keyed, lists them: many
// orders name the candidates alone.
func (ps *pass) omissions(k int) []omitted {
	m := ps.contests.pairs[k]
	a, b := ps.p.contests[m.primary].Choices, ps.s.contests[m.second].Choices
	var out []omitted
	note := func(bySecond, twice bool, j, face int) {
		for i := range out {
			if out[i].bySecond == bySecond && out[i].twice == twice && out[i].choice == j {
				out[i].areas = append(out[i].areas, ps.ballots.faces[face].areas...)
				return
			}
		}
		out = append(out, omitted{bySecond, twice, j, slices.Clone(ps.ballots.faces[face].areas)})
	}
	lists := [2]bool{ps.p.listsWriteIns, false} // whether write-in positions are listed
	visit := func(do func(face int, p, s *model.Placement)) { ps.eachMeeting(k, do) }
	visit(func(_ int, _, s *model.Placement) {
		lists[1] = lists[1] || slices.ContainsFunc(s.Order.Value, func(j int) bool { return b[j].WriteIn })
	})
	visit(func(face int, p, s *model.Placement) {
		again := [2][]int{repeated(p.Order.Value), repeated(s.Order.Value)}
		for _, i := range again[0] {
			if j := m.choices.toSecond[i]; j >= 0 && !slices.Contains(again[1], j) {
				note(false, true, j, face)
			}
		}
		for _, j := range again[1] {
			if i := m.choices.toPrimary[j]; i >= 0 && !slices.Contains(again[0], i) {
				note(true, true, j, face)
			}
		}
		if p.Order.Known && (len(p.Order.Value) < len(a) || len(again[0]) > 0) {
			for i := range a {
				if j := m.choices.toSecond[i]; j >= 0 && !slices.Contains(p.Order.Value, i) && (!a[i].WriteIn || lists[0]) &&
					(!s.Order.Known || slices.Contains(s.Order.Value, j) || len(s.Order.Value) == 0) {
					note(false, false, j, face)
				}
			}
		}
		if s.Order.Known && (len(s.Order.Value) < len(b) || len(again[1]) > 0) {
			for j := range b {
				if i := m.choices.toPrimary[j]; i >= 0 && !slices.Contains(s.Order.Value, j) && (!b[j].WriteIn || lists[1]) &&
					(!p.Order.Known || slices.Contains(p.Order.Value, i)) {
					note(true, false, j, face)
				}
			}
		}
	})
	return out
}

// repeated lists what stands twice or more often in an order, each once.
func repeated(order []int) []int {
	var out []int
	if len(order) < 2 {
		return nil
	}
	if len(order) > 64 {
		seen := map[int]int{}
		for _, i := range order {
			if seen[i]++; seen[i] == 2 {
				out = append(out, i)
			}
		}
		return out
	}
	for k, i := range order {
		if slices.Contains(order[:k], i) && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

// reportOmitted reports choices that stand in the contest and not on every
// ballot that carries it.
func (ps *pass) reportOmitted(k int, m contestPair, bySecond bool) {
	for _, o := range ps.omitted[k] {
		if o.bySecond != bySecond || o.twice {
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
			if i < 0 || a.Choices[i].WriteIn || b.Choices[j].WriteIn || !b.Choices[j].Name.Known {
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
			if x == "" {
				f.Message = fmt.Sprintf("%s: the primary holds no words for the choice keyed as %s.", quote(f.Contest), quote(y))
			}
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
