package planted

import (
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
)

// ballotKinds are mistakes about which contests stand on which ballots, and in
// which order.
var ballotKinds = []*Kind{
	{Name: "contest left off one precinct", Code: "contest-missing", Grade: finding.MustFix, Side: "primary",
		plant: leftOff(1)},
	{Name: "contest left off a whole style", Code: "contest-missing", Grade: finding.MustFix, Side: "primary",
		plant: leftOff(0)},
	{Name: "contest not keyed for one precinct", Code: "contest-extra", Grade: finding.MustFix, Side: "second",
		plant: leftOff(1)},
	{Name: "contest not keyed for a whole style", Code: "contest-extra", Grade: finding.MustFix, Side: "second",
		plant: leftOff(0)},
	{Name: "contest in the export but put on no ballot", Code: "contest-missing", Grade: finding.MustFix, Side: "primary",
		Doc: "District coverage sees it too, and has nothing to add.", plant: onNoBallot},
	{Name: "contest forgotten in the export", Code: "contest-missing", Grade: finding.MustFix, Side: "primary",
		plant: forgotten},
	{Name: "contest never keyed", Code: "contest-extra", Grade: finding.MustFix, Side: "second", plant: forgotten},
	{Name: "contest on the ballot of a precinct outside its district", Code: "contest-extra", Grade: finding.MustFix,
		Side: "primary", plant: strayed},
	{Name: "contest keyed for a precinct outside its district", Code: "contest-missing", Grade: finding.MustFix,
		Side:  "second",
		plant: strayed},
	{Name: "old contest left over on one style", Code: "contest-extra", Grade: finding.MustFix, Side: "primary",
		plant: leftOver(false)},
	{Name: "old contest left over county-wide", Code: "contest-extra", Grade: finding.MustFix, Side: "primary",
		plant: leftOver(true)},
	{Name: "contest printed twice on one ballot", Code: "contest-extra", Grade: finding.MustFix, Side: "primary",
		plant: twice},
	{Name: "two contests exchanged on one style", Code: "contest-order", Grade: finding.MustFix, Side: "primary",
		plant: swapped(false)},
	{Name: "two contests keyed in the wrong order on one style", Code: "contest-order", Grade: finding.MustFix,
		Side:  "second",
		plant: swapped(false)},
	{Name: "two contests exchanged county-wide", Code: "contest-order", Grade: finding.MustFix, Side: "primary",
		plant: swapped(true)},
}

// leftOff takes a contest off n precincts of a style, or off all of its
// precincts.
func leftOff(n int) func(*planter) []Expect {
	return func(g *planter) []Expect {
		contests := g.contests()
		for _, b := range contests[:min(len(contests), 20)] {
			c := g.in(g.mine, b)
			styles := g.mine.stylesWith(c)
			if len(styles) < 2 { // then it would be left off everywhere
				continue
			}
			style := pick(g.Rand, styles)
			precincts := g.mine.Styles[style].Precincts
			if n > 0 {
				if len(precincts) <= n {
					continue
				}
				precincts = shuffled(g.Rand, precincts)[:n]
			}
			keys := g.mine.precinctKeys(precincts)
			face := slices.DeleteFunc(g.mine.face(style), func(k string) bool { return k == b.key })
			party := g.mine.partyKeys(g.mine.Styles[style].Parties)
			if min(g.mine.nearest(face, party, keys), g.other.nearest(face, party, keys)) < 2 {
				continue // that is another style's ballot, or nearly
			}
			if !g.place(b.key, keys) {
				continue
			}
			g.mark(b.key)
			own := g.mine.part(style, precincts)
			g.mine.drop(own, placed(g.mine.Styles[own], c))
			return []Expect{{Contest: b.key, Precincts: keys}}
		}
		return nil
	}
}

// everywhere lists the precincts that have the contest on either side.
func (g *planter) everywhere(b both) []string {
	keys := append(g.Second.precinctKeys(g.Second.on(b.s)), g.Primary.precinctKeys(g.Primary.on(b.p))...)
	slices.Sort(keys)
	return slices.Compact(keys)
}

func onNoBallot(g *planter) []Expect {
	b, ok := g.contest("", nil)
	if !ok || !g.place(b.key, g.everywhere(b)) {
		return nil
	}
	keys := g.Second.precinctKeys(g.Second.on(b.s))
	for i := range g.Primary.Styles {
		if at := placed(g.Primary.Styles[i], b.p); at >= 0 {
			g.Primary.drop(i, at)
		}
	}
	return []Expect{{Contest: b.key, Precincts: keys}}
}

func forgotten(g *planter) []Expect {
	b, ok := g.contest("", nil)
	if !ok || !g.place(b.key, g.everywhere(b)) {
		return nil
	}
	keys := g.Second.precinctKeys(g.Second.on(b.s))
	g.mine.removeContest(g.in(g.mine, b))
	return []Expect{{Contest: b.key, Precincts: keys}}
}

// strayed puts a contest onto the ballot of a precinct that has nothing to do
// with it.
func strayed(g *planter) []Expect {
	contests := g.contests()
	for _, b := range contests[:min(len(contests), 8)] {
		c := g.in(g.mine, b)
		styles := g.Perm(len(g.mine.Styles))
		for _, style := range styles[:min(len(styles), 8)] {
			st := g.mine.Styles[style]
			if placed(st, c) >= 0 || len(st.Precincts) < 2 || !g.sameVoters(b, st) {
				continue
			}
			p := pick(g.Rand, st.Precincts)
			keys := g.mine.precinctKeys([]int{p})
			face := append(g.mine.face(style), b.key)
			party := g.mine.partyKeys(st.Parties)
			if min(g.mine.nearest(face, party, keys), g.other.nearest(face, party, keys)) < 2 || !g.place(b.key, keys) {
				continue
			}
			g.mark(b.key)
			own := g.mine.part(style, []int{p})
			g.mine.insert(own, g.where(own, b.key), c)
			return []Expect{{Contest: b.key, Precincts: keys}}
		}
	}
	return nil
}

// sameVoters says that the contest may stand on ballots of the style's parties.
func (g *planter) sameVoters(b both, st model.Style) bool {
	if len(st.Parties) == 0 {
		return true
	}
	parties := g.Primary.Contests[b.p].PrimaryParties.Value
	return len(parties) == 0 || slices.Equal(g.Primary.partyKeys(parties), g.mine.partyKeys(st.Parties))
}

// where is the place on a style's ballot at which a contest belongs by the
// certified order, which the keys follow.
func (g *planter) where(style int, key string) int {
	for i, p := range g.mine.Styles[style].Content {
		if g.mine.Keys.Contests[p.Contest] > key {
			return i
		}
	}
	return len(g.mine.Styles[style].Content)
}

// leftOver adds a contest of the last election.
func leftOver(everywhere bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		if g.want != "" {
			return nil
		}
		p := g.Primary
		like := -1
		for i, c := range p.Contests { // copy the make of another contest for one office
			if c.Kind.Value == model.KindCandidate && c.VoteFor.Value == 1 && !c.Rotates.Value && len(p.stylesWith(i)) > 0 {
				like = i
				break
			}
		}
		if like < 0 {
			return nil
		}
		key := "old"
		if !g.claim("contest/" + key) {
			return nil
		}
		c := p.copyContest(like, key, "contest-2023-04")
		m := &p.Contests[c]
		m.Title, m.Subtitle = retitled(m.Title, "Register of Deeds and Mortgages"), model.Stated[model.Text]{}
		m.Name = model.Say(model.Plain("Register of Deeds and Mortgages"))
		names := newNamer(g.Rand)
		people := map[string]string{}
		for j := range m.Choices {
			ch := &m.Choices[j]
			if ch.WriteIn {
				continue
			}
			if people[ch.Person] == "" {
				people[ch.Person] = names.fresh().String()
			}
			ch.Name = retitled(ch.Name, people[ch.Person])
			ch.Person = "old " + ch.Person
		}
		var keys []string
		for _, style := range g.Perm(len(p.Styles)) {
			at := len(p.Styles[style].Content)
			if len(keys) > 0 && !everywhere {
				break
			}
			p.insert(style, at, c)
			if order := p.Styles[style].Content[at]; !order.Order.Known && !g.Shape.FileOrder {
				p.Styles[style].Content[at].Order = model.Say(identity(len(m.Choices)))
			}
			keys = append(keys, p.precinctKeys(p.Styles[style].Precincts)...)
		}
		slices.Sort(keys)
		keys = slices.Compact(keys)
		var paths []string
		for _, k := range keys {
			paths = append(paths, "ballot/"+k+"/"+key)
		}
		if !g.claim(paths...) {
			return nil
		}
		g.mark(key)
		return []Expect{{Contest: key, Precincts: keys}}
	}
}

func identity(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// retitled puts other words in the place of a stated text, in its languages.
func retitled(t model.Stated[model.Text], words string) model.Stated[model.Text] {
	if !t.Known {
		return t
	}
	var out model.Text
	for _, p := range t.Value { // a person has one name; a title may be the same, too
		out = append(out, model.Phrase{Language: p.Language, Words: words})
	}
	return model.Say(out)
}

func twice(g *planter) []Expect {
	for _, b := range g.contests() {
		style := pick(g.Rand, g.Primary.stylesWith(b.p))
		keys := g.Primary.precinctKeys(g.Primary.Styles[style].Precincts)
		if !g.place(b.key, keys) {
			continue
		}
		g.mark(b.key)
		g.Primary.insert(style, placed(g.Primary.Styles[style], b.p)+1, b.p)
		return []Expect{{Contest: b.key, Precincts: keys, Apart: true}}
	}
	return nil
}

// swapped exchanges two contests that stand one after the other.
func swapped(everywhere bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		for _, b := range g.contests() {
			c := g.in(g.mine, b)
			styles := g.mine.stylesWith(c)
			style := pick(g.Rand, styles)
			content := g.mine.Styles[style].Content
			at := placed(g.mine.Styles[style], c)
			if at+1 >= len(content) {
				continue
			}
			next := content[at+1].Contest
			nextKey := g.mine.Keys.Contests[next]
			if slices.Contains(g.claims.Avoid, nextKey) || len(content[at+1].Headings.Value) > 0 {
				continue // across a heading it would be a mistake about the heading too
			}
			if !everywhere {
				styles = []int{style}
			}
			var keys []string
			together := true
			for _, s := range styles {
				i := placed(g.mine.Styles[s], c)
				list := g.mine.Styles[s].Content
				together = together && i+1 < len(list) && list[i+1].Contest == next
				keys = append(keys, g.mine.precinctKeys(g.mine.Styles[s].Precincts)...)
			}
			if everywhere && (!together || len(styles) < len(g.mine.Styles) || len(styles) < 2) {
				continue
			}
			slices.Sort(keys)
			keys = slices.Compact(keys)
			if !g.place(b.key, keys) || !g.place(nextKey, keys) || !g.place("order", keys) {
				return nil
			}
			g.mark(b.key)
			for _, s := range styles {
				list := g.mine.Styles[s].Content
				i := placed(g.mine.Styles[s], c)
				list[i], list[i+1] = list[i+1], list[i]
				list[i].Headings, list[i+1].Headings = list[i+1].Headings, list[i].Headings
			}
			return []Expect{{Precincts: keys}}
		}
		return nil
	}
}
