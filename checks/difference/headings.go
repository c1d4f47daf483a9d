package difference

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

// headingDifference is one difference of headings, on all faces that show it.
type HeadingDifference struct {
	Primary, Second string
	Areas, Faces    []int
	Key             int // the first contest above which it stands; -1 for none
	// fell are the contests above which it is missing on faces where it could have
	// fallen away with a contest that is not there, had it not stayed on others.
	Fell map[int][]int // by face
}

// compareHeadings compares the headings of all faces.
func (ds *Differences) compareHeadings() []*HeadingDifference {
	type wording struct{ primary, second string }
	groups := map[wording]*HeadingDifference{}
	var out []*HeadingDifference
	names := map[int]string{-1: "\U0010ffff"} // the end of the ballot comes last
	name := func(joint int) string {
		if _, ok := names[joint]; !ok {
			pi, si := ds.ByKey(joint)
			f := ds.About(finding.Finding{}, pi, si)
			names[joint] = f.Contest + "\x00" + f.Party
		}
		return names[joint]
	}
	note := func(fi int) func(primary, second string, joint int) *HeadingDifference {
		fc := &ds.Ballots.Faces[fi]
		return func(primary, second string, joint int) *HeadingDifference {
			g := groups[wording{primary, second}]
			if g == nil {
				g = &HeadingDifference{Primary: primary, Second: second, Key: joint}
				groups[wording{primary, second}] = g
				out = append(out, g)
			}
			// Of the contests above which it stands the first by name is told, in whatever
			// order the ballots come.
			if joint != g.Key && name(joint) < name(g.Key) {
				g.Key = joint
			}
			if n := len(g.Faces); n == 0 || g.Faces[n-1] != fi {
				g.Faces = append(g.Faces, fi)
				g.Areas = append(g.Areas, fc.Areas...)
			}
			return g
		}
	}
	for fi := range ds.Ballots.Faces {
		if fc := &ds.Ballots.Faces[fi]; ds.comparesHeadings(fc) {
			found := note(fi)
			ds.EachHeadingDifference(fc, func(primary, second string, _, above int) { found(primary, second, above) })
		}
	}
	fallen, _ := ds.FallenHeadings()
	for _, f := range fallen {
		primary, second := "", f.Words
		if f.OfPrimary {
			primary, second = second, primary
		}
		g := note(f.face)(primary, second, f.key)
		if g.Fell == nil {
			g.Fell = map[int][]int{}
		}
		g.Fell[f.face] = append(g.Fell[f.face], f.key)
	}
	return out
}

// comparesHeadings is false for ballots for each party: they repeat the headings
// above what all vote on.
func (ds *Differences) comparesHeadings(fc *Face) bool {
	return !fc.WrongStyle && len(fc.Primary) == 1 && len(fc.Second) == 1
}

// fallenHeading is a heading that one side prints above a contest which the other
// side does not have on the face, and that the other side does not print above the
// next contest either.
type fallenHeading struct {
	HeadingSource
	face int
	key  int // the next contest, -1 at the end
}

// headingSource is a heading that one side prints above a contest.
type HeadingSource struct {
	OfPrimary bool // the side that prints it
	Words     string
	From      int // the contest
}

// fallenHeadings are those that stayed on other faces without that contest: there
// they do not fall away with it, so that here something else is wrong. It returns
// also which ones stayed.
func (ds *Differences) FallenHeadings() ([]fallenHeading, map[HeadingSource]bool) {
	if len(ds.Content.Missing)+len(ds.Content.Extra) == 0 {
		return nil, nil
	}
	stayed := map[HeadingSource]bool{}
	var fallen []fallenHeading
	for fi := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[fi]
		if fc.Bare || !ds.comparesHeadings(fc) || !StatesHeadings(ds.Primary, fc.Primary) || !StatesHeadings(ds.Second, fc.Second) {
			continue
		}
		pRuns, sRuns := ds.headingRuns(ds.Primary, fc.Primary, ds.ContentSet(ds.Second, fc.Second)), ds.headingRuns(ds.Second, fc.Second, ds.ContentSet(ds.Primary, fc.Primary))
		look := func(ofPrimary bool, printing, other []headingRun) {
			at := map[int]headingRun{}
			for _, r := range other {
				at[r.key] = r
			}
			for _, r := range printing {
				if r.key < 0 || len(r.own) > 0 {
					continue // the group ends there, and its heading may go
				}
				o := at[r.key]
				for i, h := range r.carried {
					switch k := (HeadingSource{ofPrimary, h, r.from[i]}); {
					case slices.Contains(r.own, h) || slices.Contains(o.carried, h):
					case slices.ContainsFunc(o.own, func(w string) bool { return w == h || pairing.NameSimilarity(w, h) > pairing.NameThreshold }):
						stayed[k] = true
					default:
						fallen = append(fallen, fallenHeading{k, fi, r.key})
					}
				}
			}
		}
		look(true, pRuns, sRuns)
		look(false, sRuns, pRuns)
	}
	return slices.DeleteFunc(fallen, func(f fallenHeading) bool { return !stayed[f.HeadingSource] }), stayed
}

// headingRun is what is printed directly above a contest (or after the last, with
// joint -1), on one side of a face: headings of its own, and headings of contests
// between that the other side does not have, which may fall away with them.
type headingRun struct {
	key          int
	own, carried []string
	from         []int // the contests that carried stood above
}

// eachHeadingDifference visits the headings of a face that differ, where both
// sides state headings. They differ at joint; above is the contest above which the
// heading stands on the side that has all of its group.
func (ds *Differences) EachHeadingDifference(fc *Face, visit func(primary, second string, joint, above int)) {
	if !StatesHeadings(ds.Primary, fc.Primary) || !StatesHeadings(ds.Second, fc.Second) {
		return
	}
	pRuns, sRuns := ds.headingRuns(ds.Primary, fc.Primary, ds.ContentSet(ds.Second, fc.Second)), ds.headingRuns(ds.Second, fc.Second, ds.ContentSet(ds.Primary, fc.Primary))
	byJoint := map[int]headingRun{}
	for _, r := range sRuns {
		byJoint[r.key] = r
	}
	var pRest, sRest []headingText
	for _, r := range pRuns {
		o := byJoint[r.key]
		if strings.Join(r.own, " ") == strings.Join(o.own, " ") {
			continue
		}
		a, b := WithoutShared(r.own, o.own), WithoutShared(o.own, r.own)
		a, b = WithoutShared(a, o.carried), WithoutShared(b, r.carried)
		n := min(len(a), len(b))
		for i := range n {
			visit(a[i], b[i], r.key, r.key)
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
				at := MostSimilar(h, carried)
				if at < 0 {
					alone(h)
					continue
				}
				alike(h, carried[at], from[at])
				carried, from = slices.Delete(carried, at, at+1), slices.Delete(from, at, at+1)
			}
		}
		rest(a[n:], o, r.own, func(own, carried string, from int) { visit(own, carried, r.key, from) },
			func(h string) { pRest = append(pRest, headingText{h, r.key}) })
		rest(b[n:], r, o.own, func(own, carried string, from int) { visit(carried, own, r.key, from) },
			func(h string) { sRest = append(sRest, headingText{h, r.key}) })
	}
	// A heading that stands above another contest is one difference, not two; and
	// none where one of the two contests is itself what moved.
	moved := movedKeys(pRuns, sRuns)
	for i := 0; i < len(pRest); i++ {
		k := slices.IndexFunc(sRest, func(o headingText) bool { return o.words == pRest[i].words })
		if k < 0 {
			continue
		}
		if !moved[pRest[i].key] && !moved[sRest[k].key] {
			visit(pRest[i].words, sRest[k].words, sRest[k].key, sRest[k].key)
		}
		pRest, sRest = slices.Delete(pRest, i, i+1), slices.Delete(sRest, k, k+1)
		i--
	}
	// A heading that came to another contest with one that the other side does not have
	// is explained where one of the two contests moved.
	cameAlong := func(h headingText, runs, others []headingRun) bool {
		return slices.ContainsFunc(runs, func(r headingRun) bool {
			return (moved[r.key] || moved[h.key]) && slices.Contains(r.carried, h.words) && !slices.ContainsFunc(others, func(o headingRun) bool {
				return o.key == r.key && slices.Contains(o.own, h.words)
			})
		})
	}
	for _, h := range pRest {
		if !cameAlong(h, sRuns, pRuns) {
			visit(h.words, "", h.key, h.key)
		}
	}
	for _, h := range sRest {
		if !cameAlong(h, pRuns, sRuns) {
			visit("", h.words, h.key, h.key)
		}
	}
}

// likest is the place in a list of the heading that another may be a slip of; -1
// where there is none.
func MostSimilar(heading string, list []string) int {
	best, at := pairing.NameThreshold, -1
	for k, c := range list {
		if like := pairing.NameSimilarity(heading, c); like > best {
			best, at = like, k
		}
	}
	return at
}

// movedJoints are the contests that stand in another order on the two sides of a
// face, seen from either side.
func movedKeys(primary, second []headingRun) map[int]bool {
	joints := func(runs []headingRun) []int {
		var out []int
		for _, r := range runs {
			if r.key >= 0 {
				out = append(out, r.key)
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
	key   int
}

func StatesHeadings(v *pairing.Side, styles []int) bool {
	for _, pl := range pairing.Placements(v, styles) {
		if pl.Headings.Known {
			return true
		}
	}
	return false
}

// headingRuns lists the headings above each contest that the other side has too.
func (ds *Differences) headingRuns(v *pairing.Side, styles []int, other pairing.Set) []headingRun {
	var out []headingRun
	var carried []string
	var from []int
	joint, seen := ds.ContestKeys(v), map[int]bool{}
	for _, pl := range pairing.Placements(v, styles) {
		var own []string
		for _, h := range pl.Headings.Value {
			if w := v.Words(h); w != "" {
				own = append(own, w)
			}
		}
		if j := joint[pl.Contest]; other.Has(j) && !seen[j] {
			seen[j] = true
			out = append(out, headingRun{key: j, own: own, carried: carried, from: from})
			carried, from = nil, nil
		} else {
			carried = append(carried, own...)
			for range own {
				from = append(from, j)
			}
		}
	}
	end := headingRun{key: -1, carried: carried, from: from}
	for _, s := range styles {
		for _, h := range v.Styles[s].Closing.Value {
			if w := v.Words(h); w != "" {
				end.own = append(end.own, w)
			}
		}
	}
	return append(out, end)
}

// withoutShared is a without the elements of b, each taken once.
func WithoutShared(a, b []string) []string {
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
