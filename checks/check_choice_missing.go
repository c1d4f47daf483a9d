package checks

import (
	"cmp"
	"fmt"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeChoiceMissing finding.Code = "choice-missing"

var choiceMissing = &Check{Check: finding.Check{
	Code:    codeChoiceMissing,
	Purpose: "a voting position was keyed and is not in the export",
	Doc: `A candidate or other choice that was keyed for a contest and that the export does not
hold there, or leaves off the ballots of some styles. A contest that has no choices in the
export is one finding. Graded must-fix.`,
	Example:  `"Town Clerk": Ruth Adeyemi was keyed, and the export does not have her`,
	Mark:     finding.MarkMissing,
	Mirror:   codeChoiceExtra,
	BothWays: true,
	Keyed:    []finding.Thing{finding.Choice},
	Sentence: sayChoiceMissing,
},
	find: findChoiceMissing,

	join: joinMoved,
}

const codeChoiceExtra finding.Code = "choice-extra"

var choiceExtra = &Check{Check: finding.Check{
	Code:    codeChoiceExtra,
	Purpose: "a voting position is in the export and was not keyed",
	Doc: `A candidate or other choice that the export holds in a contest and that was not keyed
there: a withdrawn candidate left in, a position too many. A contest that was keyed without
choices is one finding. Graded must-fix.`,
	Example:  `"Town Clerk": the export has Alan Fosse, who was not keyed`,
	Mark:     finding.MarkExtra,
	Mirror:   codeChoiceMissing,
	BothWays: true,
	Keyed:    []finding.Thing{finding.Choice},
	Sentence: sayChoiceExtra,
},
	find: findChoiceExtra,
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

// linesByName are the party lines of all positions of each candidate who lacks them all on
// the other side, by name: those of the list, but for positions that were parted.
func linesByName(v *pairing.Side, choices []model.Choice, list []int, parted map[int]int) map[string][]string {
	out := map[string][]string{}
	for _, i := range list {
		if _, ok := parted[i]; !ok && len(choices[i].Lines.Value) > 0 {
			name := pairing.Plain(choices[i].Name)
			out[name] = append(out[name], v.PartyList(choices[i].Lines.Value))
		}
	}
	return out
}

// onAllLines adds the party lines of all positions of a candidate to the name.
func onAllLines(lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	return " (" + strings.Join(natural.Sorted(lines), "; ") + ")"
}

func findChoiceMissing(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if reportEmpty(ds, r, m, true, b.Choices, a.Choices) {
			return
		}
		reported := map[string]*found{} // a candidate who lacks all positions is one finding
		lines := linesByName(ds.Second, b.Choices, ds.Positions[k].Missing, ds.Positions[k].Split)
		for _, j := range ds.Positions[k].Missing {
			if r.claims.whole(choiceRef(m, finding.None, j)) {
				continue
			}
			_, parted := ds.Positions[k].Split[j]
			name := pairing.Plain(b.Choices[j].Name)
			whole := choiceRef(m, finding.None, j).Claims(finding.Whole)
			if one := reported[name]; one != nil && !parted {
				one.claim(whole...)
				continue
			}
			f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, -1, m.Second, j)
			f.Second = calledChoice(&f) + onAllLines(lines[name])
			f.Facts = lackedByOther
			if i, ok := ds.Positions[k].Split[j]; ok {
				f.Second = f.Choice + onLines(ds.Second, &b.Choices[j])
				f.Primary = f.Choice + onLines(ds.Primary, &a.Choices[i])
				f.Facts = partOfPosition
				if at := m.Choices.ToSecond[i]; at >= 0 {
					whole = append(whole, choiceRef(m, i, at).Claims(finding.Lines)...)
				}
			}
			one := r.reportPair(m, f, "missing", lineSubject(ds, &b.Choices[j])).claim(whole...)
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
		if reportEmpty(ds, r, m, false, a.Choices, b.Choices) {
			return
		}
		reported := map[string]*found{}
		lines := linesByName(ds.Primary, a.Choices, ds.Positions[k].Extra, ds.Positions[k].Joined)
		for _, i := range ds.Positions[k].Extra {
			if r.claims.whole(choiceRef(m, i, finding.None)) {
				continue
			}
			_, parted := ds.Positions[k].Joined[i]
			name := pairing.Plain(a.Choices[i].Name)
			whole := choiceRef(m, i, finding.None).Claims(finding.Whole)
			if one := reported[name]; one != nil && !parted {
				one.claim(whole...)
				continue
			}
			f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, i, m.Second, -1)
			f.Primary = calledChoice(&f) + onAllLines(lines[name])
			f.Facts = lackedByOther
			if j, ok := ds.Positions[k].Joined[i]; ok {
				f.Primary = f.Choice + onLines(ds.Primary, &a.Choices[i])
				f.Second = f.Choice + onLines(ds.Second, &b.Choices[j])
				f.Facts = partOfPosition
				whole = append(whole, choiceRef(m, m.Choices.ToPrimary[j], j).Claims(finding.Lines)...)
			}
			one := r.reportPair(m, f, "extra", ds.Primary.PartyList(a.Choices[i].Lines.Value)).claim(whole...)
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
	for n, o := range ds.Omitted[k] {
		if o.BySecond != bySecond || o.Twice || r.lost.omitted[[2]int{k, n}] {
			continue
		}
		f := finding.Finding{Check: codeChoiceMissing, Grade: finding.MustFix, Precincts: ds.AreaNames(o.Areas),
			Facts:   leftOffBallot,
			Primary: "not on the ballot", Second: "on the ballot"}
		if bySecond {
			f.Check, f.Facts, f.Primary, f.Second = codeChoiceExtra, addedToBallot, f.Second, f.Primary
		}
		ofWriteIns(&f, &ds.Second.Compared[m.Second].Choices[o.Choice])
		f = ds.AboutChoice(f, m.Primary, m.Choices.ToPrimary[o.Choice], m.Second, o.Choice)
		r.reportPair(m, f, "omitted", lineSubject(ds, &ds.Second.Compared[m.Second].Choices[o.Choice])).
			claim(ballotClaims(ds, o.Areas, finding.Order, m.Primary, m.Second)...)
	}
}

// choiceCase tells the cases of a choice that one side lacks apart.
type choiceCase int

const (
	lackedByOther  choiceCase = iota // the other side's contest does not have it
	partOfPosition                   // the other side has its lines in one position with others
	leftOffBallot                    // the primary's contest has it, and its ballots do not
	addedToBallot                    // the primary's ballots have it, and those keyed do not
	twiceOnBallot                    // the primary's ballots list it twice
	keyedTwice                       // the ballots keyed list it twice
)

// sayChoiceOnBallot words the cases in which the contests agree and the ballots do not.
func sayChoiceOnBallot(f *finding.Finding) string {
	contest, choice, precincts := finding.Quote(f.Contest), finding.Quote(f.Choice), finding.CountPrecincts(f.Precincts)
	switch f.Facts.(choiceCase) {
	case addedToBallot:
		return fmt.Sprintf("%s: the export has %s on the ballot of %s, where it was not keyed.", contest, choice, precincts)
	case twiceOnBallot:
		return fmt.Sprintf("%s: the export lists %s twice in the order of the choices on the ballot of %s.", contest,
			choice, precincts)
	case keyedTwice:
		return fmt.Sprintf("%s: %s was keyed twice in the order of the choices on the ballot of %s.", contest, choice,
			precincts)
	}
	return fmt.Sprintf("%s: %s was keyed, and the export leaves it off the ballot of %s.", contest, choice, precincts)
}

func sayChoiceMissing(f *finding.Finding) string {
	if x, ok := f.Facts.(emptyContest); ok {
		return x.sentence(f)
	}
	contest, choice := finding.Quote(f.Contest), finding.Quote(f.Second)
	switch f.Facts.(choiceCase) {
	case lackedByOther:
		return fmt.Sprintf("%s: %s was keyed, and the export does not have it.", contest, choice)
	case partOfPosition:
		return fmt.Sprintf("%s: %s was keyed as a position of its own; the export has one position for these lines.",
			contest, choice)
	}
	return sayChoiceOnBallot(f)
}

func sayChoiceExtra(f *finding.Finding) string {
	if x, ok := f.Facts.(emptyContest); ok {
		return x.sentence(f)
	}
	contest, choice := finding.Quote(f.Contest), finding.Quote(f.Primary)
	switch f.Facts.(choiceCase) {
	case lackedByOther:
		return fmt.Sprintf("%s: the export has %s, which was not keyed.", contest, choice)
	case partOfPosition:
		return fmt.Sprintf("%s: the export has %s as a position of its own; one position was keyed for these lines.",
			contest, choice)
	}
	return sayChoiceOnBallot(f)
}

// joinMoved joins a choice that is missing in one contest with the same choice that
// is too many in another.
func joinMoved(findings []finding.Finding, join joiner) {
	extra := map[string][]int{}
	for i := range findings {
		if f := &findings[i]; f.Check == codeChoiceExtra && f.Choice != "" {
			extra[f.Choice] = append(extra[f.Choice], i)
		}
	}
	for i := range findings {
		f := &findings[i]
		if f.Check != codeChoiceMissing || len(extra[f.Choice]) != 1 {
			continue // standing in several contests, it was not moved
		}
		k := extra[f.Choice][0]
		if o := &findings[k]; o.Contest != f.Contest || o.Party != f.Party {
			message := fmt.Sprintf("%s stands under %s in the export, and was keyed under %s.", finding.Quote(f.Choice),
				finding.Quote(o.Contest), finding.Quote(f.Contest))
			join("moved "+f.Choice, message, k)
			join("moved "+f.Choice, message, i)
		}
	}
}
