package planted

import (
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
)

// faultKinds are faults that an export shows by itself, with ballots that both
// sides agree on.
var faultKinds = []*Kind{
	{Name: "a contest's district that the export does not hold", Code: "dangling-reference", Grade: finding.MustFix,
		Side: "primary", plant: districtDangling},
	{Name: "a style names a precinct that the export does not hold", Code: "dangling-reference", Grade: finding.MustFix,
		Side: "primary", plant: precinctDangling},
	{Name: "district drawn without a precinct that votes in it", Code: "district-coverage", Grade: finding.MustFix,
		Side: "primary",
		Doc:  "In a district of one contest. The ballots are right.", plant: drawnSmall},
	{Name: "district drawn with a precinct that does not vote in it", Code: "district-coverage", Grade: finding.MustFix,
		Side: "primary",
		Doc:  "In a district of one contest. The ballots are right.", plant: drawnLarge},
	{Name: "contest left off one precinct on both sides", Code: "district-coverage", Grade: finding.MustFix, Side: "both",
		plant: leftOffBoth},
	{Name: "contest on no ballot, on both sides", Code: "district-coverage", Grade: finding.Note, Side: "both",
		Doc: "As uncontested primaries are.", plant: unprinted},
	{Name: "vote-for of zero on both sides", Code: "vote-for-range", Grade: finding.MustFix, Side: "both",
		plant: outOfRange(false)},
	{Name: "vote-for above the positions on both sides", Code: "vote-for-range", Grade: finding.Confirm, Side: "both",
		plant: outOfRange(true)},
}

func districtDangling(g *planter) []Expect {
	b, ok := g.contest("/district", nil)
	if !ok {
		return nil
	}
	c := &g.Primary.Contests[b.p]
	c.District = model.Stated[int]{}
	g.Primary.Origins.Dangling = append(g.Primary.Origins.Dangling, model.Dangling{
		From: "CandidateContest " + g.Primary.Origins.Contest(b.p).ID, Field: "ElectionDistrictId", To: "gp-d999", Line: 120})
	return []Expect{{}}
}

func precinctDangling(g *planter) []Expect {
	if g.want != "" || !g.claim("style/dangling") {
		return nil
	}
	g.Primary.Origins.Dangling = append(g.Primary.Origins.Dangling, model.Dangling{
		From: "BallotStyle at line 88", Field: "GpUnitIds", To: "gp-9999", Line: 90})
	return []Expect{{}}
}

// single says that the contest is alone in its district.
func (g *planter) single(b both) bool {
	d := g.Primary.Contests[b.p].District
	n := 0
	for _, c := range g.Primary.Contests {
		if c.District.Known && d.Known && c.District.Value == d.Value {
			n++
		}
	}
	return n == 1
}

// plain lists the precincts that vote by themselves and are neither split nor
// combined.
func (g *planter) plain() []int {
	var list []int
	for _, i := range g.Perm(len(g.Primary.Precincts)) {
		if key := g.Primary.Keys.Precincts[i]; g.Primary.Precincts[i].Kind == "precinct" &&
			len(g.Primary.Precincts[i].Members) == 0 &&
			!g.inParts(key) && g.Second.precinct(key) >= 0 {
			list = append(list, i)
		}
	}
	return list
}

func drawnSmall(g *planter) []Expect {
	b, ok := g.contest("/district", g.single)
	if !ok {
		return nil
	}
	d := &g.Primary.Districts[g.Primary.Contests[b.p].District.Value]
	on := g.Primary.on(b.p)
	for _, i := range g.plain() {
		if len(on) > 1 && slices.Contains(on, i) && slices.Contains(d.Precincts, i) &&
			g.place(b.key, g.Primary.precinctKeys([]int{i})) {
			d.Precincts = slices.DeleteFunc(d.Precincts, func(p int) bool { return p == i })
			return []Expect{{Contest: b.key, Precincts: g.Primary.precinctKeys([]int{i})}}
		}
	}
	return nil
}

func drawnLarge(g *planter) []Expect {
	b, ok := g.contest("/district", g.single)
	if !ok {
		return nil
	}
	d := &g.Primary.Districts[g.Primary.Contests[b.p].District.Value]
	on := g.Primary.on(b.p)
	for _, i := range g.plain() {
		if !slices.Contains(on, i) && !slices.Contains(d.Precincts, i) && g.place(b.key, g.Primary.precinctKeys([]int{i})) {
			d.Precincts = append(d.Precincts, i)
			slices.Sort(d.Precincts)
			return []Expect{{Contest: b.key, Precincts: g.Primary.precinctKeys([]int{i})}}
		}
	}
	return nil
}

func leftOffBoth(g *planter) []Expect {
	for _, b := range g.contests() {
		on := g.Primary.on(b.p)
		if len(on) < 2 {
			continue
		}
		for _, i := range g.plain() {
			key := g.Primary.Keys.Precincts[i]
			if !slices.Contains(on, i) || !g.claims.free("contest/"+b.key+"/district") || !g.place(b.key, []string{key}) {
				continue
			}
			g.claim("contest/" + b.key + "/district")
			g.mark(b.key)
			for _, side := range []*Side{g.Primary, g.Second} {
				c := side.contest(b.key)
				for _, style := range side.stylesOf(side.precinct(key)) {
					if placed(side.Styles[style], c) >= 0 {
						own := side.part(style, []int{side.precinct(key)})
						side.drop(own, placed(side.Styles[own], c))
					}
				}
			}
			return []Expect{{Contest: b.key, Precincts: []string{key}}}
		}
	}
	return nil
}

func unprinted(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	for _, b := range g.contests() {
		if !g.candidates(b) || !g.claim("contest/"+b.key) {
			continue
		}
		p := g.Primary
		key := b.key + "-unprinted"
		c := p.copyContest(b.p, key, "contest-unprinted")
		m := &p.Contests[c]
		m.Title, m.Subtitle = retitled(m.Title, "Member of the Rural Committee"), model.Stated[model.Text]{}
		m.Name = model.Say(model.Plain("Member of the Rural Committee"))
		names := newNamer(g.Rand)
		m.Choices, m.VoteFor = m.Choices[:1], model.Say(1)
		p.Keys.Choices[c] = p.Keys.Choices[c][:1]
		p.Origins.Contests[c].Choices = p.Origins.Contests[c].Choices[:1]
		m.Choices[0].WriteIn = false
		m.Choices[0].Name = model.Say(model.Text{{Language: "en", Words: names.fresh().String()}})
		m.Choices[0].Person = "unprinted"
		g.mark(key)
		return []Expect{{Contest: key}}
	}
	return nil
}

func outOfRange(above bool) func(*planter) []Expect {
	return func(g *planter) []Expect {
		b, ok := g.contest("/votefor", func(b both) bool {
			return g.candidates(b) && g.claims.free("contest/"+b.key+"/who") && g.claims.free("contest/"+b.key+"/writein")
		})
		if !ok || !g.claim("contest/"+b.key+"/who", "contest/"+b.key+"/writein") {
			return nil
		}
		votes := 0
		if above {
			votes = max(len(g.Primary.Contests[b.p].Choices), len(g.Second.Contests[b.s].Choices)) + 1
		}
		g.Primary.Contests[b.p].VoteFor, g.Second.Contests[b.s].VoteFor = model.Say(votes), model.Say(votes)
		return []Expect{{Contest: b.key, Everywhere: true}}
	}
}
