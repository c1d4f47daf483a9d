package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

const codeStyleLabel finding.Code = "style-label"

var styleLabel = &Check{Check: finding.Check{
	Code:    codeStyleLabel,
	Purpose: "the style's label differs from the one keyed",
	Doc: `The label that was keyed for a ballot is not the one that the export gives its style.
Graded confirm; must-fix where it is the label of another style. Where not one label of
the two sides agrees, that is one finding: they are named by another scheme.`,
	Example:  `Style 07 as keyed is "BS-7" in the export`,
	Mark:     finding.MarkSpelling,
	Field:    "the label",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Ballot},
	Sentence: sayStyleLabel,
},
	find: findStyleLabel,

	exchange: exchanged,
}

func findStyleLabel(ds *difference.Differences, r *reporter) {
	type differing struct{ primary, second string }
	areas := map[differing][]int{}
	compared, agreed := 0, 0
	for fi := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[fi]
		if fc.WrongStyle || len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		a, b := ds.Primary.Styles[fc.Primary[0]].Label, ds.Second.Styles[fc.Second[0]].Label
		if !a.Known || !b.Known {
			continue
		}
		compared++
		if ds.LabelsAgree(fc.Primary[0], fc.Second[0]) || wording.Normal(a.Value) == wording.Normal(b.Value) {
			agreed++
			continue
		}
		k := differing{wording.Normal(a.Value), wording.Normal(b.Value)}
		areas[k] = append(areas[k], fc.Areas...)
	}
	if len(areas) == 0 {
		return
	}
	used := map[string]bool{}
	for i := range ds.Primary.Styles {
		if l := ds.Primary.Styles[i].Label; l.Known {
			used[wording.Normal(l.Value)] = true
		}
	}
	foreign := true // no label that was keyed is a label of the primary
	var all []int
	for k, list := range areas {
		foreign = foreign && !used[k.second]
		all = append(all, list...)
	}
	if agreed == 0 && compared > 2 && len(areas) > 2 && foreign {
		f := finding.Finding{Grade: finding.Confirm, Precincts: ds.AreaNames(all)}
		var pNames, sNames []string
		for k := range areas {
			pNames, sNames = append(pNames, k.primary), append(sNames, k.second)
		}
		f.Primary, f.Second = finding.ShortList(pNames), finding.ShortList(sNames)
		f.Facts = otherLabels(compared)
		r.report(f, "all labels").claim(ballotClaims(ds, all, finding.Label, finding.None,
			finding.None)...)
		return
	}
	for k, list := range areas {
		f := finding.Finding{Grade: finding.Confirm, Primary: k.primary, Second: k.second, Style: k.second,
			Precincts: ds.AreaNames(list)}
		f.Places.Primary = ds.PlaceOfStyle(list[0])
		if labelOfOther(ds, ds.Primary, k.second, list) || labelOfOther(ds, ds.Second, k.primary, list) {
			f.Grade = finding.MustFix
		}
		r.report(f, "label", k.second).claim(ballotClaims(ds, list, finding.Label, finding.None, finding.None)...)
	}
}

// labelOfOther is true where a label is, on one side, that of another style: one
// with another content than those of the areas.
func labelOfOther(ds *difference.Differences, v *pairing.Side, label string, areas []int) bool {
	own := map[string]bool{}
	for _, a := range areas {
		precinct := ds.Precincts.Areas[a].Primary
		if v == ds.Second {
			precinct = ds.Precincts.Areas[a].Second
		}
		for _, st := range v.StylesOf[precinct] {
			own[ds.ContentSet(v, []int{st}).Key()] = true
		}
	}
	for st := range v.Styles {
		if pairing.HasLabel(v, st, label) && !own[ds.ContentSet(v, []int{st}).Key()] {
			return true
		}
	}
	return false
}

// otherLabels is how many styles were compared of which no label agrees.
type otherLabels int

func sayStyleLabel(f *finding.Finding) string {
	if h, ok := f.Facts.(harmedLabels); ok {
		return h.sentence(f)
	}
	if n, ok := f.Facts.(otherLabels); ok {
		return fmt.Sprintf("No label of the %d styles agrees: the two sides name their styles by other schemes.", n)
	}
	words := fmt.Sprintf("The ballot keyed as style %s is labelled %s in the export.", finding.Quote(f.Second),
		finding.Quote(f.Primary))
	if f.Grade == finding.MustFix {
		words += " That is the label of another style."
	}
	return words
}
