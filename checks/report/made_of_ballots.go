package report

import (
	"slices"
	"strconv"
	"strings"

	"counterproof/checks"
	"counterproof/checks/natural"
	"counterproof/checks/review"
	"counterproof/model"
)

// name sets the names of the export's things as findings use them.
func (m *maker) name() {
	s := m.standing
	p := s.Primary
	m.language = s.Options.Language
	if m.language == "" {
		m.language = p.Origins.FirstLanguage()
	}
	m.contest, m.party = make([]string, len(p.Contests)), make([]string, len(p.Contests))
	m.precinct, m.unit = make([]string, len(p.Precincts)), make([]string, len(p.Units))
	for i, x := range p.Precincts {
		m.precinct[i] = x.Number
		if m.precinct[i] == "" {
			m.precinct[i] = m.words(x.Name)
		}
		if m.precinct[i] == "" {
			m.precinct[i] = p.Origins.Precinct(i).ID
		}
	}
	for i, x := range p.Units {
		m.unit[i] = x.Name
	}
	for _, set := range []struct {
		names []string
		list  []checks.Covered
	}{{m.contest, s.Result.Coverage.Contests}, {m.precinct, s.Result.Coverage.Precincts},
		{m.unit, s.Result.Coverage.Units}} {
		for _, c := range set.list {
			if c.Index >= 0 && c.Index < len(set.names) {
				set.names[c.Index] = c.Name
			}
		}
	}
}

func (m *maker) words(t model.Text) string { return t.In(m.language) }

func (m *maker) partyNames(list []int) []string {
	out := []string{}
	for _, i := range list {
		if i < 0 || i >= len(m.standing.Primary.Parties) {
			continue
		}
		p := m.standing.Primary.Parties[i]
		name := m.words(p.Abbreviation.Value)
		if name == "" {
			name = m.words(p.Name.Value)
		}
		if name == "" {
			name = m.standing.Primary.Origins.Party(i).ID
		}
		out = append(out, name)
	}
	return out
}

// parties lists the parties that have a code beside their name.
func (m *maker) parties() []Party {
	list := []Party{}
	for i := range m.standing.Primary.Parties {
		p := &m.standing.Primary.Parties[i]
		x := Party{m.partyNames([]int{i})[0], m.words(p.Name.Value)}
		if x.Name != "" && x.Name != x.Code {
			list = append(list, x)
		}
	}
	return list
}

func (m *maker) precinctNames(list []int) []string {
	out := []string{}
	for _, i := range list {
		out = append(out, m.precinct[i])
	}
	slices.SortStableFunc(out, natural.Compare)
	return out
}

// annex makes the annex. order has the contests of the export in ballot order.
func (m *maker) annex(r *Report, order []int) *Annex {
	number := make([]int, len(order)) // by the export's contest: its place in the annex
	for n, c := range order {
		number[c] = n
	}
	return &Annex{
		Format: AnnexFormat, Case: r.Case, Entries: r.Entries, Head: r.Head,
		Contests: m.contests(order), Styles: m.styles(r.Findings, number), Sites: m.sites(), Units: m.units(),
	}
}

func (m *maker) contests(order []int) []Contest {
	list := []Contest{}
	covered := make([]checks.Covered, len(order))
	for _, c := range m.standing.Result.Coverage.Contests {
		if c.Index >= 0 && c.Index < len(covered) {
			covered[c.Index] = c
		}
	}
	for _, i := range order {
		c := &m.standing.Primary.Contests[i]
		x := Contest{
			Title: m.words(c.Title.Value), Subtitle: m.words(c.Subtitle.Value), Kind: string(c.Kind.Value),
			Parties: m.partyNames(c.PrimaryParties.Value), Text: m.words(c.Text.Value), Choices: []Choice{},
			Source: covered[i].Source, NotKeyed: slices.Clone(covered[i].NotKeyed),
		}
		if x.Title == "" && x.Subtitle == "" {
			x.Title = m.words(c.Name.Value)
		}
		if x.Text == "" {
			x.Text = m.words(c.Summary.Value)
		}
		if c.VoteFor.Known {
			x.VoteFor = strconv.Itoa(c.VoteFor.Value)
		}
		for _, ch := range c.Choices {
			x.Choices = append(x.Choices, Choice{m.words(ch.Name.Value), m.partyNames(ch.Lines.Value), ch.WriteIn})
		}
		list = append(list, x)
	}
	return list
}

// contestName is the name of a contest of the export, with its party if it is of a primary.
func (m *maker) contestName(i int) string {
	c := &m.standing.Primary.Contests[i]
	x := Contest{Title: m.words(c.Title.Value), Subtitle: m.words(c.Subtitle.Value),
		Parties: m.partyNames(c.PrimaryParties.Value)}
	if x.Title == "" && x.Subtitle == "" {
		x.Title = m.words(c.Name.Value)
	}
	return contestName(&x)
}

// styleName returns the label of a style, or its identifier.
func (m *maker) styleName(i int) string {
	s := &m.standing.Primary.Styles[i]
	if s.Label.Value != "" {
		return s.Label.Value
	}
	if id := m.standing.Primary.Origins.Style(i).ID; id != "" {
		return id
	}
	return "style " + strconv.Itoa(i+1)
}

// styles lists the ballot styles; number is the place in the annex of each contest of the export.
func (m *maker) styles(findings []Finding, number []int) []Style {
	list := []Style{}
	touched, on := m.touched(), make([][]int, len(m.standing.Primary.Styles))
	for k := range findings {
		if f := &findings[k]; f.Status != string(review.StatusCleared) {
			for _, i := range touched.styles(f) {
				on[i] = append(on[i], f.Number)
			}
		}
	}
	longest := 0
	for i := range m.standing.Primary.Contests {
		longest = max(longest, len(m.standing.Primary.Contests[i].Choices))
	}
	own := make([]int, longest) // 0, 1, 2 …: the order of a contest's own choices
	for i := range own {
		own[i] = i
	}
	for i := range m.standing.Primary.Styles {
		s := &m.standing.Primary.Styles[i]
		x := Style{
			Label: m.styleName(i), Parties: m.partyNames(s.Parties), Precincts: m.precinctNames(s.Precincts),
			Places: []Place{}, Closing: m.texts(s.Closing.Value), Findings: nonNil(on[i]),
		}
		for _, p := range s.Content {
			order := slices.Clone(p.Order.Value)
			if slices.Equal(order, own[:len(m.standing.Primary.Contests[p.Contest].Choices)]) {
				order = nil // the contest's own order
			}
			x.Places = append(x.Places, Place{number[p.Contest], m.texts(p.Headings.Value), nonNil(order)})
		}
		list = append(list, x)
	}
	return list
}

func (m *maker) texts(list []model.Text) []string {
	out := []string{}
	for _, t := range list {
		if w := m.words(t); w != "" {
			out = append(out, w)
		}
	}
	return out
}

func (m *maker) units() []Unit {
	list := []Unit{}
	p := m.standing.Primary
	for i := range p.Units {
		u := &p.Units[i]
		x := Unit{Name: m.unit[i], Use: string(u.Use.Value), Precincts: m.precinctNames(u.Precincts.Value)}
		x.Precincts = append(x.Precincts, u.Unknown...)
		if u.Site.Known && u.Site.Value >= 0 && u.Site.Value < len(p.Sites) {
			x.Site = m.words(p.Sites[u.Site.Value].Name)
		}
		list = append(list, x)
	}
	slices.SortStableFunc(list, func(a, b Unit) int { return natural.Compare(a.Name, b.Name) })
	return list
}

func (m *maker) coverage() Coverage {
	c := &m.standing.Result.Coverage
	out := Coverage{
		Late: correctedLate(m.state), KeyedFields: c.KeyedFields, NotKeyedFields: c.NotKeyedFields,
		NotKeyed: nonNil(slices.Clone(c.NotKeyed)),
		Contests: []Covered{}, Precincts: alike(c.Precincts), Units: alike(c.Units),
	}
	for _, x := range c.Contests {
		out.Contests = append(out.Contests, Covered{x.Name, x.Source, len(x.Keyed), nonNil(slices.Clone(x.NotKeyed))})
	}
	return out
}

// alike groups the things for which the same was keyed.
func alike(list []checks.Covered) []CoveredAlike {
	out := []CoveredAlike{}
	at := map[string]int{}
	for _, x := range list {
		key := strings.Join(x.Keyed, "\x00") + "\x01" + strings.Join(x.NotKeyed, "\x00")
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, CoveredAlike{[]string{}, nonNil(slices.Clone(x.Keyed)), nonNil(slices.Clone(x.NotKeyed))})
		}
		out[i].Names = append(out[i].Names, x.Name)
	}
	return out
}
