package planted

import (
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
)

// lineKinds are mistakes about parties, and about which positions are one person.
var lineKinds = []*Kind{
	{Name: "candidate on the wrong party line", Code: "party-line", Grade: finding.MustFix, Side: "primary",
		plant: wrongLine},
	{Name: "candidate keyed on the wrong party line", Code: "party-line", Grade: finding.MustFix, Side: "second",
		plant: wrongLine},
	{Name: "cross-endorsed line dropped", Code: "party-line", Grade: finding.MustFix, Side: "primary", plant: lineDropped},
	{Name: "cross-endorsed line not keyed", Code: "party-line", Grade: finding.MustFix, Side: "second",
		plant: lineDropped},
	{Name: "a line too many", Code: "party-line", Grade: finding.MustFix, Side: "primary", plant: lineAdded},
	{Name: "two candidates' parties exchanged", Code: "party-line", Grade: finding.MustFix, Side: "primary",
		plant: partiesSwapped},
	{Name: "two candidates' parties exchanged by the keyer", Code: "party-line", Grade: finding.MustFix, Side: "second",
		plant: partiesSwapped},
	{Name: "no party printed in a contest", Code: "party-line", Grade: finding.Confirm, Side: "second",
		Doc:   "Every choice is keyed as printed without a party; the export merely gives candidates their own.",
		plant: dashes},
	{Name: "same candidate on two lines without being marked as one", Code: "candidate-unlinked", Grade: finding.MustFix,
		Side:  "primary",
		plant: unlinked(1, 1)},
	{Name: "same candidate twice in a vote-for-many contest without being marked as one", Code: "candidate-unlinked",
		Grade: finding.MustFix, Side: "primary", plant: unlinked(2, 9)},
	{Name: "two rivals linked as one person", Doc: "Their votes would be added. The design has no code for it.",
		Code:  "candidate-unlinked",
		Grade: finding.MustFix, Also: []finding.Code{"unclassified"},
		Why:  "Both say that the positions are grouped differently.",
		Side: "primary", plant: rivalsLinked},
	{Name: "same candidate on the same line twice", Doc: "On the proof as well.", Code: "party-line-twice",
		Grade: finding.MustFix, Side: "both",
		plant: lineTwice},
}

// lined are positions with party lines that both sides state.
type lined struct {
	both
	key  string // of the choice
	p, s int    // positions
}

func (g *planter) lines(fits func(both, lined) bool) (lined, bool) {
	for _, b := range g.contests() {
		if !g.candidates(b) {
			continue
		}
		for _, j := range g.named(g.Primary, b.p) {
			key := g.Primary.Keys.Choices[b.p][j]
			k := g.Second.choice(b.s, key)
			if k < 0 || len(g.Second.Contests[b.s].Choices[k].Lines.Value) == 0 ||
				len(g.Primary.Contests[b.p].Choices[j].Lines.Value) == 0 {
				continue
			}
			l := lined{b, key, j, k}
			if !g.claims.free(who(b, key)) || !fits(b, l) {
				continue
			}
			g.claim(who(b, key))
			g.mark(b.key)
			return l, true
		}
	}
	return lined{}, false
}

// at returns the position on a side.
func (g *planter) at(side *Side, l lined) *model.Choice {
	if side == g.Primary {
		return &side.Contests[l.both.p].Choices[l.p]
	}
	return &side.Contests[l.both.s].Choices[l.s]
}

// standsOn says whether a person of a contest stands on a party's line.
func (s *Side) standsOn(contest int, person string, party int) bool {
	for _, c := range s.Contests[contest].Choices {
		if c.Person == person && !c.WriteIn && slices.Contains(c.Lines.Value, party) {
			return true
		}
	}
	return false
}

// otherParty is a party on whose line the person does not stand.
func (g *planter) otherParty(l lined) (int, bool) {
	i := g.in(g.mine, l.both)
	for _, q := range g.Perm(len(g.mine.Parties)) {
		if !g.mine.standsOn(i, g.at(g.mine, l).Person, q) {
			return q, true
		}
	}
	return 0, false
}

func wrongLine(g *planter) []Expect {
	l, ok := g.lines(func(_ both, l lined) bool {
		_, ok := g.otherParty(l)
		return ok
	})
	if !ok {
		return nil
	}
	q, _ := g.otherParty(l)
	c := g.at(g.mine, l)
	if len(c.Lines.Value) == 0 { // keyed as printed without a party, in a primary
		c.Lines = model.Say([]int{q})
		if g.Second.Parties[q].Abbreviation.Value.In("") == g.Primary.Parties[g.at(g.Primary,
			l).Lines.Value[0]].Abbreviation.Value.In("") {
			return nil
		}
	} else {
		c.Lines.Value[len(c.Lines.Value)-1] = q
	}
	return []Expect{{Contest: l.both.key, Choice: l.key, Everywhere: true}}
}

func lineDropped(g *planter) []Expect {
	l, ok := g.lines(func(b both, l lined) bool {
		c := g.at(g.mine, l)
		return len(c.Lines.Value) > 1 ||
			g.mine.positionsOf(g.in(g.mine, b), c.Person) > 1 && g.claims.free("contest/"+b.key+"/order")
	})
	if !ok {
		return nil
	}
	c := g.at(g.mine, l)
	if len(c.Lines.Value) > 1 {
		c.Lines.Value = c.Lines.Value[:len(c.Lines.Value)-1]
	} else {
		g.claim("contest/" + l.both.key + "/order")
		j := l.p
		if g.mine == g.Second {
			j = l.s
		}
		g.mine.removeChoice(g.in(g.mine, l.both), j)
	}
	return []Expect{{Contest: l.both.key, Choice: l.key, Everywhere: true}}
}

func lineAdded(g *planter) []Expect {
	l, ok := g.lines(func(b both, l lined) bool {
		_, other := g.otherParty(l)
		return other && len(g.Primary.Contests[b.p].PrimaryParties.Value) == 0
	})
	if !ok {
		return nil
	}
	q, _ := g.otherParty(l)
	c := g.at(g.mine, l)
	c.Lines.Value = append(c.Lines.Value, q)
	return []Expect{{Contest: l.both.key, Choice: l.key, Everywhere: true}}
}

func partiesSwapped(g *planter) []Expect {
	var other lined
	l, ok := g.lines(func(b both, l lined) bool {
		i := g.in(g.mine, b)
		for _, j := range g.named(g.Primary, b.p) {
			key := g.Primary.Keys.Choices[b.p][j]
			o := lined{b, key, j, g.Second.choice(b.s, key)}
			if o.s < 0 {
				continue
			}
			x, y := g.at(g.mine, l), g.at(g.mine, o)
			if x.Person != y.Person && len(x.Lines.Value) == 1 && len(y.Lines.Value) == 1 &&
				x.Lines.Value[0] != y.Lines.Value[0] &&
				!g.mine.standsOn(i, x.Person, y.Lines.Value[0]) && !g.mine.standsOn(i, y.Person, x.Lines.Value[0]) &&
				g.claims.free(who(b, key)) {
				other = o
				return true
			}
		}
		return false
	})
	if !ok || !g.claim(who(other.both, other.key)) {
		return nil
	}
	x, y := g.at(g.mine, l), g.at(g.mine, other)
	x.Lines, y.Lines = y.Lines, x.Lines
	return []Expect{{Contest: l.both.key, Choice: l.key, Everywhere: true},
		{Contest: l.both.key, Choice: other.key, Everywhere: true}}
}

func dashes(g *planter) []Expect {
	if g.Shape.Kind != General || g.fused() {
		return nil
	}
	b, ok := g.contest("/who", func(b both) bool {
		named := g.named(g.Second, b.s)
		return g.candidates(b) && len(named) > 0 && len(g.Second.Contests[b.s].Choices[named[0]].Lines.Value) > 0
	})
	if !ok {
		return nil
	}
	for j := range g.Second.Contests[b.s].Choices {
		if c := &g.Second.Contests[b.s].Choices[j]; !c.WriteIn {
			c.Lines = model.Say[[]int](nil)
		}
	}
	return []Expect{{Contest: b.key, Everywhere: true}}
}

// fused says that the county's candidates are endorsed by several parties.
func (g *planter) fused() bool { return g.Shape.Fusion != NoFusion && g.Shape.Kind == General }

func unlinked(least, most int) func(*planter) []Expect {
	return func(g *planter) []Expect {
		p := g.Primary
		for _, b := range g.contests() {
			votes := p.Contests[b.p].VoteFor.Value
			if !g.candidates(b) || votes < least || votes > most {
				continue
			}
			for _, j := range g.named(p, b.p) {
				c := &p.Contests[b.p].Choices[j]
				if p.positionsOf(b.p, c.Person) < 2 || !g.claim(who(b, p.Keys.Choices[b.p][j])) {
					continue
				}
				g.mark(b.key)
				c.Person += " again"
				return []Expect{{Contest: b.key, Choice: p.Keys.Choices[b.p][j], Everywhere: true}}
			}
		}
		return nil
	}
}

func rivalsLinked(g *planter) []Expect {
	p := g.Primary
	for _, b := range g.contests() {
		named := g.named(p, b.p)
		if !g.candidates(b) || len(named) < 2 {
			continue
		}
		x, y := &p.Contests[b.p].Choices[named[0]], &p.Contests[b.p].Choices[named[1]]
		if x.Person == y.Person || p.positionsOf(b.p, x.Person) > 1 || p.positionsOf(b.p, y.Person) > 1 ||
			!g.claim(who(b, p.Keys.Choices[b.p][named[0]]), who(b, p.Keys.Choices[b.p][named[1]])) {
			continue
		}
		g.mark(b.key)
		x.Person = y.Person
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
	return nil
}

// lineTwice lets a candidate stand on one party's line in two positions, on both
// sides.
func lineTwice(g *planter) []Expect {
	var line int
	l, ok := g.lines(func(b both, l lined) bool {
		c := g.at(g.Primary, l)
		for _, j := range g.named(g.Primary, b.p) {
			o := g.Primary.Contests[b.p].Choices[j]
			if o.Person == c.Person && j != l.p && len(o.Lines.Value) == 1 && !slices.Contains(c.Lines.Value, o.Lines.Value[0]) {
				line = o.Lines.Value[0]
				return true
			}
		}
		return false
	})
	if !ok {
		return nil
	}
	p, s := g.at(g.Primary, l), g.at(g.Second, l)
	p.Lines.Value = append(p.Lines.Value, line)
	s.Lines.Value = append(s.Lines.Value, g.Second.party(g.Primary.Keys.Parties[line]))
	return []Expect{{Contest: l.both.key, Choice: l.key, Everywhere: true}}
}
