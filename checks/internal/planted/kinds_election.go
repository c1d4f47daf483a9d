package planted

import (
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
)

// electionKinds are mistakes in headings, in the names of parties and in what
// the election is called.
var electionKinds = join(
	onEither("heading misspelt", "Everywhere that it is printed.", "heading", finding.MustFix, headingReworded),
	[]*Kind{
		{Name: "heading missing on one style", Code: "heading", Grade: finding.MustFix, Side: "primary", plant: headingGone},
		{Name: "heading above the wrong contest on one style", Code: "heading", Grade: finding.MustFix, Side: "primary",
			plant: headingMoved},
		{Name: "heading too many on one style", Code: "heading", Grade: finding.MustFix, Side: "primary", plant: headingMore},
		{Name: "party's full name misspelt", Code: "party-name", Grade: finding.MustFix, Side: "primary",
			plant: partyRenamed(misspell)},
		{Name: "party's full name in other capitals", Code: "party-name", Grade: finding.Confirm, Side: "primary",
			plant: partyRenamed(capitals)},
		{Name: "party's full name mistyped", Code: "party-name", Grade: finding.MustFix, Side: "second",
			plant: partyRenamed(misspell)},
		{Name: "party's code wrong", Code: "party-name", Grade: finding.MustFix, Side: "primary",
			Doc: "It is printed beside every choice.", plant: partyRecoded},
		{Name: "party of another name and code", Code: "party-name", Grade: finding.MustFix, Side: "primary",
			Doc: "It is known by the choices that carry it.", plant: partyReplaced},
	},
	onEither("election's name misspelt", "", "election", finding.MustFix, nameOfElection),
	onEither("election's date wrong", "", "election", finding.MustFix, dateOfElection),
	[]*Kind{
		{Name: "jurisdiction wrong", Code: "election", Grade: finding.MustFix, Side: "primary", plant: jurisdiction},
	},
)

func (g *planter) headings() bool { return g.want == "" && g.Shape.Headings }

func headingReworded(g *planter) []Expect {
	if !g.headings() {
		return nil
	}
	s := g.mine
	place := pick(g.Rand, s.Styles[0].Content)
	if len(place.Headings.Value) == 0 {
		place = s.Styles[0].Content[0]
	}
	old := model.Say(place.Headings.Value[0])
	words := old
	if !reword(g, &words, misspell) || !g.claim("heading") {
		return nil
	}
	var keys []string
	for i := range s.Styles {
		for k := range s.Styles[i].Content {
			h := &s.Styles[i].Content[k].Headings
			if len(h.Value) > 0 && h.Value[0].In("") == old.Value.In("") {
				h.Value[0] = words.Value
				keys = append(keys, s.precinctKeys(s.Styles[i].Precincts)...)
			}
		}
	}
	slices.Sort(keys)
	return []Expect{{Precincts: slices.Compact(keys)}}
}

// headed chooses a style and a place in it: the first contest under a heading,
// with another contest of the same group behind it.
func (g *planter) headed() (style *model.Style, at int, keys []string) {
	if !g.headings() {
		return nil, 0, nil
	}
	s := g.mine
	for _, i := range g.Perm(len(s.Styles)) {
		st := &s.Styles[i]
		for _, k := range g.Perm(len(st.Content)) {
			if len(st.Precincts) == 0 || k+1 >= len(st.Content) || len(st.Content[k].Headings.Value) == 0 ||
				len(st.Content[k+1].Headings.Value) > 0 {
				continue
			}
			keys = s.precinctKeys(st.Precincts)
			if g.claims.free("heading") && g.place(s.Keys.Contests[st.Content[k].Contest], keys) &&
				g.place(s.Keys.Contests[st.Content[k+1].Contest], keys) && g.claim("heading") {
				return st, k, keys
			}
		}
	}
	return nil, 0, nil
}

func headingGone(g *planter) []Expect {
	st, at, keys := g.headed()
	if st == nil {
		return nil
	}
	st.Content[at].Headings.Value = nil
	return []Expect{{Precincts: keys}}
}

func headingMoved(g *planter) []Expect {
	st, at, keys := g.headed()
	if st == nil {
		return nil
	}
	st.Content[at].Headings, st.Content[at+1].Headings = st.Content[at+1].Headings, st.Content[at].Headings
	return []Expect{{Precincts: keys}}
}

func headingMore(g *planter) []Expect {
	st, at, keys := g.headed()
	if st == nil {
		return nil
	}
	st.Content[at+1].Headings.Value = []model.Text{{{Language: "en", Words: "SPECIAL ELECTION"}}}
	return []Expect{{Precincts: keys}}
}

// carried chooses a party that stands on ballots of both sides.
func (g *planter) carried() (key string, p, s int) {
	for _, p := range g.Perm(len(g.Primary.Parties)) {
		key := g.Primary.Keys.Parties[p]
		used := false
		for _, c := range g.Primary.Contests {
			for _, ch := range c.Choices {
				used = used || slices.Contains(ch.Lines.Value, p)
			}
		}
		if used && g.Second.party(key) >= 0 && g.claims.free("party/"+key) {
			return key, p, g.Second.party(key)
		}
	}
	return "", -1, -1
}

func partyRenamed(change slip) func(*planter) []Expect {
	return func(g *planter) []Expect {
		key, p, s := g.carried()
		if g.want != "" || p < 0 || !g.Shape.PartyNames || !g.claim("party/"+key) {
			return nil
		}
		party := &g.Primary.Parties[p]
		if g.mine == g.Second {
			party = &g.Second.Parties[s]
		}
		name := party.Name
		if !reword(g, &name, change) {
			return nil
		}
		party.Name = name
		if g.mine == g.Primary { // a straight-party choice is called what the party is
			for i, c := range g.Primary.Contests {
				for j, ch := range c.Choices {
					if c.Kind.Value == model.KindParty && slices.Contains(ch.Lines.Value, p) {
						g.Primary.Contests[i].Choices[j].Name = name
					}
				}
			}
		}
		return []Expect{{}}
	}
}

func partyRecoded(g *planter) []Expect {
	key, p, _ := g.carried()
	if g.want != "" || p < 0 || !g.Shape.PartyNames || !g.claim("party/"+key) {
		return nil
	}
	g.Primary.Parties[p].Abbreviation = retitled(g.Primary.Parties[p].Abbreviation, "QXZ")
	return []Expect{{}}
}

func partyReplaced(g *planter) []Expect {
	key, p, _ := g.carried()
	if g.want != "" || p < 0 || g.Shape.StraightParty || !g.Shape.Lines || g.Shape.Kind != General ||
		!g.claim("party/"+key) {
		return nil
	}
	g.Primary.Parties[p].Abbreviation = retitled(g.Primary.Parties[p].Abbreviation, "QXZ")
	g.Primary.Parties[p].Name = retitled(g.Primary.Parties[p].Name, "Quarry and Xylophone")
	return []Expect{{}}
}

func nameOfElection(g *planter) []Expect {
	if g.want != "" || !g.Shape.Facts || !g.claim("election/name") || !reword(g, &g.mine.Facts.Name, misspell) {
		return nil
	}
	return []Expect{{}}
}

func dateOfElection(g *planter) []Expect {
	if g.want != "" || !g.Shape.Facts || !g.claim("election/date") {
		return nil
	}
	g.mine.Facts.Date = model.Say("2027-11-03")
	return []Expect{{}}
}

func jurisdiction(g *planter) []Expect {
	if g.want != "" || !g.Shape.Facts || !g.claim("election/jurisdiction") {
		return nil
	}
	g.mine.Facts.Jurisdiction = retitled(g.mine.Facts.Jurisdiction, "County of Ostermark")
	return []Expect{{}}
}
