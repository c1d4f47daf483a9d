package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
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

// onLines adds the party lines of a choice to its name.
func onLines(v *pairing.Side, c *model.Choice) string {
	if len(c.Lines.Value) == 0 {
		return ""
	}
	return " (" + v.PartyList(c.Lines.Value) + ")"
}

// calledChoice is the name of the choice that a finding is about, for people.
func calledChoice(f *finding.Finding) string { return cmp.Or(f.Choice, "a position without a name") }

// onAllLines adds the party lines of all positions of a candidate who lacks them all
// on the other side: those of choice j and of the rest of the list with its name,
// but for positions that were parted.
func onAllLines(v *pairing.Side, choices []model.Choice, list []int, j int, parted map[int]int) string {
	var lines []string
	for _, i := range list {
		if _, ok := parted[i]; ok || pairing.Plain(choices[i].Name) != pairing.Plain(choices[j].Name) || len(choices[i].Lines.Value) == 0 {
			continue
		}
		if l := v.PartyList(choices[i].Lines.Value); !slices.Contains(lines, l) {
			lines = append(lines, l)
		}
	}
	if len(lines) == 0 {
		return ""
	}
	return " (" + strings.Join(natural.Sorted(lines), "; ") + ")"
}

func findChoiceMissing(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		reported := map[string]*found{} // a candidate who lacks all positions is one finding
		for _, j := range ds.Positions[k].Missing {
			_, parted := ds.Positions[k].Split[j]
			name := pairing.Plain(b.Choices[j].Name)
			whole := choiceRef(m, finding.None, j).Claims(finding.Whole)
			if one := reported[name]; one != nil && !parted {
				one.claim(whole...)
				continue
			}
			f := ds.AboutChoice(finding.Finding{Check: "choice-missing", Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, -1, m.Second, j)
			f.Second = calledChoice(&f) + onAllLines(ds.Second, b.Choices, ds.Positions[k].Missing, j, ds.Positions[k].Split)
			f.Message = fmt.Sprintf("%s: %s was keyed, and the primary does not have it.", finding.Quote(f.Contest), finding.Quote(f.Second))
			mending := haveCandidate(k, &f, j, true)
			if i, ok := ds.Positions[k].Split[j]; ok {
				mending = splitPosition(k, &f, j, i, true)
				f.Second = f.Choice + onLines(ds.Second, &b.Choices[j])
				f.Primary = f.Choice + onLines(ds.Primary, &a.Choices[i])
				f.Message = fmt.Sprintf("%s: %s was keyed as a position of its own; the primary has one position for these lines.", finding.Quote(f.Contest), finding.Quote(f.Second))
				if at := m.Choices.ToSecond[i]; at >= 0 {
					whole = append(whole, choiceRef(m, i, at).Claims(finding.Lines)...)
				}
			}
			one := r.reportPair(m, f, "missing", lineSubject(ds, &b.Choices[j])).claim(whole...)
			one.mend(mending)
			if !parted {
				reported[name] = one
			}
		}
		reportOmitted(ds, r, k, m, false)
	})
}

// lineSubject tells the positions of one person apart.
func lineSubject(ds *difference.Differences, c *model.Choice) string {
	return ds.Second.PartyList(c.Lines.Value)
}

func findChoiceExtra(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		reported := map[string]*found{}
		for _, i := range ds.Positions[k].Extra {
			_, parted := ds.Positions[k].Joined[i]
			name := pairing.Plain(a.Choices[i].Name)
			whole := choiceRef(m, i, finding.None).Claims(finding.Whole)
			if one := reported[name]; one != nil && !parted {
				one.claim(whole...)
				continue
			}
			f := ds.AboutChoice(finding.Finding{Check: "choice-extra", Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, i, m.Second, -1)
			f.Primary = calledChoice(&f) + onAllLines(ds.Primary, a.Choices, ds.Positions[k].Extra, i, ds.Positions[k].Joined)
			f.Message = fmt.Sprintf("%s: the primary has %s, which was not keyed.", finding.Quote(f.Contest), finding.Quote(f.Primary))
			mending := haveCandidate(k, &f, i, false)
			if j, ok := ds.Positions[k].Joined[i]; ok {
				mending = splitPosition(k, &f, i, j, false)
				f.Primary = f.Choice + onLines(ds.Primary, &a.Choices[i])
				f.Second = f.Choice + onLines(ds.Second, &b.Choices[j])
				f.Message = fmt.Sprintf("%s: the primary has %s as a position of its own; one position was keyed for these lines.", finding.Quote(f.Contest), finding.Quote(f.Primary))
				whole = append(whole, choiceRef(m, m.Choices.ToPrimary[j], j).Claims(finding.Lines)...)
			}
			one := r.reportPair(m, f, "extra", ds.Primary.PartyList(a.Choices[i].Lines.Value)).claim(whole...)
			one.mend(mending)
			if !parted {
				reported[name] = one
			}
		}
		reportOmitted(ds, r, k, m, true)
	})
}

// reportOmitted reports choices that stand in the contest and not on every
// ballot that carries it.
func reportOmitted(ds *difference.Differences, r *reporter, k int, m pairing.ContestPair, bySecond bool) {
	for _, o := range ds.Omitted[k] {
		if o.BySecond != bySecond || o.Twice {
			continue
		}
		i := m.Choices.ToPrimary[o.Choice]
		f := ds.AboutChoice(finding.Finding{Check: "choice-missing", Grade: finding.MustFix, Precincts: ds.AreaNames(o.Areas), Primary: "not on the ballot", Second: "on the ballot"}, m.Primary, i, m.Second, o.Choice)
		f.Message = fmt.Sprintf("%s: %s was keyed, and the primary leaves it off the ballot of %s.", finding.Quote(f.Contest), finding.Quote(f.Choice), finding.CountPrecincts(f.Precincts))
		if bySecond {
			f.Check, f.Primary, f.Second = "choice-extra", "on the ballot", "not on the ballot"
			f.Message = fmt.Sprintf("%s: the primary has %s on the ballot of %s, where it was not keyed.", finding.Quote(f.Contest), finding.Quote(f.Choice), finding.CountPrecincts(f.Precincts))
		}
		if ds.Second.Compared[m.Second].Choices[o.Choice].WriteIn {
			f.Check = "write-in"
		}
		r.reportPair(m, f, "omitted", lineSubject(ds, &ds.Second.Compared[m.Second].Choices[o.Choice])).
			claim(ballotClaims(ds, o.Areas, finding.Order, m.Primary, m.Second)...).mend(listChoice(k, &f, o))
	}
}

func findChoiceName(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		type spelling struct{ primary, second string }
		reported := map[spelling]*found{}
		for j := range b.Choices {
			i := m.Choices.ToPrimary[j]
			if i < 0 || a.Choices[i].WriteIn || b.Choices[j].WriteIn || !b.Choices[j].Name.Known {
				continue
			}
			x, y := pairing.Plain(a.Choices[i].Name), pairing.Plain(b.Choices[j].Name)
			f, differs := wordingFinding("choice-name", x, y)
			if !differs {
				continue
			}
			// A misspelling makes another person of a keyed name; that is explained too.
			named := choiceRef(m, i, j).Claims(finding.Name, finding.Person)
			if one := reported[spelling{x, y}]; one != nil {
				one.claim(named...)
				continue
			}
			if explainedByParty(ds, b, x, y) {
				r.agree(named...)
				continue
			}
			f = ds.AboutChoice(f, m.Primary, i, m.Second, j)
			f.Precincts = ds.PairNames(m)
			f.Message = fmt.Sprintf("%s: the name keyed as %s is %s in the primary; it differs %s.", finding.Quote(f.Contest), finding.Quote(y), finding.Quote(x), finding.DiffersIn(x, y))
			if x == "" {
				f.Message = fmt.Sprintf("%s: the primary holds no words for the choice keyed as %s.", finding.Quote(f.Contest), finding.Quote(y))
			}
			one := r.reportPair(m, f, "name").claim(named...)
			one.mend(setNames(k, &f, x, y))
			reported[spelling{x, y}] = one
		}
	})
}

// explainedByParty is true where the choice of a straight-party contest is a party
// whose name differs: party-name says so.
func explainedByParty(ds *difference.Differences, b *model.Contest, primary, second string) bool {
	if b.Kind.Value != model.KindParty {
		return false
	}
	for i, j := range ds.Parties.ToSecond {
		if j >= 0 && ds.Primary.Words(ds.Primary.Parties[i].Name.Value) == primary && ds.Second.Words(ds.Second.Parties[j].Name.Value) == second {
			return true
		}
	}
	return false
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
		f := ds.About(finding.Finding{Check: "write-in", Grade: finding.MustFix, Primary: strconv.Itoa(n[0]), Second: strconv.Itoa(n[1]), Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		f.Message = fmt.Sprintf("%s: the primary has %s, and %s keyed.", finding.Quote(f.Contest), countOf(n[0], "write-in position"), wasKeyed(n[1]))
		if named := len(ds.Positions[k].NamedWriteIn); named > 0 {
			f.Message += " The primary holds the words for a write-in as if they were a candidate."
		}
		r.reportPair(m, f, "write-ins").claim(lone...).mend(setWriteIns(k, &f))
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
