package difference

import (
	"slices"
	"strings"

	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// Content lists the contests that ballots have on one side only, collected over all faces so that
// each cause is reported once.
type Content struct {
	Missing, Extra map[int][]int // key of a contest → areas
	Twice          map[int]*Twice
	Wrong          []WrongStyle
	Exchanges      []PartyExchange
	Exchanged      []PlaceExchange
	Both           pairing.Set // keys of contests that both sides have somewhere
	Bare           []*BareBallots
	Moved          []MovedContests
}

// BareBallots are faces of a style that has no contest at all on one side and some on the other.
type BareBallots struct {
	Second bool // the side without contests is the second entry
	Style  int  // of that side, on the first face
	Faces  []int
}

// Twice is a contest that a ballot of one side prints twice.
type Twice struct {
	Second bool
	Areas  []int
}

// MovedContests are contests in a different order on some faces.
type MovedContests struct {
	Keys           []int // of the contests that moved, in the second entry's order
	Primary, Other []int // the whole order on the first such face: primary, second
	Areas          []int
}

const maxOrdered = 3_000 // above this many contests on a ballot, moves are not searched

func compareContents(pg *pairing.Pairing, faces []Face, r *rotations) Content {
	c := Content{Missing: map[int][]int{}, Extra: map[int][]int{}}
	onP, onS := pairing.NewSet(pg.Contests.Keys), pairing.NewSet(pg.Contests.Keys)
	for _, j := range pg.Contests.PrimaryKey {
		onP.Add(j)
	}
	for _, j := range pg.Contests.SecondKey {
		onS.Add(j)
	}
	both := pairing.NewSet(pg.Contests.Keys) // contests that both sides have anywhere
	for i := range both {
		both[i] = onP[i] & onS[i]
	}
	c.Both = both
	if !slices.ContainsFunc(faces, func(fc Face) bool { return !fc.same }) {
		return c
	}
	pSets, sSets := make([]pairing.Set, len(faces)), make([]pairing.Set, len(faces)) // nil if both are equal
	for f := range faces {
		if !faces[f].same {
			pSets[f] = pg.ContentSet(pg.Primary, faces[f].Primary)
			sSets[f] = pg.ContentSet(pg.Second, faces[f].Second)
		}
	}
	c.Wrong = findWrongStyles(pg, faces, pSets, sSets, both, r)
	c.Exchanges = findPartyExchanges(pg, c.Wrong, both)
	c.Bare = findBare(pg, faces, pSets, sSets)
	for f := range faces {
		if faces[f].same {
			continue
		}
		p, s := comparedContents(pg, &c, &faces[f])
		for w := range p {
			if faces[f].Bare { // one finding covers everything that the other side has
				p[w], s[w] = p[w]&^both[w], s[w]&^both[w]
			}
			if p[w] == s[w] {
				continue
			}
			for _, j := range (pairing.Set{s[w] &^ p[w]}).List() {
				c.Missing[w*64+j] = append(c.Missing[w*64+j], faces[f].Areas...)
			}
			for _, j := range (pairing.Set{p[w] &^ s[w]}).List() {
				c.Extra[w*64+j] = append(c.Extra[w*64+j], faces[f].Areas...)
			}
		}
	}
	c.Exchanged = findPlaceExchanges(pg, &c)
	c.Twice = findTwice(pg, faces)
	c.Moved = findMoved(pg, faces)
	return c
}

// findBare finds the faces that are empty on one side and groups them by style. It leaves out
// precincts to which the other side gives another of its styles, by their labels.
func findBare(pg *pairing.Pairing, faces []Face, pSets, sSets []pairing.Set) []*BareBallots {
	var bare []*BareBallots
	at := map[string]*BareBallots{} // by side, name of the style, and that other label
	var used [2]map[string]bool     // labels of each side; built when the first empty ballot is found
	label := func(v *pairing.Side, style int) string { return wording.Normal(v.Styles[style].Label.Value) }
	another := func(own, other string) string {
		if used[0] == nil {
			for side, v := range []*pairing.Side{pg.Primary, pg.Second} {
				used[side] = map[string]bool{}
				for st := range v.Styles {
					used[side][label(v, st)] = true
				}
			}
		}
		if own == "" || other == "" || own == other || !(used[0][own] && used[1][own]) &&
			!(used[0][other] && used[1][other]) {
			return ""
		}
		return other
	}
	for f := range faces {
		fc := &faces[f]
		p, s := pSets[f].Count(), sSets[f].Count()
		if p > 0 == (s > 0) || len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		fc.Bare = true
		a, c := fc.Primary[0], fc.Second[0]
		b := BareBallots{Second: s == 0, Style: a}
		k := "primary" + pairing.StyleName(pg.Primary, a) + "\x00" + another(label(pg.Primary, a), label(pg.Second, c))
		if b.Second {
			b.Style = c
			k = "second" + pairing.StyleName(pg.Second, c) + "\x00" + another(label(pg.Second, c), label(pg.Primary, a))
		}
		if at[k] == nil {
			at[k] = &b
			bare = append(bare, &b)
		}
		at[k].Faces = append(at[k].Faces, f)
	}
	return bare
}

// comparedContents returns the contents of a face that are compared with each other. If one side
// took the ballot for another style's, it is compared as that style. Contests that only one side
// has anywhere are still missing or extra.
func comparedContents(pg *pairing.Pairing, c *Content, fc *Face) (primary, second pairing.Set) {
	primary, second = pg.ContentSet(pg.Primary, fc.Primary), pg.ContentSet(pg.Second, fc.Second)
	put := func(content, other pairing.Set) {
		for w, both := range c.Both {
			content[w] = other[w]&both | content[w]&^both
		}
	}
	if fc.Carried >= 0 {
		put(second, pg.ContentSet(pg.Second, []int{fc.Carried}))
	}
	if fc.KeyedAs >= 0 {
		put(primary, pg.ContentSet(pg.Primary, []int{fc.KeyedAs}))
	}
	return primary, second
}

// masked returns a without the elements that are not in the mask.
func masked(a, mask pairing.Set) pairing.Set {
	out := slices.Clone(a)
	out.Keep(mask)
	return out
}

func findTwice(pg *pairing.Pairing, faces []Face) map[int]*Twice {
	out := map[int]*Twice{}
	note := func(second bool, j int, areas []int) {
		t := out[j]
		if t == nil {
			t = &Twice{Second: second}
			out[j] = t
		}
		t.Areas = append(t.Areas, areas...)
	}
	count := func(v *pairing.Side, styles []int) map[int]int {
		total := 0
		for _, s := range styles {
			total += len(v.Styles[s].Content)
		}
		if pg.ContentSet(v, styles).Count() == total {
			return nil
		}
		n := map[int]int{}
		for _, pl := range pairing.Placements(v, styles) {
			n[pg.ContestKeys(v)[pl.Contest]]++
		}
		return n
	}
	for f := range faces {
		fc := &faces[f]
		if fc.same || fc.WrongStyle || len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue // ballots for each party repeat the contests of all voters
		}
		pn, sn := count(pg.Primary, fc.Primary), count(pg.Second, fc.Second)
		for j, n := range pn {
			if n > max(1, sn[j]) {
				note(false, j, fc.Areas)
			}
		}
		for j, n := range sn {
			if n > max(1, pn[j]) {
				note(true, j, fc.Areas)
			}
		}
	}
	return out
}

// findMoved finds contests in a different order. For each face it finds the smallest set of
// contests whose moving explains the difference. Faces where the same contests moved are one cause.
func findMoved(pg *pairing.Pairing, faces []Face) []MovedContests {
	grouped := map[string]*MovedContests{}
	var keys []string
	for f := range faces {
		fc := &faces[f]
		if fc.same || fc.WrongStyle {
			continue
		}
		p, s := commonOrder(pg, fc)
		if slices.Equal(p, s) {
			continue
		}
		moved := movedOf(pg, p, s)
		k := pairing.NumberList(moved, func(i int) int { return i })
		if slices.Index(p, moved[0]) < slices.Index(s, moved[0]) {
			k += "up" // the same contest moved the other way is a different cause
		}
		g := grouped[k]
		if g == nil {
			g = &MovedContests{Keys: moved, Primary: p, Other: s}
			grouped[k] = g
			keys = append(keys, k)
		}
		g.Areas = append(g.Areas, fc.Areas...)
		fc.Moved = true
	}
	var out []MovedContests
	for _, k := range keys {
		out = append(out, *grouped[k])
	}
	return out
}

// movedOf returns the contests that count as moved between the orders of the two sides. The two
// directions may give different sets; the choice between them must not depend on the side.
func movedOf(pg *pairing.Pairing, primary, second []int) []int {
	moved, back := movedBetween(primary, second), movedBetween(second, primary)
	if len(back) == len(moved) && titlesOf(pg, back) < titlesOf(pg, moved) {
		return back
	}
	return moved
}

func titlesOf(pg *pairing.Pairing, keys []int) string {
	titles := make([]string, len(keys))
	for i, j := range keys {
		titles[i] = pg.TitleOf(j)
	}
	return strings.Join(titles, "\x00")
}

// commonOrder lists, by key, the contests that are on both sides of a face, each at its first
// occurrence.
func commonOrder(pg *pairing.Pairing, fc *Face) (primary, second []int) {
	pSet, sSet := pg.ContentSet(pg.Primary, fc.Primary), pg.ContentSet(pg.Second, fc.Second)
	list := func(v *pairing.Side, styles []int, other pairing.Set) []int {
		var out []int
		seen := pairing.NewSet(pg.Contests.Keys)
		for _, pl := range pairing.Placements(v, styles) {
			if j := pg.ContestKeys(v)[pl.Contest]; other.Has(j) && !seen.Has(j) {
				seen.Add(j)
				out = append(out, j)
			}
		}
		return out
	}
	return list(pg.Primary, fc.Primary, sSet), list(pg.Second, fc.Second, pSet)
}

// movedBetween returns the smallest set of elements that must move to turn one order into the
// other, in the second order: those outside a longest common subsequence. Both orders have the same
// elements.
func movedBetween(p, s []int) []int {
	at := make(map[int]int, len(p))
	for i, x := range p {
		at[x] = i
	}
	// This is a longest increasing subsequence of the positions in p, in the order of s. Among
	// equally good choices, the later element of s moves.
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
