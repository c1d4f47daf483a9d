package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/natural"
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

// hasLabel is true where a style is called so: by its label or a further code.
func hasLabel(v *view, style int, label string) bool {
	label = wording.Normal(label)
	if st := v.Styles[style]; st.Label.Known && wording.Normal(st.Label.Value) == label {
		return true
	}
	return slices.ContainsFunc(v.Origins.Style(style).Codes, func(c string) bool { return wording.Normal(c) == label })
}

func findStyleLabel(ps *pass) {
	type differing struct{ primary, second string }
	areas := map[differing][]int{}
	compared, agreed := 0, 0
	for fi := range ps.ballots.faces {
		fc := &ps.ballots.faces[fi]
		if fc.wrongStyle || len(fc.primary) != 1 || len(fc.second) != 1 {
			continue
		}
		a, b := ps.p.Styles[fc.primary[0]].Label, ps.s.Styles[fc.second[0]].Label
		if !a.Known || !b.Known {
			continue
		}
		compared++
		if ps.labelsAgree(fc.primary[0], fc.second[0]) || wording.Normal(a.Value) == wording.Normal(b.Value) {
			agreed++
			continue
		}
		k := differing{wording.Normal(a.Value), wording.Normal(b.Value)}
		areas[k] = append(areas[k], fc.areas...)
	}
	if len(areas) == 0 {
		return
	}
	used := map[string]bool{}
	for i := range ps.p.Styles {
		if l := ps.p.Styles[i].Label; l.Known {
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
		f := Finding{Check: "style-label", Grade: Confirm, Precincts: ps.areaNames(all)}
		var pNames, sNames []string
		for k := range areas {
			pNames, sNames = append(pNames, k.primary), append(sNames, k.second)
		}
		f.Primary, f.Second = shortList(pNames), shortList(sNames)
		f.Message = fmt.Sprintf("No label of the %d styles agrees: the two sides name their styles by other schemes.", compared)
		ps.report(f, "all labels").mend(setLabels(&f, nil))
		return
	}
	for k, list := range areas {
		f := Finding{Check: "style-label", Grade: Confirm, Primary: k.primary, Second: k.second, Style: k.second, Precincts: ps.areaNames(list)}
		f.Look.Primary = ps.lookStyle(list[0])
		f.Message = fmt.Sprintf("The ballot keyed as style %s is labelled %s in the primary.", quote(k.second), quote(k.primary))
		if ps.labelOfOther(ps.p, k.second, list) || ps.labelOfOther(ps.s, k.primary, list) {
			f.Grade = MustFix
			f.Message += " That is the label of another style."
		}
		ps.report(f, "label", k.second).mend(setLabels(&f, func(primary, second string) bool { return k == differing{primary, second} }))
	}
}

// labelOfOther is true where a label is, on one side, that of another style: one
// with another content than those of the areas.
func (ps *pass) labelOfOther(v *view, label string, areas []int) bool {
	own := map[string]bool{}
	for _, a := range areas {
		precinct := ps.precincts.areas[a].primary
		if v == ps.s {
			precinct = ps.precincts.areas[a].second
		}
		for _, st := range v.stylesOf[precinct] {
			own[ps.contentSet(v, []int{st}).key()] = true
		}
	}
	for st := range v.Styles {
		if hasLabel(v, st, label) && !own[ps.contentSet(v, []int{st}).key()] {
			return true
		}
	}
	return false
}

// shortList names a few and counts the rest.
func shortList(names []string) string {
	names = natural.Sorted(names)
	if len(names) > 4 {
		return strings.Join(names[:4], ", ") + fmt.Sprintf(" and %d more", len(names)-4)
	}
	return strings.Join(names, ", ")
}

func findStyleConflict(ps *pass) {
	grouped := map[string][]styleConflict{} // by side and styles
	var keys []string
	for _, c := range ps.ballots.conflicts {
		k := fmt.Sprint(c.second, c.through, c.styles)
		if grouped[k] == nil {
			keys = append(keys, k)
		}
		grouped[k] = append(grouped[k], c)
	}
	for _, k := range keys {
		ps.reportConflict(grouped[k])
	}
	ps.reportBare()
	// Precincts of the primary without a ballot of their own, of the combined
	// precinct they vote with, or of their splits.
	for i := range ps.p.Precincts {
		switch ps.p.Precincts[i].Kind {
		case "precinct", "split-precinct", "combined-precinct":
		default:
			continue
		}
		if len(carriers(ps.p, i)) > 0 || ps.spokenFor(i) {
			continue
		}
		name := ps.primaryNames([]int{i})[0]
		f := Finding{Check: "style-conflict", Grade: MustFix, Precincts: []string{name}, Primary: "no style",
			Look: Look{Primary: place("GpUnit", ps.p.Origins.Precinct(i))}}
		f.Message = fmt.Sprintf("Precinct %s has no ballot in the primary.", name)
		if j := ps.precincts.toSecond[i]; j >= 0 {
			if c := carriers(ps.s, j); len(c) > 0 {
				f.Second = styleName(ps.s, ps.s.stylesOf[c[0]][0])
				f.Message = fmt.Sprintf("Precinct %s has no ballot in the primary; one was keyed for it.", name)
			}
		}
		r := ps.report(f, "none", name)
		if f.Second != "" {
			r.mend(haveBallot(&f, i, ps.precincts.toSecond[i], true))
		}
	}
	byParty := map[string][]int{}
	for _, u := range ps.ballots.unmet {
		if u.second {
			k := ps.s.partyList(ps.s.Styles[u.style].Parties)
			byParty[k] = append(byParty[k], u.area)
		}
	}
	for _, party := range slices.Sorted(maps.Keys(byParty)) {
		f := Finding{Check: "style-conflict", Grade: MustFix, Party: party, Precincts: ps.areaNames(byParty[party]), Primary: "no style", Second: ballotFor(party)}
		f.Message = fmt.Sprintf("A %s was keyed for %s, and the primary has none there.", ballotFor(party), countPrecincts(f.Precincts))
		ps.report(f, "party-ballot").mend(havePartyBallot(&f, true, party))
	}
	if areas := ps.ballots.perParty; len(areas) > 0 {
		f := Finding{Check: "style-conflict", Grade: MustFix, Precincts: ps.areaNames(areas), Primary: "one ballot for all voters", Second: "a ballot for each party"}
		if a := ps.precincts.areas[areas[0]]; len(ps.p.stylesOf[a.primary]) > 1 {
			f.Primary, f.Second = f.Second, f.Primary
		}
		f.Message = fmt.Sprintf("In %s the primary has %s, and keyed was %s; their contests are compared together.", countPrecincts(f.Precincts), f.Primary, f.Second)
		ps.report(f, "per party").mend(setPerParty(&f))
	}
}

// reportConflict reports precincts that have the same ballots for the same voters.
func (ps *pass) reportConflict(list []styleConflict) {
	c := list[0]
	v, side := ps.p, "primary"
	f := Finding{Check: "style-conflict", Grade: MustFix}
	if c.second {
		v, side = ps.s, "second entry"
	}
	for _, c := range list {
		if c.second {
			f.Precincts = append(f.Precincts, ps.s.precinctName[c.precinct])
		} else {
			f.Precincts = append(f.Precincts, ps.primaryNames([]int{c.precinct})...)
		}
	}
	names := natural.Sorted(f.Precincts)
	var labels []string
	for _, s := range c.styles {
		labels = append(labels, styleName(v, s))
	}
	styles := strings.Join(natural.Sorted(labels), ", ")
	if len(natural.Sorted(labels)) == 1 {
		styles = fmt.Sprintf("%s, %d times", styles, len(c.styles))
	}
	f.Party = ps.callParties(v, v.Styles[c.styles[0]].Parties)
	if c.second {
		f.Second = styles
		f.Look.Second = place("style", v.Origins.Style(c.styles[0]))
	} else {
		f.Primary = styles
		f.Look.Primary = place("BallotStyle", v.Origins.Style(c.styles[0]))
	}
	f.Message = fmt.Sprintf("Precinct %s has %d ballots for the same voters in the %s: %s.", names[0], len(c.styles), side, styles)
	if len(names) > 1 {
		f.Message = fmt.Sprintf("%s have %d ballots each for the same voters in the %s: %s.", countPrecincts(names), len(c.styles), side, styles)
	}
	r := ps.report(f, "several", side, strings.Join(names, "\x01"))
	if m, ok := settleConflicts(ps, &f, list); ok && !c.through {
		r.mend(m)
	}
}

// callParties names parties of a side as the second entry does, where it has them all.
func (ps *pass) callParties(v *view, list []int) string {
	if v != ps.p {
		return v.partyList(list)
	}
	var theirs []int
	for _, i := range list {
		j := ps.parties.toSecond[i]
		if j < 0 {
			return v.partyList(list)
		}
		theirs = append(theirs, j)
	}
	return ps.s.partyList(theirs)
}

// spokenFor is true for a precinct of the primary for which others speak: its splits,
// or the combined precinct that it votes with. They have no ballot either.
func (ps *pass) spokenFor(i int) bool {
	p := ps.p.Precincts[i]
	splits := len(p.Members) > 0 && !slices.ContainsFunc(p.Members, func(m int) bool { return m == i || ps.p.Precincts[m].Kind != "split-precinct" })
	return p.Kind == "precinct" && (splits || slices.ContainsFunc(ps.p.within[i], func(w int) bool { return ps.p.Precincts[w].Kind == "combined-precinct" && len(carriers(ps.p, w)) == 0 }))
}

// reportBare reports ballots that hold no contest on one side, and those of the
// primary that nothing was keyed to compare with.
func (ps *pass) reportBare() {
	told := map[int]bool{}
	for _, b := range ps.content.bare {
		f := Finding{Check: "style-conflict", Grade: MustFix}
		var bare, full []string // what the styles are called
		holds := map[string]bool{}
		for _, i := range b.faces {
			fc := &ps.ballots.faces[i]
			f.Precincts = append(f.Precincts, ps.areaNames(fc.areas)...)
			told[fc.primary[0]] = true
			p, s, n := styleName(ps.p, fc.primary[0]), styleName(ps.s, fc.second[0]), ps.contentSet(ps.s, fc.second).count()
			if b.second {
				p, s, n = s, p, ps.contentSet(ps.p, fc.primary).count()
			}
			bare, full = append(bare, p), append(full, s)
			holds[countOf(n, "contest")] = true
		}
		contests := "contests"
		if len(holds) == 1 {
			contests = slices.Sorted(maps.Keys(holds))[0]
		}
		if b.second {
			f.Style, f.Primary, f.Second = natural.Sorted(bare)[0], shortList(full), "no contest"
			f.Look.Second = place("style", ps.s.Origins.Style(b.style))
			f.Message = fmt.Sprintf("The ballot keyed for %s holds no contest; in the primary it holds %s.", countPrecincts(f.Precincts), contests)
		} else {
			f.Style, f.Primary, f.Second = natural.Sorted(full)[0], "no contest", shortList(full)
			f.Look.Primary = place("BallotStyle", ps.p.Origins.Style(b.style))
			f.Message = fmt.Sprintf("The ballot of %s holds no contest in the primary; as keyed it holds %s.", countPrecincts(f.Precincts), contests)
		}
		ps.report(f, "no contest", f.Style).mend(fillBallots(&f, b))
	}
	for i, st := range ps.p.Styles {
		if len(st.Content) > 0 || len(st.Precincts) == 0 || told[i] {
			continue
		}
		f := Finding{Check: "style-conflict", Grade: MustFix, Style: styleName(ps.p, i), Precincts: ps.primaryNames(st.Precincts),
			Primary: "no contest", Look: Look{Primary: place("BallotStyle", ps.p.Origins.Style(i))}}
		f.Message = fmt.Sprintf("The ballot of %s holds no contest in the primary.", countPrecincts(f.Precincts))
		ps.report(f, "no contest", f.Style)
	}
}

func findStyleUnused(ps *pass) {
	for i, st := range ps.p.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		name := styleName(ps.p, i)
		f := Finding{Check: "style-unused", Grade: Note, Style: name, Primary: "no precincts", Look: Look{Primary: place("BallotStyle", ps.p.Origins.Style(i))}}
		f.Message = fmt.Sprintf("Style %s is given to no precinct in the primary.", quote(name))
		ps.report(f, "style", name)
	}
	for i, st := range ps.s.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		name := styleName(ps.s, i)
		if slices.ContainsFunc(ps.found, func(f *found) bool { return f.Check == "style-unused" && f.Style == name }) {
			continue
		}
		f := Finding{Check: "style-unused", Grade: Note, Style: name, Second: "no precincts", Look: Look{Second: place("style", ps.s.Origins.Style(i))}}
		f.Message = fmt.Sprintf("Style %s was keyed and given to no precinct.", quote(name))
		ps.report(f, "style", name)
	}
}
