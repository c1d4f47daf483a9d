package planted

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
)

// race is one question of the plan: what the ballot proof prints.
type race struct {
	key, title, subtitle string
	kind                 model.Kind
	variation            string
	voteFor              int
	party                int // whose primary; -1 for nobody's
	district             int
	group                string // the heading it stands under
	text                 string
	rotates              bool
	partisan             bool
	positions            []position // as the proof prints them
}

// position is one voting position.
type position struct {
	name    string
	writeIn bool
	lines   []int
	person  string
}

// face is one ballot: which races in which order, for which precincts.
type face struct {
	key       string
	party     int // closed primary; -1 for every voter
	precincts []int
	races     []int
}

// The groups of a ballot, in order: the headings that it prints.
const (
	groupParty     = "STRAIGHT PARTY"
	groupState     = "STATE OFFICES"
	groupCounty    = "COUNTY OFFICES"
	groupLocal     = "CITY AND TOWN OFFICES"
	groupSchool    = "SCHOOL DISTRICT"
	groupJudges    = "RETENTION OF JUDGES"
	groupQuestions = "BALLOT QUESTIONS"
)

// nominate fills the slate.
func (p *plan) nominate(towns []town) {
	switch p.shape.Kind {
	case General:
		p.general(towns, -1)
	case ClosedPrimary, OpenPrimary:
		for i := range p.parties[:3] {
			p.general(towns, i)
		}
	}
	p.schoolRaces()
	p.questions(towns)
	order := map[string]int{groupParty: 0, groupState: 1, groupCounty: 2, groupLocal: 3, groupSchool: 4, groupJudges: 5,
		groupQuestions: 6}
	slices.SortStableFunc(p.races, func(a, b *race) int {
		if a.party != b.party { // the questions stand behind every party's contests
			return (a.party+100)%100 - (b.party+100)%100
		}
		return order[a.group] - order[b.group]
	})
	for i, c := range p.races {
		c.key = fmt.Sprintf("c%03d", i)
		if p.shape.Rotation && c.kind == model.KindCandidate && c.voteFor == 1 && !p.fusion() && p.rand.IntN(4) == 0 {
			c.rotates = true
		}
	}
}

func (p *plan) fusion() bool { return p.shape.Fusion != NoFusion && p.shape.Kind == General }

// in lists the districts of a kind.
func (p *plan) in(kind string) []int {
	var list []int
	for i, d := range p.districts {
		if d.kind == kind && len(d.precincts) > 0 {
			list = append(list, i)
		}
	}
	return list
}

// general nominates for the partisan offices: for everybody, or for one party's
// primary.
func (p *plan) general(towns []town, party int) {
	r := p.rand
	county := p.in("county")[0]
	office := func(group, title, subtitle string, district, voteFor, rivals int, mates bool) *race {
		if party >= 0 {
			if rivals < 2 || r.IntN(4) == 0 {
				return nil // an uncontested primary is not printed
			}
		}
		c := &race{title: title, subtitle: subtitle, kind: model.KindCandidate, variation: "n-of-m", voteFor: voteFor,
			party: party, district: district, group: group, partisan: true}
		p.stand(c, rivals, mates)
		p.races = append(p.races, c)
		return c
	}
	if p.shape.StraightParty && party < 0 {
		c := &race{title: "Straight Party Ticket", kind: model.KindParty, variation: "n-of-m", voteFor: 1, party: -1,
			district: county, group: groupParty}
		for i, q := range p.parties[:4] {
			c.positions = append(c.positions, position{name: q.name, lines: []int{i}, person: q.key})
		}
		p.races = append(p.races, c)
	}
	office(groupState, "Governor and Lieutenant Governor", "", county, 1, 2+r.IntN(2), true)
	office(groupState, "Attorney General", "", county, 1, 2, false)
	office(groupState, "Comptroller", "", county, 1, 2, false)
	office(groupState, "Justices of the Superior Court", ordinal(8), county, 3, 4, false)
	for i, d := range p.in("state-senate") {
		office(groupState, "State Senator", ordinal(i+20), d, 1, 2, false)
	}
	for i, d := range p.in("state-house") {
		office(groupState, "Member of Assembly", ordinal(i+100), d, 1, 2, false)
	}
	office(groupCounty, "County Executive", "", county, 1, 2, false)
	office(groupCounty, "County Judge", "", county, 2, 3, false)
	office(groupCounty, "County Clerk", "", county, 1, 1, false)
	office(groupCounty, "Coroner", "", county, 1, 1, false)
	ranked := office(groupCounty, "Sheriff", "", county, 1, 3, false)
	if ranked != nil && !p.fusion() {
		ranked.variation = "rcv"
	}
	for i, d := range p.in("county-council") {
		rivals := 2
		if i%4 == 3 {
			rivals = 1
		}
		office(groupCounty, fmt.Sprintf("Member of Council, District %d", i+1), "", d, 1, rivals, false)
	}
	city := p.in("city")[0]
	office(groupLocal, "Mayor", "City of "+p.districts[city].name, city, 1, 2, false)
	for i, d := range p.in("ward") {
		office(groupLocal, fmt.Sprintf("Member of Common Council, Ward %d", i+1), "City of "+p.districts[city].name, d, 1,
			2, false)
	}
	for i, d := range p.in("town") {
		of := "Town of " + p.districts[d].name
		if p.shape.BareTitles { // every town prints the same words
			of = ""
		}
		office(groupLocal, "Town Supervisor", of, d, 1, 2, false)
		office(groupLocal, "Town Council", of, d, 2, 3, false)
		if i%2 == 0 {
			office(groupLocal, "Town Justice", of, d, 1, 1, false)
		}
		office(groupLocal, "Superintendent of Highways", of, d, 1, 1+i%2, false)
	}
	for _, d := range p.in("village") {
		office(groupLocal, "Village Trustee", p.districts[d].name, d, 2, 3, false)
	}
}

// stand fills the positions of a partisan contest.
func (p *plan) stand(c *race, rivals int, mates bool) {
	r := p.rand
	name := func(previous []string) (string, person) {
		who := p.names.fresh()
		if len(previous) > 0 && r.IntN(5) == 0 {
			who = p.names.kin(p.names.used[len(p.names.used)-2])
		}
		s := who.String()
		if mates {
			s += " / " + p.names.fresh().String()
		}
		return s, who
	}
	if c.party >= 0 { // a primary: everyone on the party's own line
		var names []string
		for i := range rivals + r.IntN(2) {
			s, _ := name(names)
			names = append(names, s)
			c.positions = append(c.positions, position{name: s, lines: []int{c.party}, person: fmt.Sprintf("q%d", i)})
		}
		p.blanks(c)
		return
	}
	// Each party names up to voteFor candidates; the small parties endorse.
	slates := make([][]int, len(p.parties)) // candidates by party
	var names []string
	candidate := func(party int) {
		s, _ := name(names)
		slates[party] = append(slates[party], len(names))
		names = append(names, s)
	}
	for i := range rivals {
		candidate(i % 3)
		if i == 0 && rivals > 1 && c.voteFor > 1 { // the two large parties fill their slates
			candidate(0)
		}
	}
	if p.fusion() {
		for minor := 3; minor < len(p.parties); minor++ {
			if r.IntN(4) == 0 {
				continue
			}
			major := r.IntN(min(2, max(1, rivals)))
			slates[minor] = append(slates[minor], slates[major]...)
		}
		// cross-endorsed by both large parties
		if strings.Contains(c.title, "Judge") || strings.Contains(c.title, "Justice") {
			for _, k := range slates[0][:1] {
				if !slices.Contains(slates[1], k) {
					slates[1] = append([]int{k}, slates[1]...)
				}
			}
		}
	}
	lines := make([][]int, len(names))
	for q, list := range slates {
		for _, k := range list {
			lines[k] = append(lines[k], q)
		}
	}
	person := func(k int) string { return fmt.Sprintf("q%d", k) }
	if p.shape.Fusion == LinesAsPositions {
		for q, list := range slates {
			for _, k := range list {
				c.positions = append(c.positions, position{name: names[k], lines: []int{q}, person: person(k)})
			}
		}
	} else {
		for k := range names {
			c.positions = append(c.positions, position{name: names[k], lines: lines[k], person: person(k)})
		}
	}
	p.blanks(c)
}

// blanks adds the write-in positions.
func (p *plan) blanks(c *race) {
	for range c.voteFor {
		c.positions = append(c.positions, position{writeIn: true})
	}
}

// schoolRaces are non-partisan and run across towns.
func (p *plan) schoolRaces() {
	for i, d := range p.in("school") {
		c := &race{title: "Board of Education", subtitle: p.districts[d].name, kind: model.KindCandidate, variation: "n-of-m",
			voteFor: 3, party: -1, district: d, group: groupSchool}
		if p.shape.BareTitles {
			c.subtitle = ""
		}
		for k := range 4 {
			c.positions = append(c.positions, position{name: p.names.fresh().String(), person: fmt.Sprintf("q%d", k)})
		}
		p.blanks(c)
		budget := &race{title: fmt.Sprintf("School Budget, Union Free School %d", i+1), kind: model.KindMeasure,
			variation: "n-of-m",
			voteFor:   1, party: -1, district: d, group: groupQuestions,
			text: fmt.Sprintf("Shall the budget of %d,%03d,000 dollars "+
				"for the school year be adopted, and the necessary tax therefor be levied?", 10+i, 100+p.rand.IntN(900))}
		budget.positions = []position{{name: "Yes"}, {name: "No"}}
		p.races = append(p.races, c, budget)
	}
}

// questions are the retentions and the ballot measures: many with the same two
// choices.
func (p *plan) questions(towns []town) {
	county := p.in("county")[0]
	yesNo := func(kind model.Kind, group, title, text string, district int, labels ...string) {
		c := &race{title: title, kind: kind, variation: "n-of-m", voteFor: 1, party: -1, district: district, group: group,
			text: text}
		for _, l := range labels {
			c.positions = append(c.positions, position{name: l})
		}
		p.races = append(p.races, c)
	}
	if p.shape.Kind == General {
		for range 3 {
			who := p.names.fresh().String()
			yesNo(model.KindRetention, groupJudges, "Judge "+who, "Shall Judge "+who+
				" of the Court of Appeals be retained in office for another term?", county, "Retain", "Do not retain")
		}
	}
	subjects := []string{
		"authorize bonds for the county's roads and bridges", "amend the county charter in relation to vacancies",
		"establish a land bank and a fund for open space", "extend the terms of town officers from two to four years",
		"permit the county to lease its former armory",
	}
	for i := range 3 {
		yesNo(model.KindMeasure, groupQuestions, fmt.Sprintf("Proposition Number %d", i+1), "Shall the proposed law to "+
			subjects[i]+", as adopted by the County Council on the 14th of May and described in the notice of this election, "+
			"be approved, to take effect on the first day of January and to remain in force until amended or repealed, "+
			"at a cost that shall not exceed "+fmt.Sprint(2+i)+" million dollars in any one year?", county, "Yes", "No")
	}
	for i, d := range p.in("town") {
		if i%3 == 0 {
			title := "Town Proposition"
			if !p.shape.BareTitles {
				title += ", Town of " + p.districts[d].name
			}
			yesNo(model.KindMeasure, groupQuestions, title, "Shall the Town of "+p.districts[d].name+
				" increase the appropriation for its free library to "+fmt.Sprint(110+7*i)+",000 dollars a year?", d, "Yes", "No")
		}
	}
}

// print makes the ballot faces: precincts with the same races share one.
func (p *plan) print() {
	parties := []int{-1}
	if p.shape.Kind == ClosedPrimary {
		parties = []int{0, 1, 2}
	}
	for _, q := range parties {
		byContent := map[string]*face{}
		for i, precinct := range p.precincts {
			if !precinct.votes {
				continue
			}
			var races []int
			for k, c := range p.races {
				if p.shape.Kind == ClosedPrimary && c.party >= 0 && c.party != q {
					continue
				}
				if slices.Contains(p.districts[c.district].precincts, i) {
					races = append(races, k)
				}
			}
			id := fmt.Sprint(races)
			f := byContent[id]
			if f == nil {
				f = &face{key: fmt.Sprintf("s%03d", len(p.faces)), party: q, races: races}
				byContent[id] = f
				p.faces = append(p.faces, f)
			}
			f.precincts = append(f.precincts, i)
		}
	}
}

// ordinal is a district's printed name: "21st District".
func ordinal(n int) string {
	ending := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			ending = "st"
		case 2:
			ending = "nd"
		case 3:
			ending = "rd"
		}
	}
	return fmt.Sprintf("%d%s District", n, ending)
}
