package checks

import (
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// emptyContest is a contest that has no choices on one side, but for blank lines, and several on
// the other: one finding, not one for each choice.
type emptyContest struct {
	Keyed   bool     // they were keyed; else the export has them
	Choices []string // names and lines
}

// reportEmpty reports a pair of contests of which one side has no choices. own are the choices of
// the side that has some, other those of the side that has none.
func reportEmpty(ds *difference.Differences, r *reporter, m pairing.ContestPair, keyed bool, own,
	other []model.Choice) bool {
	v, paired := ds.Primary, m.Choices.ToSecond
	if keyed {
		v, paired = ds.Second, m.Choices.ToPrimary
	}
	if slices.ContainsFunc(other, func(c model.Choice) bool { return !c.WriteIn }) {
		return false
	}
	x := emptyContest{Keyed: keyed}
	var claims []finding.Claim
	names := map[string]bool{}
	for i := range own {
		if paired[i] >= 0 || own[i].WriteIn && len(other) > 0 {
			continue // the number of blank lines is compared by itself
		}
		ref := choiceRef(m, i, finding.None)
		if keyed {
			ref = choiceRef(m, finding.None, i)
		}
		if claims = append(claims, ref.Claims(finding.Whole)...); own[i].WriteIn {
			names["\x00"] = true
			continue
		}
		names[pairing.Plain(own[i].Name)] = true
		x.Choices = append(x.Choices, pairing.Plain(own[i].Name)+onLines(v, &own[i]))
	}
	if len(names) < 2 || len(x.Choices) == 0 {
		return false
	}
	f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m), Facts: x}, m.Primary, m.Second)
	f.Primary, f.Second = finding.ShortList(x.Choices), "no choices"
	f.Values[0].List = x.Choices
	if keyed {
		f.Primary, f.Second = f.Second, f.Primary
		f.Values[0], f.Values[1] = f.Values[1], f.Values[0]
	}
	r.reportPair(m, f, "no choices").claim(claims...)
	return true
}

func (x emptyContest) sentence(f *finding.Finding) string {
	if x.Keyed {
		return fmt.Sprintf("%s: the export has the contest and no choices in it; keyed were %s.", finding.Quote(f.Contest),
			f.Second)
	}
	return fmt.Sprintf("%s: the contest was keyed without choices; the export has %s.", finding.Quote(f.Contest),
		f.Primary)
}
