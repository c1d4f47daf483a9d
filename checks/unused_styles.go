package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
)

// unusedStyles finds, for styles of the second entry, the style of the export that is meant and
// that no precinct gets there: it has the label that was keyed or, where none was, the same
// contests for the same voters.
func unusedStyles(ds *difference.Differences) map[int]int {
	var unused []int
	for i, st := range ds.Primary.Styles {
		if len(st.Precincts) == 0 {
			unused = append(unused, i)
		}
	}
	out := map[int]int{}
	if len(unused) == 0 {
		return out
	}
	ballot := func(v *pairing.Side, style int) string {
		return ds.VotersKey(v, style) + "\x00" + ds.ContentSet(v, []int{style}).Key()
	}
	byBallot := map[string]int{}
	byLabel := map[string]int{}
	for _, i := range unused {
		byBallot[ballot(ds.Primary, i)] = i
		if label := ds.Primary.Styles[i].Label; label.Value != "" {
			byLabel[ds.VotersKey(ds.Primary, i)+"\x00"+label.Value] = i
		}
	}
	for j, st := range ds.Second.Styles {
		i, ok := byBallot[ballot(ds.Second, j)]
		if st.Label.Value != "" {
			i, ok = byLabel[ds.VotersKey(ds.Second, j)+"\x00"+st.Label.Value]
		}
		if ok {
			out[j] = i
		}
	}
	return out
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
		r.unused[i] = true
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
