package planted

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/model"
)

// County is one election as each side has it.
type County struct {
	Seed            uint64
	Shape           Shape
	Primary, Second *Side
}

// Side is an election together with keys that tell its things apart across the
// two sides and across changes of wording, order and identifiers. The keys are
// this package's own; Compare sees the Election alone.
type Side struct {
	*model.Election
	Keys Keys
}

// Keys run parallel to the lists of an Election.
type Keys struct {
	Parties, Districts, Precincts, Contests, Styles, Sites, Units []string
	Choices                                                       [][]string // by contest
}

// New makes the county of a seed.
func New(seed uint64, shape Shape) *County {
	r := rand.New(rand.NewPCG(seed, 0xc0de))
	p := &plan{rand: r, shape: shape, names: newNamer(r),
		county: pick(r, []string{"Tarnwick", "Ellsmoor", "Vargrave", "Pellham"}),
		date:   "2027-11-02"}
	n := 3
	if shape.Kind == General {
		n = 4 + r.IntN(3)
	}
	for i := range n {
		p.parties = append(p.parties, party{key: fmt.Sprintf("y%d", i), code: partyNames[i].code, name: partyNames[i].name})
	}
	towns := p.survey()
	p.open(towns)
	p.nominate(towns)
	p.print()
	return &County{Seed: seed, Shape: shape, Primary: p.export(), Second: p.sheets()}
}

// ballotTitle is the contest's wording as one line.
func (c *race) ballotTitle() string { return strings.TrimSpace(c.title + " " + c.subtitle) }

// choiceKey is the key of a position. It ends with the person who stands there.
func (c *race) choiceKey(position int) string {
	return fmt.Sprintf("%s.%02d~%s", c.key, position, c.positions[position].person)
}

// order is how a face prints the positions of a race.
func (c *race) order(faceIndex int) []int {
	order := make([]int, len(c.positions))
	for i := range order {
		order[i] = i
	}
	if c.rotates { // write-ins stay last
		named := 0
		for _, q := range c.positions {
			if !q.writeIn {
				named++
			}
		}
		for i := range named {
			order[i] = (i + faceIndex) % named
		}
	}
	return order
}

// export is the plan as a reader of the configuration export would give it.
func (p *plan) export() *Side {
	r := p.rand
	e := &model.Election{}
	s := &Side{Election: e}
	words := func(w string) model.Text {
		if w == "" {
			return nil
		}
		t := model.Text{{Language: "en", Words: w}}
		if p.shape.TwoLanguages {
			t = append(t, model.Phrase{Language: "es", Words: inSpanish(w)})
		}
		return t
	}
	e.Facts = model.Facts{Name: model.Say(words("General Election of " + p.county + " County")), Date: model.Say(p.date),
		Jurisdiction: model.Say(words(p.county + " County"))}
	o := &e.Origins
	o.Description = "export of seed"
	o.Languages = []string{"en"}
	if p.shape.TwoLanguages {
		o.Languages = append(o.Languages, "es")
	}
	for i, q := range p.parties {
		e.Parties = append(e.Parties, model.Party{Name: model.Say(words(q.name)), Abbreviation: model.Say(words(q.code))})
		o.Parties = append(o.Parties, model.Origin{ID: fmt.Sprintf("party-%d", i+1)})
		s.Keys.Parties = append(s.Keys.Parties, q.key)
	}
	for i, q := range p.precincts {
		out := model.Precinct{Name: words(q.name), Number: q.number, Kind: q.kind, Members: slices.Clone(q.members)}
		origin := model.Origin{ID: fmt.Sprintf("gp-%04d", i+1)}
		if p.shape.PrecinctBy == ByCode { // the unit's own name and number are others
			out.Name, out.Number = words("Election District "+q.name), ""
			origin.Codes = []string{q.number, fmt.Sprintf("FIPS-%05d", i)}
		}
		if sites := p.sitesOf(i); sites != nil {
			out.Sites = model.Say(sites)
		}
		e.Precincts = append(e.Precincts, out)
		o.Precincts = append(o.Precincts, origin)
		s.Keys.Precincts = append(s.Keys.Precincts, q.key)
	}
	for i, d := range p.districts {
		e.Districts = append(e.Districts, model.District{Name: words(d.name), Kind: d.kind,
			Precincts: p.withParents(d.precincts)})
		o.Districts = append(o.Districts, model.Origin{ID: fmt.Sprintf("gp-d%03d", i+1)})
		s.Keys.Districts = append(s.Keys.Districts, d.key)
	}
	fileOrder := make([][]int, len(p.races)) // by race: where in the file each position stands
	for i, c := range p.races {
		out := model.Contest{
			Title: model.Say(words(c.title)),
			Name:  model.Say(model.Plain(fmt.Sprintf("2027 %s #%d", strings.ToUpper(c.title), i+1))),
			Kind:  model.Say(c.kind), Variation: model.Say(c.variation), District: model.Say(c.district),
			Rotates: model.Say(c.rotates),
		}
		if c.kind == model.KindCandidate {
			out.PrimaryParties, out.Variation = model.Say[[]int](nil), model.Say(c.variation)
		}
		if c.subtitle != "" {
			out.Subtitle = model.Say(words(c.subtitle))
		}
		if p.shape.NamesOnly {
			out.Title, out.Subtitle = model.Stated[model.Text]{}, model.Stated[model.Text]{}
			out.Name = model.Say(model.Plain(c.ballotTitle()))
		}
		if c.kind == model.KindCandidate {
			out.VoteFor = model.Say(c.voteFor)
		}
		if c.party >= 0 {
			out.PrimaryParties = model.Say([]int{c.party})
		}
		if c.text != "" {
			out.Text = model.Say(words(c.text))
		}
		positions := len(c.positions)
		perm := make([]int, positions)
		for j := range perm {
			perm[j] = j
		}
		if !p.shape.FileOrder { // candidates stand in any order in the file, blank lines behind them
			named := 0
			for named < positions && !c.positions[named].writeIn {
				named++
			}
			copy(perm, r.Perm(named))
		}
		fileOrder[i] = perm
		origin := model.ContestOrigin{Origin: model.Origin{ID: fmt.Sprintf("contest-%03d", i+1)}}
		keys := make([]string, positions)
		out.Choices = make([]model.Choice, positions)
		origin.Choices = make([]model.ChoiceOrigin, positions)
		for j, q := range c.positions {
			at := perm[j]
			choice := model.Choice{WriteIn: q.writeIn}
			co := model.ChoiceOrigin{Origin: model.Origin{ID: fmt.Sprintf("selection-%03d-%02d", i+1, j+1)}}
			if !q.writeIn {
				choice.Name = model.Say(words(q.name))
				if c.kind == model.KindCandidate && p.shape.TwoLanguages {
					choice.Name.Value[1].Words = q.name // a person has one name
				}
				if q.person != "" {
					choice.Person = "person-" + q.person
				}
				if c.kind == model.KindCandidate || c.kind == model.KindParty {
					choice.Lines = model.Say(slices.Clone(q.lines))
				}
				co.Endorsed = c.partisan && p.fusion() && len(q.lines) > 0
			}
			out.Choices[at], origin.Choices[at], keys[at] = choice, co, c.choiceKey(j)
		}
		e.Contests = append(e.Contests, out)
		o.Contests = append(o.Contests, origin)
		s.Keys.Contests = append(s.Keys.Contests, c.key)
		s.Keys.Choices = append(s.Keys.Choices, keys)
	}
	for i, f := range p.faces {
		groups := [][]int{f.precincts}
		if p.shape.LoneStyles {
			groups = nil
			for _, q := range f.precincts {
				groups = append(groups, []int{q})
			}
		}
		for g, precincts := range groups {
			style := model.Style{Label: model.Say(p.label(i)), Precincts: slices.Clone(precincts),
				Closing: model.Say[[]model.Text](nil)}
			if f.party >= 0 {
				style.Parties = []int{f.party}
			}
			group := ""
			for _, k := range f.races {
				c := p.races[k]
				place := model.Placement{Contest: k, Headings: model.Say[[]model.Text](nil)}
				if c.group != group {
					group = c.group
					place.Headings = model.Say([]model.Text{words(group)})
				}
				if !p.shape.FileOrder {
					order := make([]int, 0, len(c.positions))
					for _, j := range c.order(i) {
						order = append(order, fileOrder[k][j])
					}
					place.Order = model.Say(order)
				}
				style.Content = append(style.Content, place)
			}
			e.Styles = append(e.Styles, style)
			o.Styles = append(o.Styles, model.Origin{ID: fmt.Sprintf("style-%03d-%d", i+1, g)})
			s.Keys.Styles = append(s.Keys.Styles, fmt.Sprintf("%s.%d", f.key, g))
		}
	}
	for i, name := range p.sites {
		e.Sites = append(e.Sites, model.Site{Name: words(name)})
		o.Sites = append(o.Sites, model.Origin{ID: fmt.Sprintf("gp-s%03d", i+1)})
		s.Keys.Sites = append(s.Keys.Sites, fmt.Sprintf("t%03d", i))
	}
	for i, u := range p.units {
		out := model.Unit{Name: u.serial, Site: model.Say(u.site), Precincts: model.Say(slices.Clone(u.precincts))}
		if p.shape.Uses { // from the list of cards; an export's devices state none
			out.Use = model.Say(u.use())
		}
		e.Units = append(e.Units, out)
		o.Units = append(o.Units, model.Origin{ID: fmt.Sprintf("device-%03d", i+1)})
		s.Keys.Units = append(s.Keys.Units, u.key)
	}
	return s
}

func (u unit) use() model.Use {
	if u.early {
		return model.UseEarly
	}
	return model.UseElectionDay
}

// label is what a ballot face is called in print.
func (p *plan) label(face int) string {
	if q := p.faces[face].party; q >= 0 {
		return fmt.Sprintf("%s %d", p.parties[q].code, face+1)
	}
	return fmt.Sprintf("Style %d", face+1)
}

// sitesOf is where a precinct votes. A precinct that is split votes where all of
// its splits do, the members of a combined precinct where that does.
func (p *plan) sitesOf(i int) []model.SiteUse {
	q := p.precincts[i]
	if !q.votes {
		var of [][]model.SiteUse
		for _, m := range q.members {
			of = append(of, p.sitesOf(m))
		}
		for j, other := range p.precincts {
			if other.votes && slices.Contains(other.members, i) {
				of = append(of, p.sitesOf(j))
			}
		}
		for _, o := range of[1:] {
			if !slices.Equal(o, of[0]) {
				return nil
			}
		}
		return of[0]
	}
	sites := []model.SiteUse{{Site: q.site, Use: model.UseElectionDay}}
	for _, u := range p.units {
		if u.early && slices.Contains(u.precincts, i) {
			return append(sites, model.SiteUse{Site: u.site, Use: model.UseEarly})
		}
	}
	return sites
}

// withParents adds to a district the split precincts all of whose splits are
// inside, and the members of combined precincts, as nesting in an export does.
func (p *plan) withParents(voting []int) []int {
	var out []int
	for i, q := range p.precincts {
		inside := slices.Contains(voting, i)
		switch {
		case !q.votes && len(q.members) > 0:
			inside = true
			for _, m := range q.members {
				inside = inside && slices.Contains(voting, m)
			}
		case !q.votes:
			for j, combined := range p.precincts {
				inside = inside || slices.Contains(voting, j) && slices.Contains(combined.members, i)
			}
		}
		if inside {
			out = append(out, i)
		}
	}
	return out
}

// sheets is the plan as a second party keys it: in another order, with its own
// short codes, without districts and identifiers.
func (p *plan) sheets() *Side {
	r := p.rand
	e := &model.Election{}
	s := &Side{Election: e}
	o := &e.Origins
	o.Description = "sheets of seed"
	say := func(known bool, w string) model.Stated[model.Text] {
		if !known {
			return model.Stated[model.Text]{}
		}
		return model.Say(model.Plain(w))
	}
	if p.shape.Facts {
		e.Facts = model.Facts{Name: say(true, "General Election of "+p.county+" County"), Date: model.Say(p.date),
			Jurisdiction: say(true, p.county+" County")}
	}
	partyAt := make([]int, len(p.parties))
	for at, i := range r.Perm(len(p.parties)) {
		partyAt[i] = at
		e.Parties = append(e.Parties, model.Party{Name: say(p.shape.PartyNames, p.parties[i].name),
			Abbreviation: say(true, p.parties[i].code)})
		s.Keys.Parties = append(s.Keys.Parties, p.parties[i].key)
	}
	parties := func(list []int) []int {
		var out []int
		for _, q := range list {
			out = append(out, partyAt[q])
		}
		return out
	}
	if p.shape.Sites {
		for i, name := range p.sites {
			e.Sites = append(e.Sites, model.Site{Name: model.Plain(name)})
			s.Keys.Sites = append(s.Keys.Sites, fmt.Sprintf("t%03d", i))
		}
	}
	precinctAt := make([]int, len(p.precincts))
	for i, q := range p.precincts {
		if !q.votes {
			continue
		}
		precinctAt[i] = len(e.Precincts)
		called := q.number
		if p.shape.PrecinctBy == ByName {
			called = q.name
		}
		out := model.Precinct{Name: model.Plain(called)}
		if p.shape.Sites {
			out.Sites = model.Say(p.sitesOf(i))
		}
		e.Precincts = append(e.Precincts, out)
		s.Keys.Precincts = append(s.Keys.Precincts, q.key)
	}
	precincts := func(list []int) []int {
		var out []int
		for _, q := range list {
			out = append(out, precinctAt[q])
		}
		slices.Sort(out)
		return out
	}
	contestAt := make([]int, len(p.races))
	for at, i := range r.Perm(len(p.races)) {
		c := p.races[i]
		contestAt[i] = at
		out := model.Contest{Title: say(true, c.title), Subtitle: say(c.subtitle != "" || p.shape.FullyKeyed, c.subtitle),
			Kind: model.Say(c.kind), VoteFor: model.Say(c.voteFor)}
		if p.shape.FullyKeyed {
			out.PrimaryParties, out.Variation = model.Say[[]int](nil), model.Say(c.variation)
		}
		if c.party >= 0 {
			out.PrimaryParties = model.Say(parties([]int{c.party}))
		}
		if c.text != "" {
			out.Text = say(p.shape.Texts, c.text)
		}
		var keys []string
		origin := model.ContestOrigin{Origin: model.Origin{ID: fmt.Sprintf("K%02d", at+1), File: "contests.csv",
			Line: at + 2},
			Source: "certified ballot"}
		dashes := c.party >= 0 && (i%2 == 0 || p.shape.FullyKeyed)
		for j, q := range c.positions {
			choice := model.Choice{WriteIn: q.writeIn}
			if !q.writeIn {
				choice.Name = say(true, q.name)
				choice.Person = q.name // rows of one name are one person
				switch {
				case c.kind == model.KindCandidate && p.shape.Lines && dashes:
					choice.Lines = model.Say[[]int](nil) // nothing is printed beside a name in a primary
				case c.kind == model.KindCandidate && p.shape.Lines, c.kind == model.KindParty && p.shape.FullyKeyed:
					choice.Lines = model.Say(parties(q.lines))
				}
			}
			out.Choices = append(out.Choices, choice)
			origin.Choices = append(origin.Choices,
				model.ChoiceOrigin{Origin: model.Origin{File: "choices.csv", Line: 100*at + j + 2}})
			keys = append(keys, c.choiceKey(j))
		}
		e.Contests = append(e.Contests, out)
		o.Contests = append(o.Contests, origin)
		s.Keys.Contests = append(s.Keys.Contests, c.key)
		s.Keys.Choices = append(s.Keys.Choices, keys)
	}
	for _, i := range r.Perm(len(p.faces)) {
		f := p.faces[i]
		groups := [][]int{f.precincts}
		if p.shape.LoneBallots {
			groups = nil
			for _, q := range f.precincts {
				groups = append(groups, []int{q})
			}
		}
		for g, list := range groups {
			style := model.Style{Precincts: precincts(list)}
			if p.shape.Labels {
				style.Label = model.Say(p.label(i))
			}
			if f.party >= 0 {
				style.Parties = parties([]int{f.party})
			}
			group := ""
			for _, k := range f.races {
				c := p.races[k]
				place := model.Placement{Contest: contestAt[k]}
				if p.shape.Headings {
					place.Headings = model.Say[[]model.Text](nil)
					if c.group != group {
						group = c.group
						place.Headings = model.Say([]model.Text{model.Plain(group)})
					}
				}
				if c.rotates || p.shape.FullyKeyed {
					place.Order = model.Say(c.order(i))
				}
				style.Content = append(style.Content, place)
			}
			e.Styles = append(e.Styles, style)
			o.Styles = append(o.Styles, model.Origin{File: "ballots.csv", Line: 40*i + 2})
			s.Keys.Styles = append(s.Keys.Styles, fmt.Sprintf("%s.%d", f.key, g))
		}
	}
	if p.shape.Units {
		for _, i := range r.Perm(len(p.units)) {
			u := p.units[i]
			e.Units = append(e.Units, model.Unit{Name: u.serial, Site: model.Say(u.site), Use: model.Say(u.use()),
				Precincts: model.Say(precincts(u.precincts))})
			s.Keys.Units = append(s.Keys.Units, u.key)
		}
	}
	return s
}

// inSpanish stands for a translation: the words in quotation marks, with the numbers and months
// in Spanish.
func inSpanish(words string) string { return "«" + spanishWords.Replace(words) + "»" }

var spanishWords = strings.NewReplacer("May", "mayo", "January", "enero", " one ", " uno ", "One", "Uno", "Two", "Dos",
	"Three", "Tres", "Four", "Cuatro", "Five", "Cinco", "Six", "Seis", "Seven", "Siete", "Eight", "Ocho", "Nine", "Nueve",
	"Ten", "Diez")
