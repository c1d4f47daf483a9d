package planted

import (
	"counterproof/checks/finding"
	"counterproof/model"
)

// causeKinds are mistakes that show in many places and have one cause, and the one odd choice
// that a rule for a whole contest must not cover.
var causeKinds = []*Kind{
	{Name: "one candidate of another party in a contest printed without parties", Code: "party-line",
		Grade: finding.Confirm, Side: "primary",
		Doc:   "The export gives all others one party: the contest is one finding, and that candidate another.",
		plant: oddParty},
	{Name: "one candidate without the party that all others of a primary have", Code: "party-line",
		Grade: finding.Confirm, Side: "primary",
		Doc:   "Nothing is printed beside any of them.",
		plant: oddInPrimary},
}

// uniform says that a contest has at least three named positions, one for each person, whose
// lines both sides state.
func (g *planter) uniform(b both) bool {
	named := g.named(g.Primary, b.p)
	if !g.candidates(b) || len(named) < 3 {
		return false
	}
	for _, j := range named {
		c, k := g.Primary.Contests[b.p].Choices[j], g.Second.choice(b.s, g.Primary.Keys.Choices[b.p][j])
		if k < 0 || !c.Lines.Known || !g.Second.Contests[b.s].Choices[k].Lines.Known ||
			g.Primary.positionsOf(b.p, c.Person) != 1 {
			return false
		}
	}
	return len(g.named(g.Second, b.s)) == len(named)
}

func oddParty(g *planter) []Expect {
	if g.Shape.Kind != General || g.fused() || len(g.Primary.Parties) < 2 {
		return nil
	}
	b, ok := g.contest("/who", g.uniform)
	if !ok {
		return nil
	}
	for j := range g.Second.Contests[b.s].Choices {
		if c := &g.Second.Contests[b.s].Choices[j]; !c.WriteIn {
			c.Lines = model.Say[[]int](nil)
		}
	}
	named, parties := g.named(g.Primary, b.p), g.Perm(len(g.Primary.Parties))
	for n, j := range named {
		c := &g.Primary.Contests[b.p].Choices[j]
		c.Lines = model.Say([]int{parties[min(n, 1)]})
	}
	return []Expect{{Contest: b.key, Choice: g.Primary.Keys.Choices[b.p][named[0]], Everywhere: true},
		{Contest: b.key, Everywhere: true}}
}

func oddInPrimary(g *planter) []Expect {
	b, ok := g.contest("/who", func(b both) bool {
		if !g.uniform(b) || len(g.Primary.Contests[b.p].PrimaryParties.Value) != 1 {
			return false
		}
		for _, j := range g.named(g.Second, b.s) {
			if len(g.Second.Contests[b.s].Choices[j].Lines.Value) > 0 {
				return false
			}
		}
		return true
	})
	if !ok {
		return nil
	}
	j := g.named(g.Primary, b.p)[0]
	g.Primary.Contests[b.p].Choices[j].Lines = model.Say([]int{})
	return []Expect{{Contest: b.key, Choice: g.Primary.Keys.Choices[b.p][j], Everywhere: true}}
}
