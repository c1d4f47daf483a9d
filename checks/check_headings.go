package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

var heading = &Check{
	Code:    "heading",
	Purpose: "a heading on a ballot differs",
	Doc: `Headings are compared on the ballots for which headings were keyed: their wording, and
above which contest they stand. One heading that differs on many ballots is one finding.
Graded by how the wording differs; a heading on one side only is must-fix.`,
	Example: `"TOWN OFFICES": the primary prints "TOWN OFFICE"`,
	find:    findHeading,
}

// headingDifference is one difference of headings, on all faces that show it.
type headingDifference struct {
	primary, second string
	areas, faces    []int
	joint           int // the first contest above which it stands; -1 for none
	// fell are the contests above which it is missing on faces where it could have
	// fallen away with a contest that is not there, had it not stayed on others.
	fell map[int][]int // by face
}

// compareHeadings compares the headings of all faces.
func (ps *pass) compareHeadings() []*headingDifference {
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
	note := func(fi int) func(primary, second string, joint int) *headingDifference {
		fc := &ps.ballots.faces[fi]
		return func(primary, second string, joint int) *headingDifference {
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
			return g
		}
	}
	for fi := range ps.ballots.faces {
		if fc := &ps.ballots.faces[fi]; ps.comparesHeadings(fc) {
			found := note(fi)
			ps.eachHeadingDifference(fc, func(primary, second string, _, above int) { found(primary, second, above) })
		}
	}
	fallen, _ := ps.fallenHeadings()
	for _, f := range fallen {
		primary, second := "", f.words
		if f.ofPrimary {
			primary, second = second, primary
		}
		g := note(f.face)(primary, second, f.joint)
		if g.fell == nil {
			g.fell = map[int][]int{}
		}
		g.fell[f.face] = append(g.fell[f.face], f.joint)
	}
	return out
}

// comparesHeadings is false for ballots for each party: they repeat the headings
// above what all vote on.
func (ps *pass) comparesHeadings(fc *face) bool {
	return !fc.wrongStyle && len(fc.primary) == 1 && len(fc.second) == 1
}

// fallenHeading is a heading that one side prints above a contest which the other
// side does not have on the face, and that the other side does not print above the
// next contest either.
type fallenHeading struct {
	headingSource
	face  int
	joint int // the next contest, -1 at the end
}

// headingSource is a heading that one side prints above a contest.
type headingSource struct {
	ofPrimary bool // the side that prints it
	words     string
	from      int // the contest
}

// fallenHeadings are those that stayed on other faces without that contest: there
// they do not fall away with it, so that here something else is wrong. It returns
// also which ones stayed.
func (ps *pass) fallenHeadings() ([]fallenHeading, map[headingSource]bool) {
	if len(ps.content.missing)+len(ps.content.extra) == 0 {
		return nil, nil
	}
	stayed := map[headingSource]bool{}
	var fallen []fallenHeading
	for fi := range ps.ballots.faces {
		fc := &ps.ballots.faces[fi]
		if fc.bare || !ps.comparesHeadings(fc) || !statesHeadings(ps.p, fc.primary) || !statesHeadings(ps.s, fc.second) {
			continue
		}
		pRuns, sRuns := ps.headingRuns(ps.p, fc.primary, ps.contentSet(ps.s, fc.second)), ps.headingRuns(ps.s, fc.second, ps.contentSet(ps.p, fc.primary))
		look := func(ofPrimary bool, printing, other []headingRun) {
			at := map[int]headingRun{}
			for _, r := range other {
				at[r.joint] = r
			}
			for _, r := range printing {
				if r.joint < 0 || len(r.own) > 0 {
					continue // the group ends there, and its heading may go
				}
				o := at[r.joint]
				for i, h := range r.carried {
					switch k := (headingSource{ofPrimary, h, r.from[i]}); {
					case slices.Contains(r.own, h) || slices.Contains(o.carried, h):
					case slices.ContainsFunc(o.own, func(w string) bool { return w == h || likeName(w, h) > nameThreshold }):
						stayed[k] = true
					default:
						fallen = append(fallen, fallenHeading{k, fi, r.joint})
					}
				}
			}
		}
		look(true, pRuns, sRuns)
		look(false, sRuns, pRuns)
	}
	return slices.DeleteFunc(fallen, func(f fallenHeading) bool { return !stayed[f.headingSource] }), stayed
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
			f.Grade, f.Primary, f.Second = MustFix, "elsewhere", cmp.Or(strings.TrimSpace(above), "at the end")
			f.Check = "heading"
			f.Message = fmt.Sprintf("The heading %s was keyed%s, and stands elsewhere on the ballot in the primary.", quote(d.second), above)
		case d.primary == "":
			f.Message = fmt.Sprintf("The heading %s%s was keyed, and the primary does not print it there.", quote(d.second), above)
		case d.second == "":
			f.Message = fmt.Sprintf("The primary prints the heading %s%s, where none was keyed.", quote(d.primary), above)
		default:
			f.Message = fmt.Sprintf("The heading keyed as %s is %s in the primary; it differs %s.", quote(d.second), quote(d.primary), differsIn(d.primary, d.second))
		}
		ps.report(f, "heading", cmp.Or(d.second, d.primary)).mend(setHeading(&f, d))
	}
}

// headingRun is what is printed directly above a contest (or after the last, with
// joint -1), on one side of a face: headings of its own, and headings of contests
// between that the other side does not have, which may fall away with them.
type headingRun struct {
	joint        int
	own, carried []string
	from         []int // the contests that carried stood above
}

// eachHeadingDifference visits the headings of a face that differ, where both
// sides state headings. They differ at joint; above is the contest above which the
// heading stands on the side that has all of its group.
func (ps *pass) eachHeadingDifference(fc *face, visit func(primary, second string, joint, above int)) {
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
			visit(a[i], b[i], r.joint, r.joint)
		}
		// A heading that falls away with the contest below it on the other side, and is
		// spelt otherwise here, above the next contest of its group, is one heading.
		rest := func(own []string, other headingRun, taken []string, alike func(own, carried string, from int), alone func(string)) {
			var carried []string
			var from []int
			for k, c := range other.carried {
				if i := slices.Index(taken, c); i >= 0 {
					taken = slices.Delete(slices.Clone(taken), i, i+1)
					continue
				}
				carried, from = append(carried, c), append(from, other.from[k])
			}
			for _, h := range own {
				at := likest(h, carried)
				if at < 0 {
					alone(h)
					continue
				}
				alike(h, carried[at], from[at])
				carried, from = slices.Delete(carried, at, at+1), slices.Delete(from, at, at+1)
			}
		}
		rest(a[n:], o, r.own, func(own, carried string, from int) { visit(own, carried, r.joint, from) },
			func(h string) { pRest = append(pRest, headingText{h, r.joint}) })
		rest(b[n:], r, o.own, func(own, carried string, from int) { visit(carried, own, r.joint, from) },
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
			visit(pRest[i].words, sRest[k].words, sRest[k].joint, sRest[k].joint)
		}
		pRest, sRest = slices.Delete(pRest, i, i+1), slices.Delete(sRest, k, k+1)
		i--
	}
	// A heading that came to another contest with one that the other side does not have
	// is explained where one of the two contests moved.
	cameAlong := func(h headingText, runs, others []headingRun) bool {
		return slices.ContainsFunc(runs, func(r headingRun) bool {
			return (moved[r.joint] || moved[h.joint]) && slices.Contains(r.carried, h.words) && !slices.ContainsFunc(others, func(o headingRun) bool {
				return o.joint == r.joint && slices.Contains(o.own, h.words)
			})
		})
	}
	for _, h := range pRest {
		if !cameAlong(h, sRuns, pRuns) {
			visit(h.words, "", h.joint, h.joint)
		}
	}
	for _, h := range sRest {
		if !cameAlong(h, pRuns, sRuns) {
			visit("", h.words, h.joint, h.joint)
		}
	}
}

// likest is the place in a list of the heading that another may be a slip of; -1
// where there is none.
func likest(heading string, list []string) int {
	best, at := nameThreshold, -1
	for k, c := range list {
		if like := likeName(heading, c); like > best {
			best, at = like, k
		}
	}
	return at
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
	var from []int
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
			out = append(out, headingRun{joint: j, own: own, carried: carried, from: from})
			carried, from = nil, nil
		} else {
			carried = append(carried, own...)
			for range own {
				from = append(from, j)
			}
		}
	}
	end := headingRun{joint: -1, carried: carried, from: from}
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
