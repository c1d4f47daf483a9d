package planted

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// styleKinds are mistakes about which precincts get which ballot, and about the
// roster of precincts.
var styleKinds = join(onEither("the ballots of two parties exchanged", "In a closed primary, one mistake and one "+
	"finding.",
	"wrong-style", finding.MustFix, partiesExchanged(false)),
	onEither("the ballots of two parties exchanged everywhere", "", "wrong-style", finding.MustFix,
		partiesExchanged(true)),
	[]*Kind{
		{Name: "precinct given its neighbour's style", Code: "wrong-style", Grade: finding.MustFix, Side: "primary",
			plant: neighbour},
		{Name: "precinct keyed with its neighbour's style", Code: "wrong-style", Grade: finding.MustFix, Side: "second",
			plant: neighbour},
		{Name: "two precincts exchanged", Code: "wrong-style", Grade: finding.MustFix, Side: "primary", plant: exchanged},
		{Name: "two precincts exchanged by the keyer", Code: "wrong-style", Grade: finding.MustFix, Side: "second",
			plant: exchanged},
		{Name: "the precincts of two styles exchanged", Code: "wrong-style", Grade: finding.MustFix, Side: "primary",
			plant: stylesExchanged},
		{Name: "a split given the ballot of its other half", Code: "wrong-style", Grade: finding.MustFix, Side: "primary",
			plant: otherHalf},
		{Name: "district boundary moved for some precincts, onto an existing style", Code: "wrong-style",
			Grade: finding.MustFix,
			Side:  "primary", Doc: "The district moves in the export too, so that it agrees with itself.",
			plant: boundary(true)},
		{Name: "district boundary moved for some precincts, onto no other ballot", Code: "contest-missing",
			Grade: finding.MustFix,
			Side:  "primary", Doc: "One contest goes and another comes: two findings.", plant: boundary(false)},
		{Name: "one half of a split forgotten on the styles", Code: "style-conflict", Grade: finding.MustFix, Side: "primary",
			plant: noStyle},
		{Name: "one half of a split forgotten altogether", Code: "precinct-absent", Grade: finding.MustFix, Side: "primary",
			plant: gone(true)},
		{Name: "precinct forgotten in the export", Code: "precinct-absent", Grade: finding.MustFix, Side: "primary",
			plant: gone(false)},
		{Name: "precinct not keyed", Code: "precinct-unkeyed", Grade: finding.MustFix, Side: "second", plant: gone(false)},
		{Name: "precinct keyed by a number that there is not", Code: "precinct-absent", Grade: finding.MustFix,
			Side:  "second",
			Doc:   "Nothing matches it, so it stays unpaired, and so does the precinct that was meant: two findings.",
			plant: misnumbered},
		{Name: "ballot without any contest", Code: "style-conflict", Grade: finding.MustFix, Side: "primary", plant: bare},
		{Name: "precinct on two styles", Code: "style-conflict", Grade: finding.MustFix, Side: "primary", plant: twoStyles},
		{Name: "no ballot for one party's voters in a precinct", Doc: "In a closed primary.", Code: "style-conflict",
			Grade: finding.MustFix,
			Side:  "primary", plant: noPartyBallot},
		{Name: "a style without precincts", Code: "style-unused", Grade: finding.Note, Side: "primary", plant: unusedStyle},
		{Name: "style label misprinted", Code: "style-label", Grade: finding.Confirm, Side: "primary",
			plant: labelled(false)},
		{Name: "style label mistyped", Code: "style-label", Grade: finding.Confirm, Side: "second", plant: labelled(false)},
		{Name: "style bears another style's label", Code: "style-label", Grade: finding.MustFix, Side: "primary",
			plant: labelled(true)},
		{Name: "labels of two styles exchanged", Code: "style-label", Grade: finding.MustFix, Side: "primary",
			plant: labelsExchanged},
	})

// move gives a precinct the ballot of style to in place of style from. Where
// every precinct has a style of its own, that style changes its content.
func (g *planter) move(precinct, from, to int) {
	s := g.mine
	if len(s.Styles[from].Precincts) == 1 {
		copied := s.Styles[to].Clone()
		copied.Precincts = s.Styles[from].Precincts
		s.Styles[from] = copied
		return
	}
	s.Styles[from].Precincts = slices.DeleteFunc(s.Styles[from].Precincts, func(p int) bool { return p == precinct })
	s.Styles[to].Precincts = append(s.Styles[to].Precincts, precinct)
	slices.Sort(s.Styles[to].Precincts)
}

// twoFaces chooses a style and another with other contests for the same voters,
// among those with enough precincts.
func (g *planter) twoFaces(least int, fits func(a, b int) bool) (a, b int, ok bool) {
	s := g.mine
	for _, a := range g.Perm(len(s.Styles)) {
		if n := len(s.Styles[a].Precincts); n == 0 || n < least && !g.lone(s) {
			continue
		}
		for _, b := range g.Perm(len(s.Styles)) {
			if a != b && slices.Equal(s.Styles[a].Parties, s.Styles[b].Parties) && apart(s.face(a), s.face(b)) > 0 &&
				len(s.Styles[b].Precincts) > 0 && (fits == nil || fits(a, b)) {
				return a, b, true
			}
		}
	}
	return 0, 0, false
}

// plainly says that a precinct which gets ballot b in place of a is plainly on
// another's style: other precincts keep a, or the two differ by more than one
// contest. Else nothing tells it from a precinct of which one contest was
// forgotten, or one too many entered.
func (g *planter) plainly(a, b int) bool {
	face, precincts := g.mine.face(a), 0
	for i, st := range g.mine.Styles {
		if slices.Equal(st.Parties, g.mine.Styles[a].Parties) && slices.Equal(g.mine.face(i), face) {
			precincts += len(st.Precincts)
		}
	}
	return precincts > 1 || apart(face, g.mine.face(b)) > 1
}

// lone says that the side has a style for every precinct.
func (g *planter) lone(s *Side) bool {
	return s == g.Primary && g.Shape.LoneStyles || s == g.Second && g.Shape.LoneBallots
}

func neighbour(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	a, b, ok := g.twoFaces(1, func(a, b int) bool { return g.plainly(a, b) })
	if !ok {
		return nil
	}
	p := pick(g.Rand, g.mine.Styles[a].Precincts)
	key := g.mine.Keys.Precincts[p]
	if !g.ballots(key) {
		return nil
	}
	moved := g.moved(a, b)
	g.move(p, a, b)
	return []Expect{{Precincts: []string{key}, Moved: moved}}
}

// moved is equal for moves from one ballot to another on one side.
func (g *planter) moved(from, to int) string {
	side := "primary"
	if g.mine == g.Second {
		side = "second"
	}
	return fmt.Sprint(side, g.mine.Styles[from].Parties, g.mine.face(from), g.mine.face(to))
}

func exchanged(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	a, b, ok := g.twoFaces(1, nil)
	if !ok {
		return nil
	}
	s := g.mine
	p, q := pick(g.Rand, s.Styles[a].Precincts), pick(g.Rand, s.Styles[b].Precincts)
	keys := s.precinctKeys([]int{p, q})
	if !g.ballots(keys...) {
		return nil
	}
	there, back := g.moved(a, b), g.moved(b, a)
	for i, at := range []int{a, b} {
		list := s.Styles[at].Precincts
		list[slices.Index(list, []int{p, q}[i])] = []int{q, p}[i]
		slices.Sort(list)
	}
	return []Expect{{Precincts: keys[:1], Moved: there}, {Precincts: keys[1:], Moved: back}}
}

func stylesExchanged(g *planter) []Expect {
	if g.want != "" || g.Shape.LoneStyles {
		return nil
	}
	a, b, ok := g.twoFaces(2, func(a, b int) bool { return len(g.mine.Styles[b].Precincts) > 1 })
	if !ok {
		return nil
	}
	s := g.mine
	first, second := s.precinctKeys(s.Styles[a].Precincts), s.precinctKeys(s.Styles[b].Precincts)
	if !g.ballots(append(slices.Clone(first), second...)...) {
		return nil
	}
	s.Styles[a].Precincts, s.Styles[b].Precincts = s.Styles[b].Precincts, s.Styles[a].Precincts
	return []Expect{{Precincts: first}, {Precincts: second}}
}

// partiesExchanged gives the voters of two parties each other's ballot, on one pair of styles or on
// all.
func partiesExchanged(everywhere bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		s := g.mine
		if g.want != "" || g.Shape.Kind != ClosedPrimary {
			return nil
		}
		var one, other, keys []string
		changed := map[int]bool{}
		for _, a := range g.Perm(len(s.Styles)) {
			for b := range s.Styles {
				p, q := s.partyKeys(s.Styles[a].Parties), s.partyKeys(s.Styles[b].Parties)
				if a == b || changed[a] || changed[b] || !slices.Equal(s.Styles[a].Precincts, s.Styles[b].Precincts) ||
					apart(s.face(a), s.face(b)) == 0 ||
					one != nil && (!everywhere || !slices.Equal(p, one) || !slices.Equal(q, other)) {
					continue
				}
				one, other = p, q
				changed[a], changed[b] = true, true
				keys = append(keys, s.precinctKeys(s.Styles[a].Precincts)...)
				s.Styles[a].Parties, s.Styles[b].Parties = s.Styles[b].Parties, s.Styles[a].Parties
			}
		}
		if keys == nil || !g.ballots(keys...) {
			return nil
		}
		return []Expect{{Precincts: keys}}
	}
}

func otherHalf(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	s := g.mine
	for _, i := range g.Perm(len(s.Precincts)) {
		m := s.Precincts[i].Members
		if len(m) != 2 || s.Precincts[i].Kind != "precinct" {
			continue
		}
		from, to := s.stylesOf(m[0]), s.stylesOf(m[1])
		if len(from) != 1 || len(to) != 1 || apart(s.face(from[0]), s.face(to[0])) == 0 ||
			len(s.Styles[from[0]].Precincts) < 2 && !g.lone(s) || !g.plainly(from[0], to[0]) {
			continue
		}
		key := s.Keys.Precincts[m[0]]
		if !g.ballots(key) {
			continue
		}
		moved := g.moved(from[0], to[0])
		g.move(m[0], from[0], to[0])
		return []Expect{{Precincts: []string{key}, Moved: moved}}
	}
	return nil
}

// boundary moves some precincts of a style from one council district to another.
func boundary(existing bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		p := g.Primary
		// in a primary a district has a contest of each party
		if g.want != "" || g.Shape.LoneStyles || g.Shape.Kind != General {
			return nil
		}
		council := func(style int) int {
			for _, place := range p.Styles[style].Content {
				d := p.Contests[place.Contest].District
				if d.Known && p.Districts[d.Value].Kind == "county-council" {
					return place.Contest
				}
			}
			return -1
		}
		for _, a := range g.Perm(len(p.Styles)) {
			from := council(a)
			if from < 0 || len(p.Styles[a].Precincts) < 3 {
				continue
			}
			precincts := shuffled(g.Rand, p.Styles[a].Precincts)[:2]
			slices.Sort(precincts)
			keys := p.precinctKeys(precincts)
			for _, b := range g.Perm(len(p.Styles)) {
				to := council(b)
				if to < 0 || to == from || slices.Contains(g.claims.Avoid, p.Keys.Contests[to]) ||
					slices.Contains(g.claims.Avoid, p.Keys.Contests[from]) {
					continue
				}
				face := p.face(a)
				face[slices.Index(face, p.Keys.Contests[from])] = p.Keys.Contests[to]
				nearest := g.Second.nearest(face, nil, keys)
				if existing && (apart(face, p.face(b)) > 0 || nearest > 0) || !existing && nearest < 3 {
					continue
				}
				if !g.ballots(keys...) {
					return nil
				}
				if existing {
					p.Styles[a].Precincts = slices.DeleteFunc(p.Styles[a].Precincts,
						func(q int) bool { return slices.Contains(precincts, q) })
					p.Styles[b].Precincts = append(p.Styles[b].Precincts, precincts...)
					slices.Sort(p.Styles[b].Precincts)
				} else {
					own := p.part(a, precincts)
					at := placed(p.Styles[own], from)
					p.insert(own, at, to)
					p.Styles[own].Content[at].Headings, p.Styles[own].Content[at+1].Headings =
						p.Styles[own].Content[at+1].Headings, p.Styles[own].Content[at].Headings
					p.Styles[own].Content = slices.Delete(p.Styles[own].Content, at+1, at+2)
				}
				df, dt := &p.Districts[p.Contests[from].District.Value], &p.Districts[p.Contests[to].District.Value]
				for _, q := range precincts {
					for _, m := range append([]int{q}, p.Precincts[q].Members...) {
						df.Precincts = slices.DeleteFunc(df.Precincts, func(x int) bool { return x == m })
						dt.Precincts = append(dt.Precincts, m)
					}
				}
				slices.Sort(dt.Precincts)
				if existing {
					return []Expect{{Precincts: keys}}
				}
				return []Expect{{Contest: p.Keys.Contests[from], Precincts: keys},
					{Check: "contest-extra", Contest: p.Keys.Contests[to], Precincts: keys}}
			}
		}
		return nil
	}
}

// unplace takes a precinct off a style, and the style out of the export where
// nothing is left of it.
func (s *Side) unplace(precinct, style int) {
	st := &s.Styles[style]
	st.Precincts = slices.DeleteFunc(st.Precincts, func(p int) bool { return p == precinct })
	if len(st.Precincts) == 0 {
		s.removeStyle(style)
	}
}

// bare takes all contests off a style.
func bare(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	s := g.mine
	for _, i := range g.Perm(len(s.Styles)) {
		st := &s.Styles[i]
		if keys := s.precinctKeys(st.Precincts); len(keys) > 0 && g.ballots(keys...) {
			st.Content = nil
			return []Expect{{Precincts: keys}}
		}
	}
	return nil
}

func noStyle(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	s := g.mine
	for _, i := range g.Perm(len(s.Precincts)) {
		if s.Precincts[i].Kind != "split-precinct" || !g.ballots(s.Keys.Precincts[i]) {
			continue
		}
		for styles := s.stylesOf(i); len(styles) > 0; styles = s.stylesOf(i) {
			s.unplace(i, styles[0])
		}
		return []Expect{{Precincts: []string{s.Keys.Precincts[i]}}}
	}
	return nil
}

// gone takes a precinct out of a side wherever it names it.
func gone(split bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		if g.want != "" {
			return nil
		}
		s := g.mine
		for _, i := range g.Perm(len(s.Precincts)) {
			key := s.Keys.Precincts[i]
			kind := g.kindOf(key)
			if kind == "" || len(s.stylesOf(i)) == 0 || split != (kind == "split-precinct") || kind == "combined-precinct" {
				continue
			}
			alone := false
			for _, u := range s.Units {
				alone = alone || len(u.Precincts.Value) == 1 && u.Precincts.Value[0] == i
			}
			if alone || !g.ballots(key) || !g.claim("precinct/"+key) {
				continue
			}
			for styles := s.stylesOf(i); len(styles) > 0; styles = s.stylesOf(i) {
				s.unplace(i, styles[0])
			}
			s.removePrecinct(i)
			return []Expect{{Precincts: []string{key}}}
		}
		return nil
	}
}

func misnumbered(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	s := g.Second
	for _, i := range g.Perm(len(s.Precincts)) {
		key := s.Keys.Precincts[i]
		name := s.Precincts[i].Name.In("")
		wrong := strings.Replace(name, "-", "-7", 1)
		if g.Shape.PrecinctBy == ByName {
			wrong = name + "7"
		}
		if g.kindOf(key) != "precinct" || !g.ballots(key) || !g.claim("precinct/"+key) {
			continue
		}
		taken := false
		for _, k := range g.Primary.Keys.Precincts {
			taken = taken || slices.Contains(g.precinctWords(k), wrong)
		}
		if taken {
			continue
		}
		s.Precincts[i].Name = model.Plain(wrong)
		return []Expect{{Precincts: []string{key}}, {Check: "precinct-unkeyed", Precincts: []string{key}}}
	}
	return nil
}

func twoStyles(g *planter) []Expect {
	if g.want != "" || g.Shape.LoneStyles {
		return nil
	}
	a, b, ok := g.twoFaces(1, nil)
	if !ok {
		return nil
	}
	s := g.mine
	p := pick(g.Rand, s.Styles[a].Precincts)
	key := s.Keys.Precincts[p]
	if !g.ballots(key) {
		return nil
	}
	s.Styles[b].Precincts = append(s.Styles[b].Precincts, p)
	slices.Sort(s.Styles[b].Precincts)
	return []Expect{{Precincts: []string{key}}}
}

func noPartyBallot(g *planter) []Expect {
	if g.want != "" || g.Shape.Kind != ClosedPrimary {
		return nil
	}
	s := g.mine
	style := g.IntN(len(s.Styles))
	p := pick(g.Rand, s.Styles[style].Precincts)
	key := s.Keys.Precincts[p]
	if !g.ballots(key) {
		return nil
	}
	s.unplace(p, style)
	return []Expect{{Precincts: []string{key}}}
}

func unusedStyle(g *planter) []Expect {
	if g.want != "" || !g.claim("style/unused") {
		return nil
	}
	s := g.mine
	own := s.Styles[g.IntN(len(s.Styles))].Clone()
	own.Precincts = nil
	own.Label = model.Say("Style 999")
	s.addStyle(own)
	return []Expect{{Check: "style-unused", Style: "Style 999"}}
}

// labelled gives a style a label that no style has, or that of another style.
func labelled(another bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		if g.want != "" || !g.Shape.Labels {
			return nil
		}
		s := g.mine
		for _, a := range g.Perm(len(s.Styles)) {
			b := g.IntN(len(s.Styles))
			keys := s.precinctKeys(s.Styles[a].Precincts)
			label := strings.Replace(s.Styles[a].Label.Value, " ", " 0", 1)
			if another {
				label = s.Styles[b].Label.Value
			}
			if label == s.Styles[a].Label.Value || len(keys) == 0 || !g.place("label", keys) ||
				!g.claim("label/"+s.Styles[a].Label.Value, "label/"+label) {
				continue
			}
			s.Styles[a].Label = model.Say(label)
			return []Expect{{Precincts: keys}}
		}
		return nil
	}
}

func labelsExchanged(g *planter) []Expect {
	if g.want != "" || !g.Shape.Labels || g.Shape.LoneStyles || g.Shape.LoneBallots {
		return nil
	}
	s := g.mine
	a, b := g.IntN(len(s.Styles)), g.IntN(len(s.Styles))
	la, lb := s.Styles[a].Label.Value, s.Styles[b].Label.Value
	ka, kb := s.precinctKeys(s.Styles[a].Precincts), s.precinctKeys(s.Styles[b].Precincts)
	if la == lb || len(ka) == 0 || len(kb) == 0 || !slices.Equal(s.Styles[a].Parties, s.Styles[b].Parties) ||
		!g.place("label", append(slices.Clone(ka), kb...)) || !g.claim("label/"+la, "label/"+lb) {
		return nil
	}
	s.Styles[a].Label, s.Styles[b].Label = model.Say(lb), model.Say(la)
	return []Expect{{Precincts: ka}, {Precincts: kb}}
}
