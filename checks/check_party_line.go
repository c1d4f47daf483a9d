package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codePartyLine finding.Code = "party-line"

var partyLine = &Check{Check: finding.Check{
	Code:    codePartyLine,
	Purpose: "a choice stands on another party line, lacks one, or has one too many",
	Doc: `The party lines of each voting position are compared as a set. A line that a person
stands on as a position of its own, and that one side lacks, is this finding too. Nothing
printed agrees with the contest's own primary party. Where nothing is printed in a whole
contest and the export merely gives candidates their own party, that is one finding for
the contest, graded confirm. Neither rule covers one choice that departs from what all
others have: it is a finding of its own, graded confirm. Otherwise must-fix.`,
	Example:  `"County Judge": Ida Marsh lacks the Lantern line in the export`,
	Mark:     finding.MarkLine,
	Field:    "the party line",
	Keyed:    []finding.Thing{finding.Choice, finding.Party},
	Sentence: sayPartyLine,
},
	find: findPartyLine,

	join: joinLines,
	exchange: func(f *finding.Finding) exchange {
		half := exchanged(f)
		half.within = f.Contest + "\x01" + f.Party
		return half
	},
}

func findPartyLine(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		odd := reportOddLines(ds, r, m, a, b)
		if linesOfWholeContest(ds, r, m, a, b, odd) {
			return
		}
		for j := range b.Choices {
			i := m.Choices.ToPrimary[j]
			if i < 0 || !a.Choices[i].Lines.Known || !b.Choices[j].Lines.Known ||
				r.claims.has(choiceRef(m, i, j), finding.Lines) {
				continue
			}
			if sameLines(ds, a.Choices[i].Lines.Value, b.Choices[j].Lines.Value) {
				continue
			}
			x, y := ds.PartyKeys(ds.Primary, a.Choices[i].Lines.Value), ds.PartyKeys(ds.Second, b.Choices[j].Lines.Value)
			if nothingPrinted(ds, a, b, x, y) {
				r.agree(choiceRef(m, i, j).Claims(finding.Lines)...)
				continue
			}
			f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m),
				Primary: ds.Primary.PartyList(a.Choices[i].Lines.Value), Second: ds.Second.PartyList(b.Choices[j].Lines.Value)},
				m.Primary, i, m.Second, j)
			f.Values = [2]finding.Value{{List: natural.Sorted(ds.PartyNames(a.Choices[i].Lines.Value))},
				{List: natural.Sorted(ds.Second.PartyNames(b.Choices[j].Lines.Value))}}
			f.Facts = lineDifference(ds, &a.Choices[i], &b.Choices[j], x, y)
			r.reportPair(m, f, "line", f.Second).claim(choiceRef(m, i, j).Claims(finding.Lines)...)
		}
		for _, j := range ds.Positions[k].LineMissing {
			if r.claims.whole(choiceRef(m, finding.None, j)) {
				continue
			}
			f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m),
				Second: ds.Second.PartyList(b.Choices[j].Lines.Value)}, m.Primary, -1, m.Second, j)
			f.Facts = unlikeLines{Lacks: []string{f.Second}}
			r.reportPair(m, f, "line", f.Second).claim(choiceRef(m, finding.None,
				j).Claims(finding.Whole)...)
		}
		for _, i := range ds.Positions[k].LineExtra {
			f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m),
				Primary: ds.Primary.PartyList(a.Choices[i].Lines.Value)}, m.Primary, i, m.Second, -1)
			f.Facts = unlikeLines{Extra: []string{f.Primary}, Position: true}
			r.reportPair(m, f, "line", f.Primary).claim(choiceRef(m, i,
				finding.None).Claims(finding.Whole)...)
		}
	})
}

// sameLines is true where a position of the primary and one of the second entry
// stand on the same party lines.
func sameLines(ds *difference.Differences, a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for _, l := range b {
		if !slices.Contains(a, ds.PartyKey(ds.Second, l)) {
			return false
		}
	}
	return true
}

func lineWord(list string) string {
	switch {
	case list == "":
		return "position without a party line"
	case strings.Contains(list, " | "):
		return list + " lines"
	}
	return list + " line"
}

// lineDifference is what differs between the lines of two positions; x and y
// are their keys.
func lineDifference(ds *difference.Differences, a, b *model.Choice, x, y []int) unlikeLines {
	var lacks, extra []string
	for _, l := range b.Lines.Value {
		if !slices.Contains(x, ds.PartyKey(ds.Second, l)) {
			lacks = append(lacks, ds.Second.PartyName[l])
		}
	}
	for _, l := range a.Lines.Value {
		if !slices.Contains(y, ds.PartyKey(ds.Primary, l)) {
			extra = append(extra, ds.Primary.PartyName[l])
		}
	}
	return unlikeLines{Lacks: lacks, Extra: extra}
}

// unlikeLines are the lines that a position lacks in the primary, and those that it has
// there as too many.
type unlikeLines struct {
	Lacks, Extra []string
	Position     bool // the line is a position of its own
}

// linesOfAll is for a contest in which one side has no party beside any choice; the
// lines are the other's.
type linesOfAll struct{ Lines string }

func sayPartyLine(f *finding.Finding) string {
	contest := finding.Quote(f.Contest)
	if x, ok := f.Facts.(linesOfAll); ok {
		if f.Grade == finding.Confirm {
			return fmt.Sprintf("%s: nothing was keyed beside the choices as printed; the export gives the candidates their "+
				"own parties (%s).", contest, x.Lines)
		}
		return fmt.Sprintf("%s: the export has no party beside any choice; keyed were %s.", contest, x.Lines)
	}
	if x, ok := f.Facts.(oddLines); ok {
		return x.sentence(contest, finding.Quote(f.Choice))
	}
	x := f.Facts.(unlikeLines)
	lacks, extra := lineWord(strings.Join(x.Lacks, " | ")), lineWord(strings.Join(x.Extra, " | "))
	how := fmt.Sprintf("stands on the %s in the export, and was keyed on the %s", extra, lacks)
	switch {
	case x.Position:
		how = "has the " + extra + " in the export as one too many; it was not keyed"
	case len(x.Extra) == 0:
		how = "lacks the " + lacks + " in the export"
	case len(x.Lacks) == 0:
		how = "has the " + extra + " in the export as one too many"
	}
	return fmt.Sprintf("%s: %s %s.", contest, finding.Quote(f.Choice), how)
}

// nothingPrinted is true where one side prints no party beside the choice and the
// other has the contest's own primary party, or the choice is a party itself.
func nothingPrinted(ds *difference.Differences, a, b *model.Contest, x, y []int) bool {
	if len(x) > 0 && len(y) > 0 {
		return false
	}
	if a.Kind.Value == model.KindParty || b.Kind.Value == model.KindParty {
		return true
	}
	own := append(ds.PartyKeys(ds.Primary, a.PrimaryParties.Value), ds.PartyKeys(ds.Second, b.PrimaryParties.Value)...)
	return len(own) > 0 && pairing.ContainsAll(own, x) && pairing.ContainsAll(own, y)
}

// linesOfWholeContest reports, as one finding, a contest in which one side prints
// no party beside any choice and the other has parties. The choice at odd has a finding
// of its own.
func linesOfWholeContest(ds *difference.Differences, r *reporter, m pairing.ContestPair, a, b *model.Contest,
	odd int) bool {
	n, bare, endorsed := 0, [2]bool{true, true}, [2]bool{}
	var withLines [2][]string
	for j := range b.Choices {
		i := m.Choices.ToPrimary[j]
		if i < 0 || j == odd || b.Choices[j].WriteIn || a.Choices[i].WriteIn ||
			r.claims.has(choiceRef(m, i, j), finding.Lines) {
			continue
		}
		x, y := a.Choices[i].Lines, b.Choices[j].Lines
		if !x.Known || !y.Known {
			return false
		}
		if len(x.Value)+len(y.Value) == 0 || nothingPrinted(ds, a, b, ds.PartyKeys(ds.Primary, x.Value),
			ds.PartyKeys(ds.Second, y.Value)) {
			continue
		}
		n++
		bare[0], bare[1] = bare[0] && len(x.Value) == 0, bare[1] && len(y.Value) == 0
		endorsed[0] = endorsed[0] || ds.Primary.Origins.Choice(m.Primary, i).Endorsed
		endorsed[1] = endorsed[1] || ds.Second.Origins.Choice(m.Second, j).Endorsed
		withLines[0] = append(withLines[0], ds.Primary.PartyList(x.Value))
		withLines[1] = append(withLines[1], ds.Second.PartyList(y.Value))
	}
	if n == 0 || bare[0] == bare[1] {
		return false
	}
	side := 0 // the side that has parties
	if bare[0] {
		side = 1
	}
	if endorsed[side] || side == 1 && n < 2 {
		return false
	}
	f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m)}, m.Primary, m.Second)
	list := strings.Join(natural.Sorted(withLines[side]), ", ")
	f.Primary, f.Second, f.Facts = "nothing printed", list, linesOfAll{list}
	if side == 0 {
		f.Grade, f.Primary, f.Second = finding.Confirm, f.Second, f.Primary
	}
	one := r.reportPair(m, f, "all lines")
	for j := range b.Choices {
		if j != odd {
			one.claim(choiceRef(m, m.Choices.ToPrimary[j], j).Claims(finding.Lines)...)
		}
	}
	return true
}

// joinLines joins what may be one mistake in how a party is entered: the same other
// line, or the same two lines exchanged, in at least three contests.
func joinLines(findings []finding.Finding, join joiner) {
	groups := map[string][]int{}
	contests := map[string]map[string]bool{}
	var keys []string
	for i := range findings {
		f := &findings[i]
		if f.Check != codePartyLine || f.Primary == "" || f.Second == "" || f.Choice == "" {
			continue
		}
		key := unordered(f.Primary, f.Second)
		if groups[key] == nil {
			keys, contests[key] = append(keys, key), map[string]bool{}
		}
		groups[key] = append(groups[key], i)
		contests[key][f.Contest+"\x00"+f.Party] = true
	}
	for _, key := range keys {
		list := groups[key]
		if len(contests[key]) < 3 {
			continue
		}
		first := &findings[list[0]]
		message := fmt.Sprintf("The same lines in %%d findings: %s in the export, %s as keyed.", first.Primary, first.Second)
		if slices.ContainsFunc(list, func(i int) bool { return findings[i].Primary != first.Primary }) {
			message = fmt.Sprintf("In %%d findings the lines %s and %s are exchanged.", first.Primary, first.Second)
		}
		for _, i := range list {
			join("lines "+key, message, i)
		}
	}
}
