package checks

import (
	"cmp"
	"slices"
	"strings"
)

// contentDifferences are what ballots hold on one side and not on the other,
// gathered over all faces so that one cause shows once.
type contentDifferences struct {
	missing, extra map[int][]int // joint contest → areas
	twice          map[int]*twice
	wrong          []wrongStyle
	moved          []movedContests
}

// twice is a contest that stands twice on a ballot of one side.
type twice struct {
	second bool
	areas  []int
}

// wrongStyle is a set of areas whose ballot in the primary is another style's.
type wrongStyle struct {
	meant, carried int // styles of the second entry
	areas          []int
	exact          bool // the content is exactly the carried style's
	single         bool // one contest left off or added would explain it as well
}

// movedContests are contests that stand in another order on some faces.
type movedContests struct {
	joints         []int // that moved, in the second entry's order
	primary, other []int // the whole order on the first such face: primary, second
	areas          []int
}

const (
	maxNearest = 20_000_000 // comparisons of ballots in the search for the nearest
	maxOrdered = 3_000      // contests on one ballot whose moves are told one by one
)

func (ps *pass) compareContents() {
	d := contentDifferences{missing: map[int][]int{}, extra: map[int][]int{}, twice: map[int]*twice{}}
	ps.content = d
	faces := ps.ballots.faces
	onP, onS := newSet(ps.contests.joint), newSet(ps.contests.joint)
	for _, j := range ps.contests.primaryJoint {
		onP.add(j)
	}
	for _, j := range ps.contests.secondJoint {
		onS.add(j)
	}
	both := newSet(ps.contests.joint) // contests that both sides have at all
	for i := range both {
		both[i] = onP[i] & onS[i]
	}
	pSets, sSets := make([]set, len(faces)), make([]set, len(faces))
	for f := range faces {
		pSets[f], sSets[f] = ps.contentSet(ps.p, faces[f].primary), ps.contentSet(ps.s, faces[f].second)
	}
	ps.findWrongStyles(pSets, sSets, both)
	for f := range faces {
		against := sSets[f]
		if c := faces[f].carried; c >= 0 {
			against = ps.contentSet(ps.s, []int{c})
			// What only one side has anywhere is missing or extra here too.
			for _, j := range sSets[f].list() {
				if !both.has(j) {
					against.add(j)
				}
			}
		}
		for w := range against {
			if against[w] == pSets[f][w] {
				continue
			}
			for _, j := range (set{against[w] &^ pSets[f][w]}).list() {
				ps.content.missing[w*64+j] = append(ps.content.missing[w*64+j], faces[f].areas...)
			}
			for _, j := range (set{pSets[f][w] &^ against[w]}).list() {
				ps.content.extra[w*64+j] = append(ps.content.extra[w*64+j], faces[f].areas...)
			}
		}
	}
	ps.findTwice()
	ps.findMoved()
}

// masked is a set without what the mask leaves out.
func masked(a, mask set) set {
	out := make(set, len(a))
	for i := range a {
		out[i] = a[i] & mask[i]
	}
	return out
}

// findWrongStyles explains faces whose contents differ as the ballot of another
// style, where that takes fewer mistakes than contests left off and added.
func (ps *pass) findWrongStyles(pSets, sSets []set, both set) {
	faces := ps.ballots.faces
	var differing []int
	for f := range faces {
		if len(faces[f].primary) == 1 && len(faces[f].second) == 1 && apart(masked(pSets[f], both), masked(sSets[f], both)) > 0 {
			differing = append(differing, f)
		}
	}
	if len(differing) == 0 {
		return
	}
	// The contents of the second entry's styles, for voters of each party.
	type class struct {
		content set
		styles  []int
	}
	classes := map[string][]*class{}
	byContent := map[string]*class{}
	for si := range ps.s.Styles {
		if len(ps.s.Styles[si].Precincts) == 0 {
			continue
		}
		party := ps.stylePartyKey(ps.s, si)
		content := masked(ps.contentSet(ps.s, []int{si}), both)
		k := party + "\x00" + content.key()
		c := byContent[k]
		if c == nil {
			c = &class{content: content}
			byContent[k] = c
			classes[party] = append(classes[party], c)
		}
		c.styles = append(c.styles, si)
	}
	// Where each style of the primary is used, and with which content there.
	usedWith := map[int]map[string]int{}
	for f := range faces {
		if len(faces[f].primary) == 1 && len(faces[f].second) == 1 {
			a := faces[f].primary[0]
			if usedWith[a] == nil {
				usedWith[a] = map[string]int{}
			}
			usedWith[a][ps.stylePartyKey(ps.s, faces[f].second[0])+"\x00"+masked(sSets[f], both).key()] += len(faces[f].areas)
		}
	}
	// Whether the primary shares styles between precincts at all.
	shares := false
	for a := range ps.p.Styles {
		if len(ps.p.Styles[a].Precincts) > 1 {
			shares = true
		}
	}
	areasOf := map[int]int{} // second style → areas
	for f := range faces {
		for _, s := range faces[f].second {
			areasOf[s] += len(faces[f].areas)
		}
	}
	// On how many areas either side has each content.
	held := map[string]int{}
	for f := range faces {
		held["p"+masked(pSets[f], both).key()] += len(faces[f].areas)
		held["s"+masked(sSets[f], both).key()] += len(faces[f].areas)
	}
	type pairing struct{ meant, carried string } // by party, content and label
	grouped := map[pairing]*wrongStyle{}
	budget := maxNearest
	for _, f := range differing {
		a, b := faces[f].primary[0], faces[f].second[0]
		party := ps.stylePartyKey(ps.s, b)
		have, should := masked(pSets[f], both), masked(sSets[f], both)
		d := apart(have, should)
		var carried *class
		exact := false
		c := byContent[party+"\x00"+have.key()]
		if c == nil && d >= 2 { // the ballot meant for another party's voters
			for _, other := range sortedKeys(classes) {
				if c == nil {
					c = byContent[other+"\x00"+have.key()]
				}
			}
		}
		if c != nil {
			shared := usedWith[a][party+"\x00"+have.key()] > 0
			sameLabel := ps.labelsAgree(a, b)
			carriedLabel := slices.ContainsFunc(c.styles, func(t int) bool { return ps.labelsAgree(a, t) })
			whole := len(faces[f].areas) == areasOf[b]
			// A ballot that nobody else is meant to get, and that differs by one contest
			// from one that exists, is a contest left off or added, not a mistaken style.
			single := d == 1 && held["s"+should.key()] == len(faces[f].areas) && held["p"+should.key()] == 0
			switch {
			case ps.keyedAlike(b, c.styles):
				// One style of the second entry, keyed in two ways: the contests tell.
			case single:
			case shared, d >= 2, carriedLabel && !sameLabel:
				carried, exact = c, true
			case sameLabel, whole, shares:
				// One contest too few or too many on a style of its own: that is what
				// is wrong with it.
			default:
				carried, exact = c, true
			}
		} else if d >= 2 {
			// Nearest: first among the styles whose precincts share this ballot.
			best := d
			list := classes[party]
			for _, c := range list {
				if budget--; budget < 0 {
					break
				}
				if ps.keyedAlike(b, c.styles) {
					continue
				}
				n := apart(have, c.content)
				shared := usedWith[a][party+"\x00"+c.content.key()] > len(faces[f].areas)
				if shared && n < d {
					n = min(n, best-1)
				} else if n+1 >= d || n > d/3 || ps.labelsAgree(a, b) {
					continue
				}
				if n < best {
					best, carried = n, c
				}
			}
		}
		if carried == nil {
			continue
		}
		t := ps.nameable(carried.styles, a)
		faces[f].wrongStyle, faces[f].carried = true, t
		k := pairing{party + "\x00" + should.key() + ps.s.Styles[b].Label.Value, carried.content.key() + ps.s.Styles[t].Label.Value}
		g := grouped[k]
		if g == nil {
			g = &wrongStyle{meant: b, carried: t, exact: exact, single: d == 1}
			grouped[k] = g
		}
		if compareNames(styleName(ps.s, b), styleName(ps.s, g.meant)) < 0 {
			g.meant = b
		}
		g.areas = append(g.areas, faces[f].areas...)
	}
	for _, g := range grouped {
		ps.content.wrong = append(ps.content.wrong, *g)
	}
	slices.SortFunc(ps.content.wrong, func(x, y wrongStyle) int {
		return cmp.Or(cmp.Compare(x.meant, y.meant), cmp.Compare(x.carried, y.carried))
	})
}

// nameable picks, among styles of one content, the one whose label the primary's
// style has, else the first by name.
func (ps *pass) nameable(styles []int, primary int) int {
	best := styles[0]
	for _, t := range styles {
		if ps.labelsAgree(primary, t) {
			return t
		}
		if compareNames(styleName(ps.s, t), styleName(ps.s, best)) < 0 {
			best = t
		}
	}
	return best
}

// keyedAlike is true where one of the second entry's styles has the label of
// another: to call one the ballot of the other would say nothing.
func (ps *pass) keyedAlike(style int, others []int) bool {
	label := ps.s.Styles[style].Label
	return label.Known && label.Value != "" && slices.ContainsFunc(others, func(t int) bool { return hasLabel(ps.s, t, label.Value) })
}

// labelsAgree is true where both sides label the styles and the labels are one.
func (ps *pass) labelsAgree(primary, second int) bool {
	st := ps.s.Styles[second]
	if !st.Label.Known || st.Label.Value == "" {
		return false
	}
	return hasLabel(ps.p, primary, st.Label.Value)
}

func (ps *pass) findTwice() {
	note := func(second bool, j int, areas []int) {
		t := ps.content.twice[j]
		if t == nil {
			t = &twice{second: second}
			ps.content.twice[j] = t
		}
		t.areas = append(t.areas, areas...)
	}
	count := func(v *view, styles []int) map[int]int {
		total := 0
		for _, s := range styles {
			total += len(v.Styles[s].Content)
		}
		if ps.contentSet(v, styles).count() == total {
			return nil
		}
		n := map[int]int{}
		for _, pl := range placements(v, styles) {
			n[ps.joint(v)[pl.Contest]]++
		}
		return n
	}
	for f := range ps.ballots.faces {
		fc := &ps.ballots.faces[f]
		if fc.wrongStyle || len(fc.primary) != 1 || len(fc.second) != 1 {
			continue // ballots for each party repeat what all voters vote on
		}
		pn, sn := count(ps.p, fc.primary), count(ps.s, fc.second)
		for j, n := range pn {
			if n > max(1, sn[j]) {
				note(false, j, fc.areas)
			}
		}
		for j, n := range sn {
			if n > max(1, pn[j]) {
				note(true, j, fc.areas)
			}
		}
	}
}

// findMoved finds contests that stand in another order. On each face it takes
// the fewest contests whose moving explains the difference; faces where the same
// contests moved are one cause.
func (ps *pass) findMoved() {
	ps.content.moved = nil
	grouped := map[string]*movedContests{}
	var keys []string
	for f := range ps.ballots.faces {
		fc := &ps.ballots.faces[f]
		if fc.wrongStyle {
			continue
		}
		p, s := ps.commonOrder(fc)
		if slices.Equal(p, s) {
			continue
		}
		// The two directions may take other contests as the moved ones; the choice
		// between them must not depend on the side.
		moved, back := movedBetween(p, s), movedBetween(s, p)
		if len(back) == len(moved) && ps.titlesOf(back) < ps.titlesOf(moved) {
			moved = back
		}
		k := numberList(moved, func(i int) int { return i })
		if slices.Index(p, moved[0]) < slices.Index(s, moved[0]) {
			k += "up" // the same contest moved the other way is another cause
		}
		g := grouped[k]
		if g == nil {
			g = &movedContests{joints: moved, primary: p, other: s}
			grouped[k] = g
			keys = append(keys, k)
		}
		g.areas = append(g.areas, fc.areas...)
		fc.moved = true
	}
	for _, k := range keys {
		ps.content.moved = append(ps.content.moved, *grouped[k])
	}
}

func (ps *pass) titlesOf(joints []int) string {
	titles := make([]string, len(joints))
	for i, j := range joints {
		titles[i] = ps.jointTitle(j)
	}
	return strings.Join(titles, "\x00")
}

// commonOrder lists, by joint number, the contests that stand on both sides of a
// face, each where it first stands.
func (ps *pass) commonOrder(fc *face) (primary, second []int) {
	pSet, sSet := ps.contentSet(ps.p, fc.primary), ps.contentSet(ps.s, fc.second)
	list := func(v *view, styles []int, other set) []int {
		var out []int
		seen := newSet(ps.contests.joint)
		for _, pl := range placements(v, styles) {
			if j := ps.joint(v)[pl.Contest]; other.has(j) && !seen.has(j) {
				seen.add(j)
				out = append(out, j)
			}
		}
		return out
	}
	return list(ps.p, fc.primary, sSet), list(ps.s, fc.second, pSet)
}

// movedBetween returns the fewest elements that have to move to turn one order
// into the other, in the second order: those outside a longest common
// subsequence. Both orders hold the same elements.
func movedBetween(p, s []int) []int {
	at := make(map[int]int, len(p))
	for i, x := range p {
		at[x] = i
	}
	// Longest increasing subsequence of the places in p, in the order of s. Among
	// equals the later element of s moves.
	n := len(s)
	if n > maxOrdered {
		return slices.Clone(s)
	}
	length, from := make([]int, n), make([]int, n)
	end := -1
	for i := range n {
		length[i], from[i] = 1, -1
		for k := range i {
			if at[s[k]] < at[s[i]] && length[k]+1 > length[i] {
				length[i], from[i] = length[k]+1, k
			}
		}
		if end < 0 || length[i] > length[end] {
			end = i
		}
	}
	stays := map[int]bool{}
	for i := end; i >= 0; i = from[i] {
		stays[i] = true
	}
	var moved []int
	for i, x := range s {
		if !stays[i] {
			moved = append(moved, x)
		}
	}
	return moved
}
