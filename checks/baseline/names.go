package baseline

import (
	"cmp"
	"fmt"
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
)

// Named holds the names of an export's things. A thing that has a counterpart in the second entry
// takes the counterpart's name. Any other thing keeps the name that it was first called by.
type Named struct {
	side *pairing.Side
	pg   *pairing.Pairing // nil for a second entry's own names
	// By index of the election's lists; "" while not known. A name that begins with extra belongs
	// to a thing that the second entry lacks.
	parties, precincts, contests, units, sites, districts []string
	choices                                               [][]string
	// keyedAs maps a precinct to the precincts of the second entry whose ballots its own are
	// compared with: itself, or the combined precinct that it belongs to.
	keyedAs map[string][]string
	// placements and orders cache what is laid out, for as long as that takes. seen and said are
	// scratch space.
	placements map[placementKey]*placement
	orders     map[orderKey]*[]string
	seen       map[string]int
	said       []byte
}

// extra is the prefix for names of things that the second entry lacks.
const extra = "+"

func isExtra(name string) bool { return len(name) > 0 && name[:1] == extra }

// nameThings names the things that have a counterpart in the second entry.
func nameThings(pg *pairing.Pairing) *Named {
	p, s := pg.Primary, pg.Second
	n := &Named{side: p}
	through := func(count int, to []int, name func(int) string) []string {
		out := make([]string, count)
		for i := range out {
			if to[i] >= 0 {
				out[i] = name(to[i])
			}
		}
		return out
	}
	n.parties = through(len(p.Parties), pg.Parties.ToSecond,
		func(j int) string { return unique(s.Origins.Party(j), s.PartyName[j]) })
	n.precincts = through(len(p.Precincts), pg.Precincts.ToSecond, func(j int) string { return s.PrecinctName[j] })
	n.sites = through(len(p.Sites), pg.Sites.ToSecond, func(j int) string { return s.SiteName[j] })
	n.units = through(len(p.Units), pg.Units.ToSecond, func(j int) string { return unitName(s, j) })
	n.districts = make([]string, len(p.Districts))
	for i := range p.Districts {
		n.districts[i] = key(p.Words(p.Districts[i].Name), p.Districts[i].Kind)
	}
	n.contests = make([]string, len(p.Contests))
	n.choices = make([][]string, len(p.Contests))
	for i := range p.Contests {
		n.choices[i] = make([]string, len(p.Contests[i].Choices))
		m := pairOf(pg, i)
		if m == nil {
			continue
		}
		n.contests[i] = unique(s.Origins.Contest(m.Second).Origin, s.Title(m.Second))
		for j, to := range m.Choices.ToSecond {
			if to >= 0 {
				n.choices[i][j] = choiceName(to)
			}
		}
	}
	n.pg = pg
	return n
}

// nameAreas sets keyedAs.
func (n *Named) nameAreas() {
	n.keyedAs = map[string][]string{}
	if n.pg == nil {
		return
	}
	add := func(i, second int) {
		name := n.pg.Second.PrecinctName[second]
		if !slices.Contains(n.keyedAs[n.precincts[i]], name) {
			n.keyedAs[n.precincts[i]] = append(n.keyedAs[n.precincts[i]], name)
		}
	}
	areas := map[int][]int{}
	for _, a := range n.pg.Precincts.Areas {
		areas[a.Primary] = append(areas[a.Primary], a.Second)
	}
	for i := range n.precincts {
		for _, c := range append(pairing.Carriers(n.side, i), i) {
			if j := n.pg.Precincts.ToSecond[c]; j >= 0 {
				add(i, j)
			}
			for _, j := range areas[c] {
				add(i, j)
			}
		}
	}
}

func unitName(v *pairing.Side, i int) string {
	return key(v.UnitName(i), string(pairing.UnitUse(v.Units[i])))
}

func choiceName(j int) string { return fmt.Sprint(j + 1) }

// pairOf returns the pair of a contest with its counterpart, or else with the contest that it is
// another version of.
func pairOf(pg *pairing.Pairing, i int) *pairing.ContestPair {
	for _, k := range pg.PairsOf(i) {
		if m := &pg.Contests.Pairs[k]; !m.Variant || pg.Contests.ToSecond[i] < 0 {
			return m
		}
	}
	return nil
}

// unique returns a thing's own code, or else what it is called.
func unique(o model.Origin, called string) string { return cmp.Or(o.ID, called) }

// follow gives things that the second entry lacks the names that another export of the case gave
// them.
func (n *Named) follow(e *Named) {
	if !n.lacks() || e.side == nil {
		return
	}
	direct := pairing.Of(n.side.Election, e.side.Election, n.side.Language, nil)
	take := func(own, others []string, to []int) {
		taken := map[string]bool{}
		for _, name := range own {
			taken[name] = true
		}
		for i, j := range to {
			if own[i] == "" && j >= 0 && isExtra(others[j]) && !taken[others[j]] {
				own[i] = others[j]
			}
		}
	}
	take(n.parties, e.parties, direct.Parties.ToSecond)
	take(n.precincts, e.precincts, direct.Precincts.ToSecond)
	take(n.sites, e.sites, direct.Sites.ToSecond)
	take(n.units, e.units, direct.Units.ToSecond)
	for i := range n.contests {
		m := pairOf(direct, i)
		if m == nil {
			continue
		}
		if n.contests[i] == "" && isExtra(e.contests[m.Second]) {
			n.contests[i] = e.contests[m.Second]
		}
		if n.contests[i] == e.contests[m.Second] {
			take(n.choices[i], e.choices[m.Second], m.Choices.ToSecond)
		}
	}
}

func (n *Named) lacks() bool {
	for _, list := range append([][]string{n.parties, n.precincts, n.sites, n.units, n.contests}, n.choices...) {
		if slices.Contains(list, "") {
			return true
		}
	}
	return false
}

// settle names everything that no other export knows by what it is called, and keeps the names
// unique.
func (n *Named) settle() {
	name := func(own []string, called func(int) string) {
		taken := map[string]bool{}
		for _, x := range own {
			taken[x] = true
		}
		for i := range own {
			if own[i] != "" {
				continue
			}
			x := extra + called(i)
			for k := 2; taken[x]; k++ {
				x = fmt.Sprintf("%s%s (%d)", extra, called(i), k)
			}
			own[i], taken[x] = x, true
		}
	}
	v := n.side
	name(n.parties, func(i int) string { return v.PartyName[i] })
	name(n.precincts, func(i int) string { return v.PrecinctName[i] })
	name(n.sites, func(i int) string { return v.SiteName[i] })
	name(n.units, func(i int) string { return unitName(v, i) })
	// Two contests with one title need no distinct names: they are on different ballots, or differ
	// by their position on one ballot. A contest that the export holds twice is printed once.
	for i := range n.contests {
		if n.contests[i] == "" {
			n.contests[i] = extra + key(v.Title(i), v.PartyList(v.Compared[i].PrimaryParties.Value))
		}
	}
	for i := range n.choices {
		writeIns := 0
		for j := range n.choices[i] {
			if v.Contests[i].Choices[j].WriteIn {
				writeIns++
				n.choices[i][j] = fmt.Sprint(writeIn, writeIns)
			}
		}
		name(n.choices[i], func(j int) string { return v.Choice(i, j) })
	}
	n.nameAreas()
}

// settled discards what was only needed to find names. If all names come from the second entry, no
// later export can follow them, so the side is discarded too.
func (n *Named) settled() {
	n.pg, n.placements, n.orders, n.seen, n.said = nil, nil, nil, nil, nil
	if !n.hasExtras() {
		n.side = nil
	}
}

func (n *Named) hasExtras() bool {
	for _, list := range append([][]string{n.parties, n.precincts, n.sites, n.units, n.contests}, n.choices...) {
		if slices.ContainsFunc(list, isExtra) {
			return true
		}
	}
	return false
}
