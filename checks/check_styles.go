package checks

import (
	"fmt"
	"slices"
	"strings"

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
	framed:  true,
}

var heading = &Check{
	Code:    "heading",
	Purpose: "a heading on a ballot differs",
	Doc: `Headings are compared on the ballots for which headings were keyed: their wording, and
above which contest they stand. One heading that differs on many ballots is one finding.
Graded by how the wording differs; a heading on one side only is must-fix.`,
	Example: `"TOWN OFFICES": the primary prints "TOWN OFFICE"`,
	find:    findHeading,
}

var styleConflictCheck = &Check{
	Code:    "style-conflict",
	Purpose: "a precinct has no style, or several for the same party",
	Doc: `Every precinct gets one ballot for each group of voters. The export gives a precinct no
ballot, or two for the same voters; or one side has a ballot per party where the other
has one ballot for all voters. Graded must-fix.`,
	Example:  `2-08: the primary names it in styles 4 and 5`,
	find:     findStyleConflict,
	framed:   true,
	inspects: true,
}

var styleUnused = &Check{
	Code:    "style-unused",
	Purpose: "a style has no precincts",
	Doc: `A ballot style that no precinct gets. Harmless if it is a leftover; else its precincts
are missing. Graded note.`,
	Example:  `Style 11 is given to no precinct in the primary`,
	find:     findStyleUnused,
	framed:   true,
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
	names = sortNames(names)
	if len(names) > 4 {
		return strings.Join(names[:4], ", ") + fmt.Sprintf(" and %d more", len(names)-4)
	}
	return strings.Join(names, ", ")
}

// headingDifference is one difference of headings, on all faces that show it.
type headingDifference struct {
	primary, second string
	areas, faces    []int
	joint           int // the first contest above which it stands; -1 for none
}

// compareHeadings compares the headings of all faces; of some faces alone in a kept
// pass, where it is known on which they differ.
func (ps *pass) compareHeadings(some []int) []*headingDifference {
	type wording struct{ primary, second string }
	groups := map[wording]*headingDifference{}
	var out []*headingDifference
	names := map[int]string{-1: "\U0010ffff"} // the end of the ballot comes last
	name := func(joint int) string {
		if _, ok := names[joint]; !ok {
			pi, si := ps.byJoint(joint)
			f := ps.about(Finding{}, pi, si)
			names[joint] = f.Contest + "\x00" + f.Party
		}
		return names[joint]
	}
	visit := func(fi int) {
		fc := &ps.ballots.faces[fi]
		if fc.wrongStyle || len(fc.primary) != 1 || len(fc.second) != 1 {
			return // ballots for each party repeat the headings above what all vote on
		}
		ps.eachHeadingDifference(fc, func(primary, second string, joint int) {
			g := groups[wording{primary, second}]
			if g == nil {
				g = &headingDifference{primary: primary, second: second, joint: joint}
				groups[wording{primary, second}] = g
				out = append(out, g)
			}
			// Of the contests above which it stands the first by name is told, in whatever
			// order the ballots come.
			if joint != g.joint && name(joint) < name(g.joint) {
				g.joint = joint
			}
			if n := len(g.faces); n == 0 || g.faces[n-1] != fi {
				g.faces = append(g.faces, fi)
				g.areas = append(g.areas, fc.areas...)
			}
		})
	}
	if ps.kept {
		for _, fi := range some {
			visit(fi)
		}
		return out
	}
	for fi := range ps.ballots.faces {
		visit(fi)
	}
	return out
}

func findHeading(ps *pass) {
	for _, d := range ps.headings {
		for _, fi := range d.faces {
			ps.claims.add("face", fi, "Headings")
		}
		pi, si := -1, -1
		if d.joint >= 0 {
			pi, si = ps.byJoint(d.joint)
		}
		f, _ := wordingFinding("heading", d.primary, d.second)
		if d.primary == "" || d.second == "" {
			f = Finding{Check: "heading", Grade: MustFix, Primary: d.primary, Second: d.second}
		}
		f = ps.about(f, pi, si)
		f.Precincts = ps.areaNames(d.areas)
		above := ""
		if f.Contest != "" {
			above = " above " + quote(f.Contest)
		}
		switch {
		case d.primary == d.second:
			f.Grade, f.Primary, f.Second = MustFix, "elsewhere", firstOf(strings.TrimSpace(above), "at the end")
			f.Check = "heading"
			f.Message = fmt.Sprintf("The heading %s was keyed%s, and stands elsewhere on the ballot in the primary.", quote(d.second), above)
		case d.primary == "":
			f.Message = fmt.Sprintf("The heading %s%s was keyed, and the primary does not print it there.", quote(d.second), above)
		case d.second == "":
			f.Message = fmt.Sprintf("The primary prints the heading %s%s, where none was keyed.", quote(d.primary), above)
		default:
			f.Message = fmt.Sprintf("The heading keyed as %s is %s in the primary; it differs %s.", quote(d.second), quote(d.primary), differsIn(d.primary, d.second))
		}
		ps.report(f, "heading", firstOf(d.second, d.primary)).mend(setHeading(&f, d))
	}
}

// headingRun is what is printed directly above a contest (or after the last, with
// joint -1), on one side of a face: headings of its own, and headings of contests
// between that the other side does not have, which may fall away with them.
type headingRun struct {
	joint        int
	own, carried []string
}

// eachHeadingDifference visits the headings of a face that differ, where both
// sides state headings.
func (ps *pass) eachHeadingDifference(fc *face, visit func(primary, second string, joint int)) {
	if !statesHeadings(ps.p, fc.primary) || !statesHeadings(ps.s, fc.second) {
		return
	}
	pRuns, sRuns := ps.headingRuns(ps.p, fc.primary, ps.contentSet(ps.s, fc.second)), ps.headingRuns(ps.s, fc.second, ps.contentSet(ps.p, fc.primary))
	byJoint := map[int]headingRun{}
	for _, r := range sRuns {
		byJoint[r.joint] = r
	}
	var pRest, sRest []headingText
	for _, r := range pRuns {
		o := byJoint[r.joint]
		if strings.Join(r.own, " ") == strings.Join(o.own, " ") {
			continue
		}
		a, b := withoutShared(r.own, o.own), withoutShared(o.own, r.own)
		a, b = withoutShared(a, o.carried), withoutShared(b, r.carried)
		n := min(len(a), len(b))
		for i := range n {
			visit(a[i], b[i], r.joint)
		}
		// A heading that falls away with the contest below it on the other side, and is
		// spelt otherwise here, above the next contest of its group, is one heading.
		rest := func(own, carried, taken []string, alike func(own, carried string), alone func(string)) {
			carried = withoutShared(carried, taken)
			for _, h := range own {
				best, at := nameThreshold, -1
				for k, c := range carried {
					if like := likeName(h, c); like > best {
						best, at = like, k
					}
				}
				if at < 0 {
					alone(h)
					continue
				}
				alike(h, carried[at])
				carried = slices.Delete(carried, at, at+1)
			}
		}
		rest(a[n:], o.carried, r.own, func(own, carried string) { visit(own, carried, r.joint) },
			func(h string) { pRest = append(pRest, headingText{h, r.joint}) })
		rest(b[n:], r.carried, o.own, func(own, carried string) { visit(carried, own, r.joint) },
			func(h string) { sRest = append(sRest, headingText{h, r.joint}) })
	}
	// A heading that stands above another contest is one difference, not two; and
	// none where one of the two contests is itself what moved.
	moved := movedJoints(pRuns, sRuns)
	for i := 0; i < len(pRest); i++ {
		k := slices.IndexFunc(sRest, func(o headingText) bool { return o.words == pRest[i].words })
		if k < 0 {
			continue
		}
		if !moved[pRest[i].joint] && !moved[sRest[k].joint] {
			visit(pRest[i].words, sRest[k].words, sRest[k].joint)
		}
		pRest, sRest = slices.Delete(pRest, i, i+1), slices.Delete(sRest, k, k+1)
		i--
	}
	for _, h := range pRest {
		visit(h.words, "", h.joint)
	}
	for _, h := range sRest {
		visit("", h.words, h.joint)
	}
}

// movedJoints are the contests that stand in another order on the two sides of a
// face, seen from either side.
func movedJoints(primary, second []headingRun) map[int]bool {
	joints := func(runs []headingRun) []int {
		var out []int
		for _, r := range runs {
			if r.joint >= 0 {
				out = append(out, r.joint)
			}
		}
		return out
	}
	p, s := joints(primary), joints(second)
	out := map[int]bool{}
	if !slices.Equal(p, s) {
		for _, j := range append(movedBetween(p, s), movedBetween(s, p)...) {
			out[j] = true
		}
	}
	return out
}

type headingText struct {
	words string
	joint int
}

func statesHeadings(v *view, styles []int) bool {
	for _, pl := range placements(v, styles) {
		if pl.Headings.Known {
			return true
		}
	}
	return false
}

// headingRuns lists the headings above each contest that the other side has too.
func (ps *pass) headingRuns(v *view, styles []int, other set) []headingRun {
	var out []headingRun
	var carried []string
	joint, seen := ps.joint(v), map[int]bool{}
	for _, pl := range placements(v, styles) {
		var own []string
		for _, h := range pl.Headings.Value {
			if w := v.words(h); w != "" {
				own = append(own, w)
			}
		}
		if j := joint[pl.Contest]; other.has(j) && !seen[j] {
			seen[j] = true
			out = append(out, headingRun{joint: j, own: own, carried: carried})
			carried = nil
		} else {
			carried = append(carried, own...)
		}
	}
	end := headingRun{joint: -1, carried: carried}
	for _, s := range styles {
		for _, h := range v.Styles[s].Closing.Value {
			if w := v.words(h); w != "" {
				end.own = append(end.own, w)
			}
		}
	}
	return append(out, end)
}

// withoutShared is a without the elements of b, each taken once.
func withoutShared(a, b []string) []string {
	left := map[string]int{}
	for _, x := range b {
		left[x]++
	}
	var out []string
	for _, x := range a {
		if left[x] > 0 {
			left[x]--
			continue
		}
		out = append(out, x)
	}
	return out
}

func findStyleConflict(ps *pass) {
	for _, c := range ps.ballots.conflicts {
		v, side := ps.p, "primary"
		name := ""
		f := Finding{Check: "style-conflict", Grade: MustFix}
		var labels []string
		if c.second {
			v, side = ps.s, "second entry"
			name = ps.s.precinctName[c.precinct]
		} else {
			name = ps.primaryNames([]int{c.precinct})[0]
		}
		for _, s := range c.styles {
			labels = append(labels, styleName(v, s))
		}
		list := strings.Join(sortNames(labels), ", ")
		if len(sortNames(labels)) == 1 {
			list = fmt.Sprintf("%s, %d times", list, len(c.styles))
		}
		f.Precincts, f.Party = []string{name}, v.partyList(v.Styles[c.styles[0]].Parties)
		if c.second {
			f.Second = list
			f.Look.Second = place("style", v.Origins.Style(c.styles[0]))
		} else {
			f.Primary = list
			f.Look.Primary = place("BallotStyle", v.Origins.Style(c.styles[0]))
		}
		f.Message = fmt.Sprintf("Precinct %s has %d ballots for the same voters in the %s: %s.", name, len(c.styles), side, list)
		r := ps.report(f, "several", side, name)
		if m, ok := settleConflict(ps, &f, c); ok {
			r.mend(m)
		}
	}
	// Precincts of the primary without a ballot of their own, of the combined
	// precinct they vote with, or of their splits.
	for i := range ps.p.Precincts {
		switch ps.p.Precincts[i].Kind {
		case "precinct", "split-precinct", "combined-precinct":
		default:
			continue
		}
		if len(carriers(ps.p, i)) > 0 {
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
	for _, party := range sortedKeys(byParty) {
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
