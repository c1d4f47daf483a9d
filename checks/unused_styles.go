package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// unusedStyles finds, for styles of one side, the style of the other that is meant and that no
// precinct gets there: it has the same label or, where the styles have none, the same contests for
// the same voters.
func unusedStyles(ds *difference.Differences, side, other *pairing.Side) map[int]int {
	out := map[int]int{}
	byBallot, byLabel := map[string]int{}, map[string]int{}
	ballot := func(v *pairing.Side, style int) string {
		return ds.VotersKey(v, style) + "\x00" + ds.ContentSet(v, []int{style}).Key()
	}
	label := func(v *pairing.Side, style int) string {
		return ds.VotersKey(v, style) + "\x00" + wording.Normal(v.Styles[style].Label.Value)
	}
	for i, st := range other.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		byBallot[ballot(other, i)] = i
		if st.Label.Value != "" {
			byLabel[label(other, i)] = i
		}
	}
	if len(byBallot) == 0 {
		return out
	}
	for j, st := range side.Styles {
		i, ok := byBallot[ballot(side, j)]
		if st.Label.Value != "" && len(byLabel) > 0 {
			i, ok = byLabel[label(side, j)]
		}
		if ok {
			out[j] = i
		}
	}
	return out
}

// explainUnused notes the styles without precincts whose precincts carry another style's ballot.
func explainUnused(ds *difference.Differences, r *reporter) {
	if len(ds.Content.Wrong) == 0 {
		return
	}
	primary, second := unusedStyles(ds, ds.Second, ds.Primary), unusedStyles(ds, ds.Primary, ds.Second)
	for _, w := range ds.Content.Wrong {
		for _, area := range w.Areas {
			a := ds.Precincts.Areas[area]
			for _, j := range ds.Second.StylesOf[a.Second] {
				if i, ok := primary[j]; ok {
					r.unused[[2]int{0, i}] = true
				}
			}
			for _, i := range ds.Primary.StylesOf[a.Primary] {
				if j, ok := second[i]; ok {
					r.unused[[2]int{1, j}] = true
				}
			}
		}
	}
}

// allUnused returns the export's styles for those of a precinct of the second entry; nil unless
// each of them is one that no precinct gets.
func allUnused(unused map[int]int, styles []int) (out []int) {
	for _, j := range styles {
		i, ok := unused[j]
		if !ok {
			return nil
		}
		out = append(out, i)
	}
	return out
}

// unusedBallot is for precincts without a ballot whose style the export has and gives to nobody.
type unusedBallot struct{ Styles string }

// reportUnused reports precincts without a ballot, all for want of the same styles of the export.
func reportUnused(ds *difference.Differences, r *reporter, precincts []pairing.Area, styles []int) {
	var names, own []string
	for _, i := range styles {
		names = append(names, pairing.NameOfStyle(ds.Primary, i).Words())
		r.unused[[2]int{0, i}] = true
	}
	for _, a := range precincts {
		for _, j := range ds.Second.StylesOf[a.Second] {
			own = append(own, pairing.StyleName(ds.Second, j))
		}
	}
	own = natural.Sorted(own)
	f := finding.Finding{Grade: finding.MustFix, Primary: "no style", Second: finding.ShortList(own), Style: own[0],
		Facts:  unusedBallot{finding.ShortList(names)},
		Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(styles[0]))}}
	var claims []finding.Claim
	for _, a := range precincts {
		f.Precincts = append(f.Precincts, ds.Second.PrecinctName[a.Second])
		claims = append(claims, finding.RefTo(finding.Precinct, a.Primary, a.Second).Claims(finding.Style)...)
	}
	r.report(f, "unused", own[0]).claim(claims...)
}

func (x unusedBallot) sentence(f *finding.Finding) string {
	return fmt.Sprintf("%s %s no ballot in the export, which gives %s to no precinct; one was keyed for %s.",
		finding.Capital(finding.CountPrecincts(f.Precincts)), finding.Verb(f.Precincts, "has", "have"), x.Styles,
		finding.Verb(f.Precincts, "it", "them"))
}
