package results

import (
	"cmp"
	"strings"

	"counterproof/model"
	"counterproof/model/cdf"
)

// builder makes an Election of the definition, and knows which of its things an identifier is.
type builder struct {
	r   *recordReader
	e   *model.Election
	err error

	parties          map[string]int
	contests         map[int32]int // by number of the identifier
	choices          []map[int32]int
	writeIns         [][]int
	precincts, units map[int32]int
}

func (r *recordReader) builder() *builder {
	b := &builder{r: r, e: &model.Election{}, parties: map[string]int{}, contests: map[int32]int{},
		precincts: map[int32]int{}, units: map[int32]int{}}
	b.e.Origins.Format = "SP 1500-103 version 1"
	b.e.Origins.Description = r.name
	if r.def.name != "" {
		b.e.Facts.Name = said(r.def.name)
	}
	for i, p := range r.def.parties {
		b.parties[p.id] = i
		party := model.Party{}
		if p.name != "" {
			party.Name = said(p.name)
		}
		if p.short != "" {
			party.Abbreviation = said(p.short)
		}
		b.e.Parties = append(b.e.Parties, party)
		b.e.Origins.Parties = append(b.e.Origins.Parties, b.origin(p.id, nil, p.line))
	}
	for i := range r.def.contests {
		b.contest(&r.def.contests[i])
	}
	b.places()
	b.list()
	b.styles()
	return b
}

func said(words string) model.Stated[model.Text] { return model.Say(model.Plain(words)) }

func (b *builder) origin(id string, codes []string, line int) model.Origin {
	return model.Origin{ID: id, Codes: codes, File: b.r.name, Line: line}
}

func (b *builder) fault(line int, element, fault string) {
	if b.err == nil {
		b.err = &cdf.Error{File: b.r.name, Line: line, Element: element, Fault: fault, Remedy: followsRecords}
	}
}

// number is the number of an identifier; 0 if no record names it.
func (b *builder) number(id string) int32 { return b.r.ids[id] }

func (b *builder) contest(c *defContest) {
	m := model.Contest{Kind: model.Say(kindOf(c.kind)), VoteFor: model.Stated[int]{}, PrimaryParties: model.Say([]int{})}
	if c.name != "" {
		m.Name = said(c.name) // it need not be as printed
	}
	if c.variation != "" {
		m.Variation = model.Say(c.variation)
		if c.variation == "other" && c.other != "" {
			m.Variation = model.Say(c.other)
		}
	}
	if c.voteFor >= 0 {
		m.VoteFor = model.Say(int(c.voteFor))
	}
	if p, ok := b.parties[c.primary]; ok {
		m.PrimaryParties = model.Say([]int{p})
	}
	at := len(b.e.Contests)
	if n := b.number(c.id); n != 0 {
		if _, twice := b.contests[n]; twice {
			b.fault(c.line, "Contest", "two contests have the identifier "+quoted(c.id))
		}
		b.contests[n] = at
	}
	origin := model.ContestOrigin{Origin: b.origin(c.id, nil, c.line)}
	choices := map[int32]int{}
	var writeIns []int
	for j := range c.choices {
		ch := &c.choices[j]
		if n := b.number(ch.id); n != 0 {
			if _, twice := choices[n]; twice {
				b.fault(ch.line, "ContestSelection", "two choices of one contest have the identifier "+quoted(ch.id))
			}
			choices[n] = j
		}
		if ch.writeIn {
			writeIns = append(writeIns, j)
		}
		m.Choices = append(m.Choices, b.choice(ch))
		origin.Choices = append(origin.Choices, model.ChoiceOrigin{Origin: b.origin(ch.id, nil, ch.line)})
	}
	b.choices, b.writeIns = append(b.choices, choices), append(b.writeIns, writeIns)
	b.e.Contests = append(b.e.Contests, m)
	b.e.Origins.Contests = append(b.e.Origins.Contests, origin)
}

func kindOf(class string) model.Kind {
	switch class {
	case "BallotMeasureContest":
		return model.KindMeasure
	case "RetentionContest":
		return model.KindRetention
	case "PartyContest":
		return model.KindParty
	}
	return model.KindCandidate
}

func (b *builder) choice(c *defChoice) model.Choice {
	out := model.Choice{WriteIn: c.writeIn}
	var names []string
	var lines []int
	add := func(id string) {
		if p, ok := b.parties[id]; ok {
			for _, have := range lines {
				if have == p {
					return
				}
			}
			lines = append(lines, p)
		}
	}
	for _, id := range c.candidates {
		candidate, ok := b.r.def.candidates[id]
		if !ok {
			b.fault(c.line, "CandidateIds", "there is no candidate "+quoted(id))
		}
		names = append(names, candidate.name)
		add(candidate.party)
	}
	for _, id := range c.parties {
		add(id)
		if p, ok := b.parties[id]; ok {
			names = append(names, cmp.Or(b.r.def.parties[p].name, b.r.def.parties[p].short))
		}
	}
	if c.text != "" {
		names = append(names, c.text)
	}
	if len(names) > 0 {
		out.Name = said(strings.Join(names, " / "))
	}
	if len(lines) > 0 {
		out.Lines = model.Say(lines)
	}
	if !c.writeIn {
		out.Person = strings.Join(c.candidates, "\x00")
	}
	return out
}

// places are the areas and the devices that records name.
func (b *builder) places() {
	areas, devices := map[string]*defArea{}, map[string]*defDevice{}
	for i := range b.r.def.areas {
		areas[b.r.def.areas[i].id] = &b.r.def.areas[i]
	}
	for i := range b.r.def.devices {
		devices[b.r.def.devices[i].id] = &b.r.def.devices[i]
	}
	for _, g := range b.r.groupList {
		if _, ok := b.precincts[g.unit]; !ok && g.unit != 0 {
			b.precincts[g.unit] = len(b.e.Precincts)
			id := b.r.idNames[g.unit]
			a := areas[id]
			if a == nil {
				a = &defArea{id: id, name: id}
			}
			b.e.Precincts = append(b.e.Precincts, model.Precinct{Name: model.Plain(cmp.Or(a.name, id)), Kind: a.kind})
			b.e.Origins.Precincts = append(b.e.Origins.Precincts, b.origin(id, a.codes, a.line))
		}
		if _, ok := b.units[g.device]; !ok && g.device != 0 {
			b.units[g.device] = len(b.e.Units)
			id := b.r.idNames[g.device]
			d := devices[id]
			if d == nil {
				d = &defDevice{id: id}
			}
			b.e.Units = append(b.e.Units, model.Unit{Name: cmp.Or(d.serial, id)})
			b.e.Origins.Units = append(b.e.Origins.Units, b.origin(id, d.codes, d.line))
		}
	}
}

func (b *builder) precinct(g group) int { return orNone(b.precincts, g.unit) }
func (b *builder) unit(g group) int     { return orNone(b.units, g.device) }

func orNone(of map[int32]int, id int32) int {
	if i, ok := of[id]; ok && id != 0 {
		return i
	}
	return -1
}

// styles are the ballots as the records show them: the contests that those of one precinct, style
// and party list.
func (b *builder) styles() {
	index := map[group]int{}
	for gi, g := range b.r.groupList {
		if b.precinct(g) < 0 {
			continue
		}
		g.device = 0
		s, ok := index[g]
		if !ok {
			s = len(b.e.Styles)
			index[g] = s
			style := model.Style{Precincts: []int{b.precinct(g)}}
			if g.style != 0 {
				style.Label = model.Say(b.r.idNames[g.style])
			}
			if p, ok := b.parties[b.r.idNames[g.party]]; ok && g.party != 0 {
				style.Parties = []int{p}
			}
			b.e.Styles = append(b.e.Styles, style)
		}
		st := &b.e.Styles[s]
		have := map[int]bool{}
		for _, p := range st.Content {
			have[p.Contest] = true
		}
		for _, c := range b.contestsOf(gi) {
			if !have[c] {
				st.Content = append(st.Content, model.Placement{Contest: c})
			}
		}
	}
}
