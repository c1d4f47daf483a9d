package planted

import (
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// choiceKinds are mistakes about which voting positions there are, and in which
// order.
var choiceKinds = []*Kind{
	{Name: "candidate missing in the export", Code: "choice-missing", Grade: finding.MustFix, Side: "primary",
		plant: choiceGone(1)},
	{Name: "candidate not keyed", Code: "choice-extra", Grade: finding.MustFix, Side: "second", plant: choiceGone(1)},
	{Name: "candidate missing on all their lines", Code: "choice-missing", Grade: finding.MustFix, Side: "primary",
		Doc: "One candidate, one mistake, one finding.", plant: choiceGone(2)},
	{Name: "all candidates of a contest missing", Code: "choice-missing", Grade: finding.MustFix, Side: "primary",
		Doc: "The contest is there, and its blank lines.", plant: contestWithoutChoices(false)},
	{Name: "all positions of a contest missing", Code: "choice-missing", Grade: finding.MustFix, Side: "primary",
		plant: contestWithoutChoices(true)},
	{Name: "no candidate of a contest keyed", Code: "choice-extra", Grade: finding.MustFix, Side: "second",
		plant: contestWithoutChoices(false)},
	{Name: "candidate entered under another contest", Code: "choice-missing", Grade: finding.MustFix, Side: "primary",
		Doc: "Missing in one, too many in the other: two findings.", plant: choiceMoved},
	{Name: "candidate keyed under another contest", Code: "choice-missing", Grade: finding.MustFix, Side: "second",
		plant: choiceMoved},
	{Name: "withdrawn candidate still in the export", Code: "choice-extra", Grade: finding.MustFix, Side: "primary",
		plant: choiceMore},
	{Name: "withdrawn candidate keyed", Code: "choice-missing", Grade: finding.MustFix, Side: "second", plant: choiceMore},
	{Name: "the same choice twice", Code: "choice-duplicate", Grade: finding.MustFix, Side: "primary",
		Doc: "In a contest without parties.", plant: choiceTwice(false, next)},
	{Name: "the same choice twice, the first among others", Code: "choice-duplicate", Grade: finding.MustFix,
		Side: "primary", plant: choiceTwice(false, topmost)},
	{Name: "a choice keyed twice, the second at the end", Code: "choice-duplicate", Grade: finding.MustFix, Side: "second",
		plant: choiceTwice(false, last)},
	{Name: "the same choice twice on one line", Code: "choice-duplicate", Grade: finding.MustFix, Side: "primary",
		Also: []finding.Code{"party-line-twice"}, Why: "The same choice twice is the same candidate on the same line twice.",
		plant: choiceTwice(true, next)},
	{Name: "write-in line missing", Code: "write-in", Grade: finding.MustFix, Side: "primary", plant: writeIn(false)},
	{Name: "write-in line too many", Code: "write-in", Grade: finding.MustFix, Side: "primary", plant: writeIn(true)},
	{Name: "write-in line not keyed", Code: "write-in", Grade: finding.MustFix, Side: "second", plant: writeIn(false)},
	{Name: "two candidates in the wrong order on every ballot", Code: "choice-order", Grade: finding.MustFix,
		Side:  "primary",
		plant: reordered(everyStyle, model.KindCandidate)},
	{Name: "two candidates in the wrong order in a file that states no order", Code: "choice-order",
		Grade: finding.Confirm, Side: "primary",
		plant: fileOrdered},
	{Name: "two candidates keyed in the wrong order", Code: "choice-order", Grade: finding.MustFix, Side: "second",
		plant: keyedOrder},
	{Name: "two candidates in the wrong order on one style", Code: "choice-order", Grade: finding.MustFix, Side: "primary",
		plant: reordered(oneStyle, model.KindCandidate)},
	{Name: "late change of the order on some styles only", Code: "choice-order", Grade: finding.MustFix, Side: "primary",
		plant: reordered(someStyles, model.KindCandidate)},
	{Name: "rotation wrong on one style", Code: "choice-order", Grade: finding.MustFix, Side: "primary", plant: rotated},
	{Name: "rotation not keyed", Code: "choice-order", Grade: finding.Confirm, Side: "second",
		Doc: "The order differs from the keyed one on some ballots, as a rotation makes it.", plant: rotationNotKeyed},
	{Name: "a measure's yes and no exchanged", Code: "choice-order", Grade: finding.MustFix, Side: "primary",
		plant: reordered(everyStyle, model.KindMeasure)},
	{Name: "a retention question's labels exchanged", Code: "choice-order", Grade: finding.MustFix, Side: "primary",
		plant: reordered(everyStyle, model.KindRetention)},
}

// named lists the positions of a contest that bear a name, in random order.
func (g *planter) named(s *Side, contest int) []int {
	var list []int
	for _, j := range g.Perm(len(s.Contests[contest].Choices)) {
		if c := s.Contests[contest].Choices[j]; !c.WriteIn && c.Name.Known {
			list = append(list, j)
		}
	}
	return list
}

// choiceGone takes a candidate with so many positions, or more, out of a contest.
func choiceGone(positions int) func(*planter) []Expect {
	return func(g *planter) []Expect {
		for _, b := range g.contests() {
			if !g.candidates(b) || !g.claims.free("contest/"+b.key+"/order") {
				continue
			}
			i := g.in(g.mine, b)
			people := map[string]bool{}
			for _, c := range g.mine.Contests[i].Choices {
				people[c.Person] = true
			}
			if len(people) < 3 { // an uncontested candidate: then the contest is another
				continue
			}
			for _, j := range g.named(g.mine, i) {
				person := g.mine.Contests[i].Choices[j].Person
				n := g.mine.positionsOf(i, person)
				key := g.mine.Keys.Choices[i][j]
				if positions == 1 && n != 1 || positions > 1 && n < positions || !g.claim(who(b, key)) {
					continue
				}
				g.mark(b.key)
				g.claims.held = append(g.claims.held, "contest/"+b.key+"/order")
				for k := len(g.mine.Contests[i].Choices) - 1; k >= 0; k-- {
					if c := g.mine.Contests[i].Choices[k]; !c.WriteIn && c.Person == person {
						g.mine.removeChoice(i, k)
					}
				}
				return []Expect{{Contest: b.key, Choice: key, Everywhere: true}}
			}
		}
		return nil
	}
}

// who is the path of a claim on a candidate, whatever either side has made of
// their name and lines.
func who(b both, choice string) string {
	_, person, _ := strings.Cut(strings.TrimRight(choice, "+"), "~")
	return "contest/" + b.key + "/who/" + person
}

// contestWithoutChoices leaves a contest without candidates, or without any position.
func contestWithoutChoices(blanks bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		b, ok := g.contest("", func(b both) bool {
			return g.candidates(b) && contested(g.Primary.Contests[b.p]) && contested(g.Second.Contests[b.s])
		})
		if !ok {
			return nil
		}
		at := g.in(g.mine, b)
		for j := len(g.mine.Contests[at].Choices) - 1; j >= 0; j-- {
			if blanks || !g.mine.Contests[at].Choices[j].WriteIn {
				g.mine.removeChoice(at, j)
			}
		}
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
}

// choiceMoved takes a candidate out of one contest and puts them into another.
func choiceMoved(g *planter) []Expect {
	s := g.mine
	want := g.want
	g.want = ""
	list := g.contests()
	g.want = want
	for _, a := range g.contests() {
		i := g.in(s, a)
		for _, b := range list {
			k := g.in(s, b)
			if a.key == b.key || !g.candidates(a) || !g.candidates(b) || !contested(s.Contests[i]) ||
				!contested(s.Contests[k]) ||
				!slices.Equal(s.Contests[i].PrimaryParties.Value, s.Contests[k].PrimaryParties.Value) {
				continue
			}
			j := g.named(s, i)[0]
			moved := s.Contests[i].Choices[j].Clone()
			key := s.Keys.Choices[i][j]
			mates := func(name string) bool { return strings.Contains(name, " / ") }
			if len(people(s.Contests[i])) < 3 || s.positionsOf(i, moved.Person) != 1 ||
				s.hasChoice(k, moved.Name.Value.In("")) ||
				mates(moved.Name.Value.In("")) != mates(s.Contests[k].Choices[g.named(s, k)[0]].Name.Value.In("")) ||
				!g.claims.free("contest/"+a.key+"/order") || !g.claims.free("contest/"+b.key) || !g.claim(who(a, key)) {
				continue
			}
			g.claims.held = append(g.claims.held, "contest/"+a.key+"/order", "contest/"+b.key)
			g.mark(a.key)
			s.removeChoice(i, j)
			s.addChoice(k, 1, b.key+".moved~moved", moved)
			here, there := Expect{Contest: a.key, Choice: key, Everywhere: true},
				Expect{Contest: b.key, Choice: b.key + ".moved~moved", Everywhere: true}
			if s == g.Primary {
				there.Check = "choice-extra"
			} else {
				here.Check = "choice-extra"
			}
			return []Expect{here, there}
		}
	}
	return nil
}

// people are those who stand in a contest.
func people(c model.Contest) map[string]bool {
	out := map[string]bool{}
	for _, ch := range c.Choices {
		if !ch.WriteIn {
			out[ch.Person] = true
		}
	}
	return out
}

func choiceMore(g *planter) []Expect {
	b, ok := g.contest("/who/more", func(b both) bool {
		return g.candidates(b) &&
			g.claims.free("contest/"+b.key+"/order")
	})
	if !ok {
		return nil
	}
	g.claims.held = append(g.claims.held, "contest/"+b.key+"/order")
	i := g.in(g.mine, b)
	like := g.mine.Contests[i].Choices[g.named(g.mine, i)[0]]
	name := newNamer(g.Rand).fresh().String()
	if strings.Contains(like.Name.Value.In(""), " / ") {
		name += " / " + newNamer(g.Rand).fresh().String()
	}
	more := model.Choice{Name: retitled(like.Name, name), Person: name, Lines: like.Lines}
	more.Lines.Value = slices.Clone(more.Lines.Value)
	key := b.key + ".more~more"
	g.mine.addChoice(i, 1, key, more)
	return []Expect{{Contest: b.key, Choice: key, Everywhere: true}}
}

// The place of a second position of a choice on the ballots.
type printedAt int

const (
	next printedAt = iota
	topmost
	last
)

func choiceTwice(partisan bool, where printedAt) func(*planter) []Expect {
	return func(g *planter) []Expect {
		s := g.mine
		for _, b := range g.contests() {
			if !g.candidates(b) {
				continue
			}
			contest := g.in(s, b)
			j := g.named(s, contest)[0]
			c := s.Contests[contest].Choices[j]
			if partisan != (len(c.Lines.Value) > 0) || !g.claims.free("contest/"+b.key+"/order") ||
				!g.claim(who(b, s.Keys.Choices[contest][j])) {
				continue
			}
			g.claims.held = append(g.claims.held, "contest/"+b.key+"/order")
			g.mark(b.key)
			c.Lines.Value = slices.Clone(c.Lines.Value)
			key := s.Keys.Choices[contest][j]
			at := 0
			switch where {
			case next:
				style := s.Styles[s.stylesWith(contest)[0]]
				at = slices.Index(s.printed(style.Content[placed(style, contest)]), j) + 1
			case last:
				at = len(s.Contests[contest].Choices)
			}
			s.addChoice(contest, at, key+"+", c)
			return []Expect{{Contest: b.key, Choice: key, Everywhere: true}}
		}
		return nil
	}
}

func writeIn(more bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		b, ok := g.contest("/writein", g.candidates)
		if !ok {
			return nil
		}
		i := g.in(g.mine, b)
		choices := g.mine.Contests[i].Choices
		last := slices.IndexFunc(choices, func(c model.Choice) bool { return c.WriteIn })
		if last < 0 {
			return nil
		}
		if more {
			g.mine.addChoice(i, len(choices), b.key+".blank", model.Choice{WriteIn: true})
		} else {
			g.mine.removeChoice(i, last)
		}
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
}

// Which of a contest's styles a change is made on.
func everyStyle(_ *rand.Rand, styles []int) []int { return styles }
func oneStyle(r *rand.Rand, styles []int) []int {
	if len(styles) < 2 {
		return nil
	}
	return []int{pick(r, styles)}
}
func someStyles(r *rand.Rand, styles []int) []int {
	if len(styles) < 3 {
		return nil
	}
	return shuffled(r, styles)[:2]
}

// differently says that the choices bear different names, so that their order
// can be seen.
func differently(c model.Contest, j, k int) bool {
	return c.Choices[j].Name.Value.In("") != c.Choices[k].Name.Value.In("")
}

func reordered(which func(*rand.Rand, []int) []int, kind model.Kind) func(*planter) []Expect {
	return func(g *planter) []Expect {
		p := g.Primary
		if g.Shape.FileOrder {
			return nil
		}
		for _, b := range g.contests() {
			if g.kind(b) != kind || p.Contests[b.p].Rotates.Value {
				continue
			}
			styles := which(g.Rand, p.stylesWith(b.p))
			if len(styles) == 0 {
				continue
			}
			first := p.Styles[styles[0]].Content[placed(p.Styles[styles[0]], b.p)]
			order := p.printed(first)
			if c := p.Contests[b.p]; len(order) < 2 || c.Choices[order[0]].WriteIn || c.Choices[order[1]].WriteIn ||
				!differently(c, order[0], order[1]) {
				continue
			}
			var keys []string
			for _, s := range styles {
				keys = append(keys, p.precinctKeys(p.Styles[s].Precincts)...)
			}
			if !g.claims.free("contest/"+b.key+"/order") || len(styles) < len(p.stylesWith(b.p)) && !g.place(b.key, keys) {
				continue
			}
			g.claim("contest/" + b.key + "/order")
			g.mark(b.key)
			for _, s := range styles {
				place := &p.Styles[s].Content[placed(p.Styles[s], b.p)]
				place.Order.Value[0], place.Order.Value[1] = place.Order.Value[1], place.Order.Value[0]
			}
			slices.Sort(keys)
			return []Expect{{Contest: b.key, Precincts: slices.Compact(keys)}}
		}
		return nil
	}
}

// swapChoices exchanges two positions of the list; styles that state an order
// print them as the list has them.
func (s *Side) swapChoices(c, j, k int) {
	list, keys := s.Contests[c].Choices, s.Keys.Choices[c]
	list[j], list[k] = list[k], list[j]
	keys[j], keys[k] = keys[k], keys[j]
}

func fileOrdered(g *planter) []Expect {
	if !g.Shape.FileOrder {
		return nil
	}
	return exchangedInList(g)
}

func keyedOrder(g *planter) []Expect {
	if g.Shape.FileOrder {
		return nil
	}
	return exchangedInList(g)
}

func exchangedInList(g *planter) []Expect {
	for _, b := range g.contests() {
		i := g.in(g.mine, b)
		c := g.mine.Contests[i]
		if !g.candidates(b) || g.Primary.Contests[b.p].Rotates.Value || len(c.Choices) < 3 || c.Choices[1].WriteIn ||
			!differently(c, 0, 1) || !g.claim("contest/"+b.key+"/order") {
			continue
		}
		g.mark(b.key)
		g.mine.swapChoices(i, 0, 1)
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
	return nil
}

func rotated(g *planter) []Expect {
	p := g.Primary
	for _, b := range g.contests() {
		styles := p.stylesWith(b.p)
		if !p.Contests[b.p].Rotates.Value || len(styles) < 2 || len(g.named(p, b.p)) < 2 ||
			!g.claims.free("contest/"+b.key+"/order") {
			continue
		}
		style := &p.Styles[pick(g.Rand, styles)]
		if !g.place(b.key, p.precinctKeys(style.Precincts)) {
			continue
		}
		g.claim("contest/" + b.key + "/order")
		g.mark(b.key)
		order := style.Content[placed(*style, b.p)].Order.Value
		order[0], order[1] = order[1], order[0]
		return []Expect{{Contest: b.key, Precincts: p.precinctKeys(style.Precincts)}}
	}
	return nil
}

func rotationNotKeyed(g *planter) []Expect {
	s := g.Second
	for _, b := range g.contests() {
		if !g.Primary.Contests[b.p].Rotates.Value || len(g.named(s, b.s)) < 2 || !g.claims.free("contest/"+b.key+"/order") {
			continue
		}
		var keys []string
		for i := range s.Styles {
			at := placed(s.Styles[i], b.s)
			if at < 0 {
				continue
			}
			place := &s.Styles[i].Content[at]
			if place.Order.Known && !slices.Equal(place.Order.Value, identity(len(place.Order.Value))) {
				keys = append(keys, s.precinctKeys(s.Styles[i].Precincts)...)
			}
			place.Order = model.Stated[[]int]{}
		}
		if len(keys) == 0 || !g.claim("contest/"+b.key+"/order") {
			continue
		}
		g.mark(b.key)
		slices.Sort(keys)
		return []Expect{{Contest: b.key, Precincts: slices.Compact(keys)}}
	}
	return nil
}
