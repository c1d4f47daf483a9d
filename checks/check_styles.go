package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

var styleLabel = &Check{
	Code:    "style-label",
	Purpose: "the style's label differs from the one keyed",
	Doc: `The label that was keyed for a ballot is not the one that the primary gives its style.
Graded confirm; must-fix where it is the label of another style. Where not one label of
the two sides agrees, that is one finding: they are named by another scheme.`,
	Example: `Style 07 as keyed is "BS-7" in the primary`,
	find:    findStyleLabel,
}

var styleConflictCheck = &Check{
	Code:    "style-conflict",
	Purpose: "a precinct has no style, or several for the same party",
	Doc: `Every precinct gets one ballot for each group of voters. The export gives a precinct no
ballot, a ballot without any contest, or two for the same voters, of which one may be that
of an area in which it lies; or one side has a ballot per party where the other has one
ballot for all voters. Graded must-fix.`,
	Example:  `2-08: the primary names it in styles 4 and 5`,
	find:     findStyleConflict,
	inspects: true,
}

var styleUnused = &Check{
	Code:    "style-unused",
	Purpose: "a style has no precincts",
	Doc: `A ballot style that no precinct gets. Harmless if it is a leftover; else its precincts
are missing. Graded note.`,
	Example:  `Style 11 is given to no precinct in the primary`,
	find:     findStyleUnused,
	inspects: true,
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
		f := finding.Finding{Check: "style-label", Grade: finding.Confirm, Precincts: ds.AreaNames(all)}
		var pNames, sNames []string
		for k := range areas {
			pNames, sNames = append(pNames, k.primary), append(sNames, k.second)
		}
		f.Primary, f.Second = finding.ShortList(pNames), finding.ShortList(sNames)
		f.Message = fmt.Sprintf("No label of the %d styles agrees: the two sides name their styles by other schemes.", compared)
		r.report(f, "all labels").claim(ballotClaims(ds, all, finding.Label, finding.None, finding.None)...).mend(setLabels(&f, nil))
		return
	}
	for k, list := range areas {
		f := finding.Finding{Check: "style-label", Grade: finding.Confirm, Primary: k.primary, Second: k.second, Style: k.second, Precincts: ds.AreaNames(list)}
		f.Places.Primary = ds.PlaceOfStyle(list[0])
		f.Message = fmt.Sprintf("The ballot keyed as style %s is labelled %s in the primary.", finding.Quote(k.second), finding.Quote(k.primary))
		if labelOfOther(ds, ds.Primary, k.second, list) || labelOfOther(ds, ds.Second, k.primary, list) {
			f.Grade = finding.MustFix
			f.Message += " That is the label of another style."
		}
		r.report(f, "label", k.second).claim(ballotClaims(ds, list, finding.Label, finding.None, finding.None)...).
			mend(setLabels(&f, func(primary, second string) bool { return k == differing{primary, second} }))
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

func findStyleConflict(ds *difference.Differences, r *reporter) {
	grouped := map[string][]difference.StyleConflict{} // by side and styles
	var keys []string
	for _, c := range ds.Ballots.Conflicts {
		k := fmt.Sprint(c.Second, c.Through, c.Styles)
		if grouped[k] == nil {
			keys = append(keys, k)
		}
		grouped[k] = append(grouped[k], c)
	}
	for _, k := range keys {
		reportConflict(ds, r, grouped[k])
	}
	reportBare(ds, r)
	// Precincts of the primary without a ballot of their own, of the combined
	// precinct they vote with, or of their splits.
	for i := range ds.Primary.Precincts {
		switch ds.Primary.Precincts[i].Kind {
		case "precinct", "split-precinct", "combined-precinct":
		default:
			continue
		}
		if len(pairing.Carriers(ds.Primary, i)) > 0 || spokenFor(ds, i) {
			continue
		}
		name := ds.PrimaryNames([]int{i})[0]
		f := finding.Finding{Check: "style-conflict", Grade: finding.MustFix, Precincts: []string{name}, Primary: "no style",
			Places: finding.Places{Primary: pairing.Place("GpUnit", ds.Primary.Origins.Precinct(i))}}
		f.Message = fmt.Sprintf("Precinct %s has no ballot in the primary.", name)
		if j := ds.Precincts.ToSecond[i]; j >= 0 {
			if c := pairing.Carriers(ds.Second, j); len(c) > 0 {
				f.Second = pairing.StyleName(ds.Second, ds.Second.StylesOf[c[0]][0])
				f.Message = fmt.Sprintf("Precinct %s has no ballot in the primary; one was keyed for it.", name)
			}
		}
		none := r.report(f, "none", name).claim(finding.RefTo(finding.Precinct, i, ds.Precincts.ToSecond[i]).Claims(finding.Style)...)
		if f.Second != "" {
			none.mend(haveBallot(&f, i, ds.Precincts.ToSecond[i], true))
		}
	}
	byParty := map[string][]int{}
	for _, u := range ds.Ballots.Unmatched {
		if u.Second {
			k := ds.Second.PartyList(ds.Second.Styles[u.Style].Parties)
			byParty[k] = append(byParty[k], u.Area)
		}
	}
	for _, party := range slices.Sorted(maps.Keys(byParty)) {
		f := finding.Finding{Check: "style-conflict", Grade: finding.MustFix, Party: party, Precincts: ds.AreaNames(byParty[party]), Primary: "no style", Second: ballotFor(party)}
		f.Message = fmt.Sprintf("A %s was keyed for %s, and the primary has none there.", ballotFor(party), finding.CountPrecincts(f.Precincts))
		r.report(f, "party-ballot").claim(precinctClaims(ds, byParty[party], finding.Style)...).mend(havePartyBallot(&f, true, party))
	}
	if areas := ds.Ballots.PerParty; len(areas) > 0 {
		f := finding.Finding{Check: "style-conflict", Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Primary: "one ballot for all voters", Second: "a ballot for each party"}
		if a := ds.Precincts.Areas[areas[0]]; len(ds.Primary.StylesOf[a.Primary]) > 1 {
			f.Primary, f.Second = f.Second, f.Primary
		}
		f.Message = fmt.Sprintf("In %s the primary has %s, and keyed was %s; their contests are compared together.", finding.CountPrecincts(f.Precincts), f.Primary, f.Second)
		r.report(f, "per party").claim(precinctClaims(ds, areas, finding.Style)...).mend(setPerParty(&f))
	}
}

// reportConflict reports precincts that have the same ballots for the same voters.
func reportConflict(ds *difference.Differences, r *reporter, list []difference.StyleConflict) {
	c := list[0]
	v, side := ds.Primary, "primary"
	f := finding.Finding{Check: "style-conflict", Grade: finding.MustFix}
	if c.Second {
		v, side = ds.Second, "second entry"
	}
	for _, c := range list {
		if c.Second {
			f.Precincts = append(f.Precincts, ds.Second.PrecinctName[c.Precinct])
		} else {
			f.Precincts = append(f.Precincts, ds.PrimaryNames([]int{c.Precinct})...)
		}
	}
	names := natural.Sorted(f.Precincts)
	var labels []string
	for _, s := range c.Styles {
		labels = append(labels, pairing.StyleName(v, s))
	}
	styles := strings.Join(natural.Sorted(labels), ", ")
	if len(natural.Sorted(labels)) == 1 {
		styles = fmt.Sprintf("%s, %d times", styles, len(c.Styles))
	}
	f.Party = callParties(ds, v, v.Styles[c.Styles[0]].Parties)
	if c.Second {
		f.Second = styles
		f.Places.Second = pairing.Place("style", v.Origins.Style(c.Styles[0]))
	} else {
		f.Primary = styles
		f.Places.Primary = pairing.Place("BallotStyle", v.Origins.Style(c.Styles[0]))
	}
	f.Message = fmt.Sprintf("Precinct %s has %d ballots for the same voters in the %s: %s.", names[0], len(c.Styles), side, styles)
	if len(names) > 1 {
		f.Message = fmt.Sprintf("%s have %d ballots each for the same voters in the %s: %s.", finding.CountPrecincts(names), len(c.Styles), side, styles)
	}
	several := r.report(f, "several", side, strings.Join(names, "\x01"))
	if m, ok := settleConflicts(ds, &f, list); ok && !c.Through {
		several.mend(m)
	}
}

// callParties names parties of a side as the second entry does, where it has them all.
func callParties(ds *difference.Differences, v *pairing.Side, list []int) string {
	if v != ds.Primary {
		return v.PartyList(list)
	}
	var theirs []int
	for _, i := range list {
		j := ds.Parties.ToSecond[i]
		if j < 0 {
			return v.PartyList(list)
		}
		theirs = append(theirs, j)
	}
	return ds.Second.PartyList(theirs)
}

// spokenFor is true for a precinct of the primary for which others speak: its splits,
// or the combined precinct that it votes with. They have no ballot either.
func spokenFor(ds *difference.Differences, i int) bool {
	p := ds.Primary.Precincts[i]
	splits := len(p.Members) > 0 && !slices.ContainsFunc(p.Members, func(m int) bool { return m == i || ds.Primary.Precincts[m].Kind != "split-precinct" })
	return p.Kind == "precinct" && (splits || slices.ContainsFunc(ds.Primary.Within[i], func(w int) bool {
		return ds.Primary.Precincts[w].Kind == "combined-precinct" && len(pairing.Carriers(ds.Primary, w)) == 0
	}))
}

// reportBare reports ballots that hold no contest on one side, and those of the
// primary that nothing was keyed to compare with.
func reportBare(ds *difference.Differences, r *reporter) {
	told := map[int]bool{}
	for _, b := range ds.Content.Bare {
		f := finding.Finding{Check: "style-conflict", Grade: finding.MustFix}
		var claims []finding.Claim
		var bare, full []string // what the styles are called
		holds := map[string]bool{}
		for _, i := range b.Faces {
			fc := &ds.Ballots.Faces[i]
			for _, ballot := range ballotRefs(fc) {
				claims = append(claims, ballot.Claims(finding.Content)...)
			}
			f.Precincts = append(f.Precincts, ds.AreaNames(fc.Areas)...)
			told[fc.Primary[0]] = true
			p, s, n := pairing.StyleName(ds.Primary, fc.Primary[0]), pairing.StyleName(ds.Second, fc.Second[0]), ds.ContentSet(ds.Second, fc.Second).Count()
			if b.Second {
				p, s, n = s, p, ds.ContentSet(ds.Primary, fc.Primary).Count()
			}
			bare, full = append(bare, p), append(full, s)
			holds[countOf(n, "contest")] = true
		}
		contests := "contests"
		if len(holds) == 1 {
			contests = slices.Sorted(maps.Keys(holds))[0]
		}
		if b.Second {
			f.Style, f.Primary, f.Second = natural.Sorted(bare)[0], finding.ShortList(full), "no contest"
			f.Places.Second = pairing.Place("style", ds.Second.Origins.Style(b.Style))
			f.Message = fmt.Sprintf("The ballot keyed for %s holds no contest; in the primary it holds %s.", finding.CountPrecincts(f.Precincts), contests)
		} else {
			f.Style, f.Primary, f.Second = natural.Sorted(full)[0], "no contest", finding.ShortList(full)
			f.Places.Primary = pairing.Place("BallotStyle", ds.Primary.Origins.Style(b.Style))
			f.Message = fmt.Sprintf("The ballot of %s holds no contest in the primary; as keyed it holds %s.", finding.CountPrecincts(f.Precincts), contests)
		}
		r.report(f, "no contest", f.Style).claim(claims...).mend(fillBallots(&f, b))
	}
	for i, st := range ds.Primary.Styles {
		if len(st.Content) > 0 || len(st.Precincts) == 0 || told[i] {
			continue
		}
		f := finding.Finding{Check: "style-conflict", Grade: finding.MustFix, Style: pairing.StyleName(ds.Primary, i), Precincts: ds.PrimaryNames(st.Precincts),
			Primary: "no contest", Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		f.Message = fmt.Sprintf("The ballot of %s holds no contest in the primary.", finding.CountPrecincts(f.Precincts))
		r.report(f, "no contest", f.Style)
	}
}

func findStyleUnused(ds *difference.Differences, r *reporter) {
	for i, st := range ds.Primary.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		name := pairing.StyleName(ds.Primary, i)
		f := finding.Finding{Check: "style-unused", Grade: finding.Note, Style: name, Primary: "no precincts", Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		f.Message = fmt.Sprintf("Style %s is given to no precinct in the primary.", finding.Quote(name))
		r.report(f, "style", name)
	}
	for i, st := range ds.Second.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		name := pairing.StyleName(ds.Second, i)
		if slices.ContainsFunc(r.found, func(f *found) bool { return f.Check == "style-unused" && f.Style == name }) {
			continue
		}
		f := finding.Finding{Check: "style-unused", Grade: finding.Note, Style: name, Second: "no precincts", Places: finding.Places{Second: pairing.Place("style", ds.Second.Origins.Style(i))}}
		f.Message = fmt.Sprintf("Style %s was keyed and given to no precinct.", finding.Quote(name))
		r.report(f, "style", name)
	}
}
