package planted

import (
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// causeKinds are mistakes that show in many places and have one cause, and the one odd choice
// that a rule for a whole contest must not cover.
var causeKinds = join([]*Kind{
	{Name: "one candidate of another party in a contest printed without parties", Code: "party-line",
		Grade: finding.Confirm, Side: "primary",
		Doc:   "The export gives all others one party: the contest is one finding, and that candidate another.",
		plant: oddParty},
	{Name: "one candidate without the party that all others of a primary have", Code: "party-line",
		Grade: finding.Confirm, Side: "primary",
		Doc:   "Nothing is printed beside any of them.",
		plant: oddInPrimary},
	{Name: "a party that the export points at and does not hold", Code: "dangling-reference", Grade: finding.MustFix,
		Side: "primary", Doc: "Every candidate of it has no party.", plant: partyLost},
	{Name: "a candidate that the export points at and does not hold", Code: "dangling-reference", Grade: finding.MustFix,
		Side: "primary", Doc: "A position has no name.", plant: candidateLost},
	{Name: "a contest that the export points at and does not hold", Code: "dangling-reference", Grade: finding.MustFix,
		Side: "primary", Doc: "It is missing on all its ballots.", plant: contestLost},
	{Name: "a precinct that the export points at and does not hold", Code: "dangling-reference", Grade: finding.MustFix,
		Side: "primary", Doc: "It has no ballot.", plant: precinctLost},
	{Name: "a style that lost all its precincts", Code: "style-conflict", Grade: finding.MustFix, Side: "primary",
		Doc: "The precincts have no ballot, and the style is unused: one finding.", plant: precinctsLost},
	{Name: "a leftover style with a contest of its own", Code: "style-unused", Grade: finding.Note, Side: "primary",
		plant: leftoverStyle},
	{Name: "districts of an office numbered from another start", Code: "contest-title", Grade: finding.MustFix,
		Side: "primary", Doc: "One finding for each district; they share a cause.", plant: districtsShifted},
	{Name: "contest of all parties' voters marked as one party's", Code: "primary-party", Grade: finding.MustFix,
		Side: "primary", Doc: "Nobody keyed whose primary it belongs to; the ballots tell.", plant: markedAsOne},
	{Name: "precinct given a style that rotates otherwise", Code: "wrong-style", Grade: finding.MustFix,
		Side: "primary", Doc: "Its rotation comes with the ballot.", plant: rotationMoved},
}, onEither("serial number mistyped", "The unit is at its site, with its card: one finding.", "unit-absent",
	finding.MustFix, serialMistyped))

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

// withoutLines says that both sides have no party beside any choice of a contest.
func (g *planter) withoutLines(b both) bool {
	has := func(c model.Choice) bool { return len(c.Lines.Value) > 0 }
	return !slices.ContainsFunc(g.Primary.Contests[b.p].Choices, has) &&
		!slices.ContainsFunc(g.Second.Contests[b.s].Choices, has)
}

func oddParty(g *planter) []Expect {
	b, ok := g.contest("/who", func(b both) bool { return g.uniform(b) && g.withoutLines(b) })
	if !ok {
		return nil
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

// dangling says that the export points at a target that it does not hold.
func (g *planter) dangling(from, field, to string) {
	o := &g.Primary.Origins
	o.Dangling = append(o.Dangling, model.Dangling{From: from, Field: field, To: to, Line: 77})
}

// choiceLoses notes what a choice of the export lost.
func (g *planter) choiceLoses(contest, choice int, kind model.LostKind, to string) {
	o := &g.Primary.Origins.Contests[contest]
	for len(o.Choices) <= choice {
		o.Choices = append(o.Choices, model.ChoiceOrigin{})
	}
	o.Choices[choice].Lost = append(o.Choices[choice].Lost, model.Lost{Kind: kind, To: to})
}

func (g *planter) styleLoses(style int, kind model.LostKind, to string) {
	o := &g.Primary.Origins.Styles[style]
	o.Lost = append(o.Lost, model.Lost{Kind: kind, To: to})
}

// partyLost leaves every candidate of a party without it.
func partyLost(g *planter) []Expect {
	if g.want != "" || g.Shape.Kind != General || g.fused() || g.Shape.StraightParty || !g.Shape.Lines ||
		!g.claim("contest", "party") {
		return nil
	}
	q := g.IntN(3)
	for i := range g.Primary.Contests {
		for j := range g.Primary.Contests[i].Choices {
			c := &g.Primary.Contests[i].Choices[j]
			if slices.Contains(c.Lines.Value, q) {
				c.Lines = model.Say(slices.DeleteFunc(slices.Clone(c.Lines.Value), func(l int) bool { return l == q }))
				g.choiceLoses(i, j, model.LostParty, "party-99")
			}
		}
	}
	g.dangling("Candidate can-1", "PartyId", "party-99")
	return []Expect{{}}
}

// candidateLost leaves a choice without name, party and person.
func candidateLost(g *planter) []Expect {
	b, ok := g.contest("/who", func(b both) bool {
		return g.candidates(b) && len(g.named(g.Primary, b.p)) > 1 && g.claims.free("contest/"+b.key+"/order")
	})
	if !ok || !g.claim("contest/"+b.key+"/order") {
		return nil
	}
	for _, j := range g.named(g.Primary, b.p) {
		c := &g.Primary.Contests[b.p].Choices[j]
		if g.Primary.positionsOf(b.p, c.Person) > 1 || g.Second.choice(b.s, g.Primary.Keys.Choices[b.p][j]) < 0 {
			continue
		}
		c.Name, c.Person, c.Lines = model.Stated[model.Text]{}, "", model.Say([]int{})
		g.choiceLoses(b.p, j, model.LostCandidate, "can-99"+b.key)
		g.dangling("CandidateSelection sel-1", "CandidateIds", "can-99"+b.key)
		return []Expect{{}}
	}
	return nil
}

// contestLost takes a contest out of the export, to which its ballots go on pointing.
func contestLost(g *planter) []Expect {
	b, ok := g.contest("", func(b both) bool {
		for _, p := range g.Primary.precinctKeys(g.Primary.on(b.p)) {
			if !g.claims.free("ballot/" + p) {
				return false
			}
		}
		return true
	})
	if !ok || !g.ballots(g.Primary.precinctKeys(g.Primary.on(b.p))...) {
		return nil
	}
	for _, st := range g.Primary.stylesWith(b.p) {
		g.styleLoses(st, model.LostContest, "contest-99"+b.key)
	}
	g.Primary.removeContest(b.p)
	g.dangling(`BallotStyle "1"`, "ContestId", "contest-99"+b.key)
	return []Expect{{}}
}

// precinctLost takes a precinct out of the export, to which its ballot, site and unit go on pointing.
func precinctLost(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	for _, i := range g.plain() {
		key := g.Primary.Keys.Precincts[i]
		if len(g.Primary.stylesOf(i)) == 0 || !g.claim("precinct/"+key, "ballot/"+key) {
			continue
		}
		for _, st := range g.Primary.stylesOf(i) {
			g.styleLoses(st, model.LostPrecinct, "gp-99"+key)
		}
		g.Primary.removePrecinct(i)
		g.dangling(`BallotStyle "1"`, "GpUnitIds", "gp-99"+key)
		g.dangling("ReportingUnit site-1", "ComposingGpUnitIds", "gp-99"+key)
		return []Expect{{}}
	}
	return nil
}

// precinctsLost leaves a style of the export without any precinct.
func precinctsLost(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	s := g.Primary
	for _, i := range g.Perm(len(s.Styles)) {
		keys := s.precinctKeys(s.Styles[i].Precincts)
		if len(keys) == 0 || !g.ballots(keys...) {
			continue
		}
		s.Styles[i].Precincts = nil
		return []Expect{{Precincts: keys}}
	}
	return nil
}

// leftoverStyle adds a style without precincts, with a contest that no other ballot has.
func leftoverStyle(g *planter) []Expect {
	if g.want != "" || !g.claim("style/leftover") {
		return nil
	}
	s := g.Primary
	for _, b := range g.contests() {
		if !g.candidates(b) {
			continue
		}
		key := b.key + "-leftover"
		c := s.copyContest(b.p, key, "contest-leftover")
		m := &s.Contests[c]
		m.Title, m.Subtitle = retitled(m.Title, "Inspector of Weirs"), model.Stated[model.Text]{}
		m.Name = model.Say(model.Plain("Inspector of Weirs"))
		m.Choices, m.VoteFor = m.Choices[:1], model.Say(1)
		s.Keys.Choices[c] = s.Keys.Choices[c][:1]
		s.Origins.Contests[c].Choices = s.Origins.Contests[c].Choices[:1]
		m.Choices[0].WriteIn, m.Choices[0].Person = false, "leftover"
		m.Choices[0].Name = model.Say(model.Text{{Language: "en", Words: newNamer(g.Rand).fresh().String()}})
		own := s.Styles[s.stylesWith(b.p)[0]].Clone()
		own.Precincts, own.Label = nil, model.Say("Style 998")
		own.Content = append(own.Content, model.Placement{Contest: c, Headings: model.Stated[[]model.Text]{
			Known: anyHeadings(own)}})
		s.addStyle(own)
		return []Expect{{Check: "style-unused", Style: "Style 998"}}
	}
	return nil
}

// serialMistyped exchanges two digits of a serial number, or replaces one.
func serialMistyped(g *planter) []Expect {
	if g.want != "" || !g.Shape.Units || !g.Shape.Sites {
		return nil
	}
	for _, key := range g.pairedUnits() {
		u := &g.mine.Units[g.mine.unit(key)]
		name := []byte(u.Name)
		n := len(name) - 1
		if n < 3 || name[n] < '0' || name[n] > '9' || len(u.Precincts.Value) == 0 || g.other.unit(key) < 0 {
			continue
		}
		if name[n] != name[n-1] && name[n-1] >= '0' && name[n-1] <= '9' && g.IntN(2) == 0 {
			name[n], name[n-1] = name[n-1], name[n]
		} else {
			name[n] = '0' + (name[n]-'0'+5)%10
		}
		taken := func(s *Side) bool {
			return slices.ContainsFunc(s.Units, func(o model.Unit) bool { return o.Name == string(name) })
		}
		if taken(g.Primary) || taken(g.Second) || !g.claimUnit(key) {
			continue
		}
		u.Name = string(name)
		return []Expect{{Unit: key}}
	}
	return nil
}

// districtsShifted numbers all council districts one too high.
func districtsShifted(g *planter) []Expect {
	if g.want != "" || g.Shape.NamesOnly {
		return nil
	}
	const office = "Member of Council, District "
	p := g.Primary
	var expected []Expect
	for _, b := range g.contests() {
		title := p.Contests[b.p].Title.Value.In("")
		n, err := strconv.Atoi(strings.TrimPrefix(title, office))
		if err != nil || !strings.HasPrefix(title, office) || len(people(p.Contests[b.p])) == 0 {
			continue
		}
		if !g.claim("contest/" + b.key + "/title") {
			return nil
		}
		p.Contests[b.p].Title = retitled(p.Contests[b.p].Title, office+strconv.Itoa(n+1))
		expected = append(expected, Expect{Contest: b.key, Everywhere: true})
	}
	if len(expected) < 2 {
		return nil
	}
	return expected
}

// rotationMoved gives a precinct the ballot of a style that rotates a contest in another way.
func rotationMoved(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	s := g.mine
	a, b, ok := g.twoFaces(1, func(a, b int) bool {
		return slices.ContainsFunc(s.Styles[a].Content, func(p model.Placement) bool {
			at := placed(s.Styles[b], p.Contest)
			return at >= 0 && s.Contests[p.Contest].Rotates.Value && p.Order.Known &&
				!slices.Equal(p.Order.Value, s.Styles[b].Content[at].Order.Value)
		}) && g.plainly(a, b)
	})
	if !ok {
		return nil
	}
	p := pick(g.Rand, s.Styles[a].Precincts)
	key := s.Keys.Precincts[p]
	if !g.ballots(key) {
		return nil
	}
	moved := g.moved(a, b)
	g.move(p, a, b)
	return []Expect{{Precincts: []string{key}, Moved: moved}}
}

// markedAsOne marks a contest of all voters as of one party's primary.
func markedAsOne(g *planter) []Expect {
	if g.Shape.Kind != ClosedPrimary {
		return nil
	}
	b, ok := g.contest("/party", func(b both) bool {
		voters := map[string]bool{}
		for _, st := range g.Primary.stylesWith(b.p) {
			for _, q := range g.Primary.partyKeys(g.Primary.Styles[st].Parties) {
				voters[q] = true
			}
		}
		return len(voters) > 1 && len(g.Primary.Contests[b.p].PrimaryParties.Value) == 0 &&
			!g.Second.Contests[b.s].PrimaryParties.Known
	})
	if !ok {
		return nil
	}
	g.Primary.Contests[b.p].PrimaryParties = model.Say([]int{g.IntN(3)})
	return []Expect{{Contest: b.key, Everywhere: true}}
}
