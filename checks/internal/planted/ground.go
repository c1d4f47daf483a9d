package planted

import (
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// Kind is one kind of mistake.
type Kind struct {
	// Name tells the mistake in a few words of the trade.
	Name string
	// Doc says how it comes about, where the name does not.
	Doc string
	// Code and Grade are those of every finding that it leads to, unless an Expect
	// says otherwise.
	Code  finding.Code
	Grade finding.Grade
	// Also are codes that nothing could tell from Code here; Why says why.
	Also []finding.Code
	Why  string
	// Side is where it is planted: "primary" or "second"; "both" for what the two
	// sides agree on and is odd all the same.
	Side string
	// plant makes the mistake and returns what has to be found; nil where this
	// county has no place for it.
	plant func(*ground) []Expect
}

// Plant makes the mistake in the county and returns the findings that there have
// to be, or nil where the county has no place for it: then the county may be
// spoilt and must be thrown away. Where contest is given, it is planted on that
// contest or not at all.
func (k *Kind) Plant(r *rand.Rand, c *County, claims *Claims, contest string) []Expect {
	g := &ground{Rand: r, County: c, claims: claims, want: contest, mine: c.Primary, other: c.Second}
	if k.Side == "second" {
		g.mine, g.other = c.Second, c.Primary
	}
	expected := k.plant(g)
	for i := range expected {
		if expected[i].Check == "" {
			expected[i].Check, expected[i].Also = k.Code, k.Also
		}
		if expected[i].Grade == "" {
			expected[i].Grade = k.Grade
		}
	}
	return expected
}

// Claims keep two mistakes from being planted on the same thing, where there
// would be one mistake, another or none. A claim is a path: what lies under it is
// claimed with it.
type Claims struct {
	held []string
	// Avoid are contests on which nothing is to be planted.
	Avoid []string
	// Contest is the contest of the last mistake that was planted on one.
	Contest string
}

func (c *Claims) free(path string) bool {
	for _, h := range c.held {
		if h == path || strings.HasPrefix(h, path+"/") || strings.HasPrefix(path, h+"/") {
			return false
		}
	}
	return true
}

// ground is where a mistake is planted.
type ground struct {
	*rand.Rand
	*County
	claims      *Claims
	want        string
	mine, other *Side // where the mistake is made, and not
}

// claim takes the paths if all are free.
func (g *ground) claim(paths ...string) bool {
	for _, p := range paths {
		if !g.claims.free(p) {
			return false
		}
	}
	g.claims.held = append(g.claims.held, paths...)
	return true
}

// both is a contest that both sides have on their ballots.
type both struct {
	key  string
	p, s int
}

// in returns the contest's index on a side.
func (g *ground) in(side *Side, b both) int {
	if side == g.Primary {
		return b.p
	}
	return b.s
}

// contests lists, in random order, the contests that mistakes may be planted on.
func (g *ground) contests() []both {
	var list []both
	for _, p := range g.Perm(len(g.Primary.Contests)) {
		key := g.Primary.Keys.Contests[p]
		s := g.Second.contest(key)
		if s < 0 || g.want != "" && key != g.want || slices.Contains(g.claims.Avoid, key) {
			continue
		}
		if len(g.Primary.stylesWith(p)) > 0 && len(g.Second.stylesWith(s)) > 0 {
			list = append(list, both{key, p, s})
		}
	}
	return list
}

// contest chooses a contest that fits, and claims the aspect of it.
func (g *ground) contest(aspect string, fits func(both) bool) (both, bool) {
	for _, b := range g.contests() {
		if fits != nil && !fits(b) || !g.claim("contest/"+b.key+aspect) {
			continue
		}
		g.claims.Contest = b.key
		return b, true
	}
	return both{}, false
}

func (g *ground) kind(b both) model.Kind { return g.Second.Contests[b.s].Kind.Value }

// kindOf is what the export says a precinct is, empty where another mistake took it
// out of the export.
func (g *ground) kindOf(key string) string {
	if i := g.Primary.precinct(key); i >= 0 {
		return g.Primary.Precincts[i].Kind
	}
	return ""
}

// mark notes the contest that a mistake was planted on.
func (g *ground) mark(key string) { g.claims.Contest = key }

// face is a style as a list of contest keys.
func (s *Side) face(style int) []string {
	var keys []string
	for _, p := range s.Styles[style].Content {
		keys = append(keys, s.Keys.Contests[p.Contest])
	}
	return keys
}

// apart is how many contests stand on one of the two ballots only.
func apart(a, b []string) int {
	n := 0
	for _, k := range a {
		if !slices.Contains(b, k) {
			n++
		}
	}
	for _, k := range b {
		if !slices.Contains(a, k) {
			n++
		}
	}
	return n
}

// nearest is the smallest distance between the ballot and one that the side has
// for precincts other than those given, for voters of the same parties.
func (s *Side) nearest(face []string, party []string, except []string) int {
	least := 1 << 30
	for i, st := range s.Styles {
		keys := s.precinctKeys(st.Precincts)
		if slices.Equal(s.partyKeys(st.Parties), party) && len(intersect(keys, except)) == 0 {
			least = min(least, apart(face, s.face(i)))
		}
	}
	return least
}

func (s *Side) partyKeys(list []int) []string {
	var keys []string
	for _, p := range list {
		keys = append(keys, s.Keys.Parties[p])
	}
	return keys
}

// place claims a contest on the ballots of some precincts.
func (g *ground) place(contest string, precincts []string) bool {
	var paths []string
	for _, p := range precincts {
		paths = append(paths, "ballot/"+p+"/"+contest)
	}
	return g.claim(paths...)
}

// ballots claims everything on the ballots of some precincts.
func (g *ground) ballots(precincts ...string) bool {
	var paths []string
	for _, p := range precincts {
		paths = append(paths, "ballot/"+p)
	}
	return g.claim(paths...)
}
