package difference

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

// HeadingDifference is one difference in headings, with all faces that show it.
type HeadingDifference struct {
	Primary, Second string
	Areas, Faces    []int
	Key             int // the first contest below the heading; -1 for none
}

// compareHeadings compares the headings of all faces.
func compareHeadings(pg *pairing.Pairing, faces []Face, content *Content) []*HeadingDifference {
	type wording struct{ primary, second string }
	groups := map[wording]*HeadingDifference{}
	var out []*HeadingDifference
	names := map[int]string{-1: "\U0010ffff"} // the end of the ballot sorts last
	name := func(key int) string {
		if _, ok := names[key]; !ok {
			pi, si := pg.ByKey(key)
			f := pg.About(finding.Finding{}, pi, si)
			names[key] = f.Contest + "\x00" + f.Party
		}
		return names[key]
	}
	note := func(fi int) func(primary, second string, key int) {
		fc := &faces[fi]
		return func(primary, second string, key int) {
			g := groups[wording{primary, second}]
			if g == nil {
				g = &HeadingDifference{Primary: primary, Second: second, Key: key}
				groups[wording{primary, second}] = g
				out = append(out, g)
			}
			// Of the contests below the heading, use the first by name, independent of the order of
			// the ballots.
			if key != g.Key && name(key) < name(g.Key) {
				g.Key = key
			}
			if n := len(g.Faces); n == 0 || g.Faces[n-1] != fi {
				g.Faces = append(g.Faces, fi)
				g.Areas = append(g.Areas, fc.Areas...)
			}
		}
	}
	for fi := range faces {
		if fc := &faces[fi]; comparesHeadings(fc) {
			eachHeadingDifference(pg, fc, note(fi))
		}
	}
	for _, f := range fallenHeadings(pg, faces, content) {
		primary, second := "", f.Words
		if f.ofPrimary {
			primary, second = second, primary
		}
		note(f.face)(primary, second, f.key)
	}
	return out
}

// comparesHeadings is false for ballots for each party: they repeat the headings above the contests
// of all voters.
func comparesHeadings(fc *Face) bool {
	return !fc.WrongStyle && len(fc.Primary) == 1 && len(fc.Second) == 1
}

// fallenHeading is a heading that one side prints above a contest which the other side lacks on
// this face. The other side does not print the heading above the next contest either.
type fallenHeading struct {
	headingSource
	face int
	key  int // the next contest, -1 at the end of the ballot
}

// headingSource is a heading that one side prints above a contest.
type headingSource struct {
	ofPrimary bool // the side that prints it
	Words     string
	From      int // the contest
}

// fallenHeadings returns the headings that remained on other faces without that contest. There they
// did not go away with the contest, so on this face something else is wrong.
func fallenHeadings(pg *pairing.Pairing, faces []Face, content *Content) []fallenHeading {
	if len(content.Missing)+len(content.Extra) == 0 {
		return nil
	}
	stayed := map[headingSource]bool{}
	var fallen []fallenHeading
	for fi := range faces {
		fc := &faces[fi]
		if fc.Bare || !comparesHeadings(fc) || !StatesHeadings(pg.Primary, fc.Primary) ||
			!StatesHeadings(pg.Second, fc.Second) {
			continue
		}
		pRuns, sRuns := headingRuns(pg, pg.Primary, fc.Primary, pg.ContentSet(pg.Second,
			fc.Second)), headingRuns(pg, pg.Second, fc.Second, pg.ContentSet(pg.Primary, fc.Primary))
		look := func(ofPrimary bool, printing, other []headingRun) {
			at := map[int]headingRun{}
			for _, r := range other {
				at[r.key] = r
			}
			for _, r := range printing {
				if r.key < 0 || len(r.own) > 0 {
					continue // the group ends here, so its heading may go
				}
				o := at[r.key]
				for i, h := range r.carried {
					switch k := (headingSource{ofPrimary, h, r.from[i]}); {
					case slices.Contains(r.own, h) || slices.Contains(o.carried, h):
					case slices.ContainsFunc(o.own, func(w string) bool {
						return w == h ||
							pairing.NameSimilarity(w, h) > pairing.NameThreshold
					}):
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
	return slices.DeleteFunc(fallen, func(f fallenHeading) bool { return !stayed[f.headingSource] })
}

// headingRun holds the headings directly above a contest (or after the last contest, with key -1)
// on one side of a face: its own headings, and those of preceding contests that the other side
// lacks. The latter may go away together with those contests.
type headingRun struct {
	key          int
	own, carried []string
	from         []int // the contests that the carried headings were above
}

// eachHeadingDifference visits the different headings of a face on which both sides state headings.
// above is the contest below the heading, on the side that has the whole group.
func eachHeadingDifference(pg *pairing.Pairing, fc *Face, visit func(primary, second string, above int)) {
	if !StatesHeadings(pg.Primary, fc.Primary) || !StatesHeadings(pg.Second, fc.Second) {
		return
	}
	pRuns, sRuns := headingRuns(pg, pg.Primary, fc.Primary, pg.ContentSet(pg.Second,
		fc.Second)), headingRuns(pg, pg.Second, fc.Second, pg.ContentSet(pg.Primary, fc.Primary))
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
		a, b := withoutShared(r.own, o.own), withoutShared(o.own, r.own)
		a, b = withoutShared(a, o.carried), withoutShared(b, r.carried)
		n := min(len(a), len(b))
		for i := range n {
			visit(a[i], b[i], r.key)
		}
		// The other side dropped a heading together with the contest below it, and this side prints
		// it with another spelling above the next contest of the group: that is one heading.
		rest := func(own []string, other headingRun, taken []string, alike func(own, carried string, from int),
			alone func(string)) {
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
				at := mostSimilar(h, carried)
				if at < 0 {
					alone(h)
					continue
				}
				alike(h, carried[at], from[at])
				carried, from = slices.Delete(carried, at, at+1), slices.Delete(from, at, at+1)
			}
		}
		rest(a[n:], o, r.own, func(own, carried string, from int) { visit(own, carried, from) },
			func(h string) { pRest = append(pRest, headingText{h, r.key}) })
		rest(b[n:], r, o.own, func(own, carried string, from int) { visit(carried, own, from) },
			func(h string) { sRest = append(sRest, headingText{h, r.key}) })
	}
	// A heading above a different contest is one difference, not two. It is none if one of the two
	// contests itself moved.
	moved := movedKeys(pRuns, sRuns)
	for i := 0; i < len(pRest); i++ {
		k := slices.IndexFunc(sRest, func(o headingText) bool { return o.words == pRest[i].words })
		if k < 0 {
			continue
		}
		if !moved[pRest[i].key] && !moved[sRest[k].key] {
			visit(pRest[i].words, sRest[k].words, sRest[k].key)
		}
		pRest, sRest = slices.Delete(pRest, i, i+1), slices.Delete(sRest, k, k+1)
		i--
	}
	// A heading that moved to another contest together with a contest that the other side lacks is
	// explained if one of the two contests moved.
	cameAlong := func(h headingText, runs, others []headingRun) bool {
		return slices.ContainsFunc(runs, func(r headingRun) bool {
			return (moved[r.key] || moved[h.key]) && slices.Contains(r.carried, h.words) &&
				!slices.ContainsFunc(others, func(o headingRun) bool {
					return o.key == r.key && slices.Contains(o.own, h.words)
				})
		})
	}
	for _, h := range pRest {
		if !cameAlong(h, sRuns, pRuns) {
			visit(h.words, "", h.key)
		}
	}
	for _, h := range sRest {
		if !cameAlong(h, pRuns, sRuns) {
			visit("", h.words, h.key)
		}
	}
}

// mostSimilar returns the index of the heading in a list that another heading may be a misspelling
// of; -1 if there is none.
func mostSimilar(heading string, list []string) int {
	best, at := pairing.NameThreshold, -1
	for k, c := range list {
		if like := pairing.NameSimilarity(heading, c); like > best {
			best, at = like, k
		}
	}
	return at
}

// movedKeys returns the contests in a different order on the two sides of a face, seen from either
// side.
func movedKeys(primary, second []headingRun) map[int]bool {
	keys := func(runs []headingRun) []int {
		var out []int
		for _, r := range runs {
			if r.key >= 0 {
				out = append(out, r.key)
			}
		}
		return out
	}
	p, s := keys(primary), keys(second)
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

// StatesHeadings reports whether some heading of a ballot is stated, even if only as empty. In a
// further language an export that has headings in it states those of every ballot, a second entry
// only those of the ballots on which one was keyed.
func StatesHeadings(v *pairing.Side, styles []int) bool {
	for _, pl := range pairing.Placements(v, styles) {
		if pl.Headings.Known && (v.States(nil) || v.AnyHeading && !pairing.IsSecondEntry(v.Election) ||
			slices.ContainsFunc(pl.Headings.Value, v.States)) {
			return true
		}
	}
	return false
}

// headingRuns lists the headings above each contest that the other side has too.
func headingRuns(pg *pairing.Pairing, v *pairing.Side, styles []int, other pairing.Set) []headingRun {
	var out []headingRun
	var carried []string
	var from []int
	keys, seen := pg.ContestKeys(v), map[int]bool{}
	for _, pl := range pairing.Placements(v, styles) {
		var own []string
		for _, h := range pl.Headings.Value {
			if w := v.Words(h); w != "" {
				own = append(own, w)
			}
		}
		if j := keys[pl.Contest]; other.Has(j) && !seen[j] {
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

// withoutShared returns a without the elements of b, each removed once.
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
