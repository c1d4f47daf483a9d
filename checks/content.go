package checks

import (
	"slices"
	"strings"

	"counterproof/checks/wording"
)

// contentDifferences are what ballots hold on one side and not on the other,
// gathered over all faces so that one cause shows once.
type contentDifferences struct {
	missing, extra map[int][]int // joint contest → areas
	twice          map[int]*twice
	wrong          []wrongStyle
	both           set // joint contests that both sides have somewhere
	bare           []*bareBallots
	moved          []movedContests
}

// bareBallots are faces of a style that holds no contest at all on one side and
// some on the other.
type bareBallots struct {
	second bool // the side without contests
	style  int  // of that side, on the first face
	faces  []int
}

// twice is a contest that stands twice on a ballot of one side.
type twice struct {
	second bool
	areas  []int
}

// movedContests are contests that stand in another order on some faces.
type movedContests struct {
	joints         []int // that moved, in the second entry's order
	primary, other []int // the whole order on the first such face: primary, second
	areas          []int
}

const maxOrdered = 3_000 // contests on one ballot whose moves are told one by one

func (ps *pass) compareContents() {
	ps.content = contentDifferences{missing: map[int][]int{}, extra: map[int][]int{}, twice: map[int]*twice{}}
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
	ps.content.both = both
	pSets, sSets := make([]set, len(faces)), make([]set, len(faces))
	for f := range faces {
		pSets[f], sSets[f] = ps.contentSet(ps.p, faces[f].primary), ps.contentSet(ps.s, faces[f].second)
	}
	ps.findWrongStyles(pSets, sSets, both)
	ps.findBare(pSets, sSets)
	for f := range faces {
		p, s := ps.comparedContents(&faces[f])
		for w := range p {
			if faces[f].bare { // one finding tells of all that the other side has as well
				p[w], s[w] = p[w]&^both[w], s[w]&^both[w]
			}
			if p[w] == s[w] {
				continue
			}
			for _, j := range (set{s[w] &^ p[w]}).list() {
				ps.content.missing[w*64+j] = append(ps.content.missing[w*64+j], faces[f].areas...)
			}
			for _, j := range (set{p[w] &^ s[w]}).list() {
				ps.content.extra[w*64+j] = append(ps.content.extra[w*64+j], faces[f].areas...)
			}
		}
	}
	ps.findTwice()
	ps.findMoved()
}

// findBare finds the faces that hold nothing on one side: those of one style together,
// but for precincts that the other side gives another of its styles, by their labels.
func (ps *pass) findBare(pSets, sSets []set) {
	at := map[string]*bareBallots{} // by side, what the style is called, and that other label
	var used [2]map[string]bool     // labels of each side, once there is a ballot without contests
	label := func(v *view, style int) string { return wording.Normal(v.Styles[style].Label.Value) }
	another := func(own, other string) string {
		if used[0] == nil {
			for side, v := range []*view{ps.p, ps.s} {
				used[side] = map[string]bool{}
				for st := range v.Styles {
					used[side][label(v, st)] = true
				}
			}
		}
		if own == "" || other == "" || own == other || !(used[0][own] && used[1][own]) && !(used[0][other] && used[1][other]) {
			return ""
		}
		return other
	}
	for f := range ps.ballots.faces {
		fc := &ps.ballots.faces[f]
		p, s := pSets[f].count(), sSets[f].count()
		if p > 0 == (s > 0) || len(fc.primary) != 1 || len(fc.second) != 1 {
			continue
		}
		fc.bare = true
		a, c := fc.primary[0], fc.second[0]
		b := bareBallots{second: s == 0, style: a}
		k := "primary" + styleName(ps.p, a) + "\x00" + another(label(ps.p, a), label(ps.s, c))
		if b.second {
			b.style = c
			k = "second" + styleName(ps.s, c) + "\x00" + another(label(ps.s, c), label(ps.p, a))
		}
		if at[k] == nil {
			at[k] = &b
			ps.content.bare = append(ps.content.bare, &b)
		}
		at[k].faces = append(at[k].faces, f)
	}
}

// comparedContents are the contents of a face that are held against each other.
// The ballot that one side took for another style's is compared as that style's;
// what only one side has anywhere is missing or extra all the same.
func (ps *pass) comparedContents(fc *face) (primary, second set) {
	primary, second = ps.contentSet(ps.p, fc.primary), ps.contentSet(ps.s, fc.second)
	put := func(content, other set) {
		for w, both := range ps.content.both {
			content[w] = other[w]&both | content[w]&^both
		}
	}
	if fc.carried >= 0 {
		put(second, ps.contentSet(ps.s, []int{fc.carried}))
	}
	if fc.keyedAs >= 0 {
		put(primary, ps.contentSet(ps.p, []int{fc.keyedAs}))
	}
	return primary, second
}

// masked is a set without what the mask leaves out.
func masked(a, mask set) set {
	out := make(set, len(a))
	for i := range a {
		out[i] = a[i] & mask[i]
	}
	return out
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
		moved := ps.movedOf(p, s)
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

// movedOf are the contests that are said to have moved between the orders of the
// two sides. The two directions may take others; the choice between them must not
// depend on the side.
func (ps *pass) movedOf(primary, second []int) []int {
	moved, back := movedBetween(primary, second), movedBetween(second, primary)
	if len(back) == len(moved) && ps.titlesOf(back) < ps.titlesOf(moved) {
		return back
	}
	return moved
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
