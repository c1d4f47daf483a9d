package planted

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
)

// Variant is a change to one side or both that means nothing.
type Variant struct {
	Name string
	// change makes the change, or makes new elections of the county. It returns
	// false where the county has nothing to change.
	change func(r *rand.Rand, c *County) (primary, second *model.Election, ok bool, err error)
}

// Variants returns every harmless change.
func Variants() []*Variant { return slices.Concat(modelVariants, exportVariants, sheetVariants) }

// Try makes the change in a copy of the county and compares. The report is empty
// where no finding above a note came of it; ok is false where the county has no
// place for the change.
func (v *Variant) Try(c *County) (report string, ok bool) {
	r := rand.New(rand.NewPCG(c.Seed, digest(v.Name)))
	primary, second, ok, err := v.change(r, c.Clone())
	if err != nil {
		return fmt.Sprintf("%s, seed %d: %v", v.Name, c.Seed, err), true
	}
	if !ok {
		return "", false
	}
	var lines []string
	for _, f := range checks.Compare(primary, second, checks.Options{}).Findings {
		if f.Grade != finding.Note {
			lines = append(lines, show(f))
		}
	}
	if len(lines) == 0 {
		return "", true
	}
	return fmt.Sprintf("%s, seed %d: %d findings\n%s", v.Name, c.Seed, len(lines),
		strings.Join(lines[:min(4, len(lines))], "\n")), true
}

// within makes a variant out of a change to the county.
func within(name string, change func(r *rand.Rand, c *County) bool) *Variant {
	return &Variant{name, func(r *rand.Rand, c *County) (*model.Election, *model.Election, bool, error) {
		ok := change(r, c)
		return c.Primary.Election, c.Second.Election, ok, nil
	}}
}

// modelVariants are changes that need no file.
var modelVariants = []*Variant{
	within("everything in the export in another order",
		func(r *rand.Rand, c *County) bool { c.Primary.shuffle(r); return true }),
	within("everything keyed in another order", func(r *rand.Rand, c *County) bool { c.Second.shuffle(r); return true }),
	within("choices in another order in the file, ballots stating theirs", func(r *rand.Rand, c *County) bool {
		if c.Shape.FileOrder {
			return false
		}
		for i := range c.Primary.Contests {
			c.Primary.permuteChoices(i, r.Perm(len(c.Primary.Contests[i].Choices)))
		}
		return true
	}),
	within("positions keyed in another order, with the order of each ballot", func(r *rand.Rand, c *County) bool {
		s := c.Second
		for i := range s.Styles {
			for k := range s.Styles[i].Content {
				p := &s.Styles[i].Content[k]
				p.Order = model.Say(slices.Clone(s.printed(*p)))
			}
		}
		for i := range s.Contests {
			s.permuteChoices(i, r.Perm(len(s.Contests[i].Choices)))
		}
		return true
	}),
	within("other identifiers in the export", func(r *rand.Rand, c *County) bool {
		if c.Shape.PrecinctBy == ByCode {
			return false
		}
		o := &c.Primary.Origins
		for _, list := range [][]model.Origin{o.Parties, o.Districts, o.Precincts, o.Styles, o.Sites, o.Units} {
			for i := range list {
				list[i] = model.Origin{ID: fmt.Sprintf("_%08x", r.Uint32())}
			}
		}
		for i := range o.Contests {
			o.Contests[i].ID = fmt.Sprintf("_%08x", r.Uint32())
			for j := range o.Contests[i].Choices {
				o.Contests[i].Choices[j].ID = fmt.Sprintf("_%08x", r.Uint32())
			}
		}
		return true
	}),
	within("persons named otherwise on both sides", func(r *rand.Rand, c *County) bool {
		for _, s := range []*Side{c.Primary, c.Second} {
			for i := range s.Contests {
				salt := fmt.Sprintf("%x ", r.Uint32())
				for j := range s.Contests[i].Choices {
					if ch := &s.Contests[i].Choices[j]; ch.Person != "" {
						ch.Person = salt + ch.Person
					}
				}
			}
		}
		return true
	}),
	within("one style per precinct in the export", func(_ *rand.Rand, c *County) bool { return c.Primary.eachAlone() }),
	within("one ballot per precinct keyed", func(_ *rand.Rand, c *County) bool { return c.Second.eachAlone() }),
	within("one style per precinct on both sides", func(_ *rand.Rand, c *County) bool {
		return c.Primary.eachAlone() && c.Second.eachAlone()
	}),
	within("party lines of a choice in another order", func(_ *rand.Rand, c *County) bool {
		turned := false
		for i := range c.Second.Contests {
			for j := range c.Second.Contests[i].Choices {
				lines := c.Second.Contests[i].Choices[j].Lines.Value
				slices.Reverse(lines)
				turned = turned || len(lines) > 1
			}
		}
		return turned
	}),
	within("decomposed letters in the export",
		func(_ *rand.Rand, c *County) bool { c.Primary.spell(norm.NFD.String); return true }),
	within("decomposed letters keyed",
		func(_ *rand.Rand, c *County) bool { c.Second.spell(norm.NFD.String); return true }),
	within("a further language behind the first in the export", func(_ *rand.Rand, c *County) bool {
		c.Primary.translate(func(t model.Text) model.Text {
			return append(slices.Clone(t), model.Phrase{Language: "zh-Hant", Words: "字" + t.In("")})
		})
		c.Primary.Origins.Languages = append(slices.Clone(c.Primary.Origins.Languages), "zh-Hant")
		return true
	}),
	within("a party, a site and a district that nothing uses", func(_ *rand.Rand, c *County) bool {
		e := c.Primary.Election
		e.Parties = append(e.Parties, model.Party{Name: model.Say(model.Plain("Dormant Party")),
			Abbreviation: model.Say(model.Plain("DOR"))})
		e.Sites = append(e.Sites, model.Site{Name: model.Plain("Closed School")})
		e.Districts = append(e.Districts, model.District{Name: model.Plain("Sewer District 4"), Kind: "utility",
			Precincts: []int{0, 1}})
		return true
	}),
	within("style labels not keyed", func(_ *rand.Rand, c *County) bool {
		for i := range c.Second.Styles {
			c.Second.Styles[i].Label = model.Stated[string]{}
		}
		return c.Shape.Labels
	}),
	within("headings not keyed", func(_ *rand.Rand, c *County) bool {
		for i := range c.Second.Styles {
			for k := range c.Second.Styles[i].Content {
				c.Second.Styles[i].Content[k].Headings = model.Stated[[]model.Text]{}
			}
		}
		return c.Shape.Headings
	}),
	within("party lines not keyed", func(_ *rand.Rand, c *County) bool {
		for i := range c.Second.Contests {
			for j := range c.Second.Contests[i].Choices {
				c.Second.Contests[i].Choices[j].Lines = model.Stated[[]int]{}
			}
		}
		return c.Shape.Lines
	}),
	within("sites and units not keyed", func(_ *rand.Rand, c *County) bool {
		s := c.Second
		s.Units, s.Sites, s.Keys.Units, s.Keys.Sites, s.Origins.Units = nil, nil, nil, nil, nil
		for i := range s.Precincts {
			s.Precincts[i].Sites = model.Stated[[]model.SiteUse]{}
		}
		return c.Shape.Sites
	}),
	within("texts, subtitles said to be none, vote-for of measures not keyed", func(_ *rand.Rand, c *County) bool {
		for i := range c.Second.Contests {
			m := &c.Second.Contests[i]
			m.Text = model.Stated[model.Text]{}
			if len(m.Subtitle.Value) == 0 {
				m.Subtitle.Known = !m.Subtitle.Known
			}
			if m.Kind.Value == model.KindMeasure {
				m.VoteFor = model.Stated[int]{}
			}
		}
		return true
	}),
	within("title and subtitle keyed as one line", func(_ *rand.Rand, c *County) bool {
		joined := false
		for i := range c.Second.Contests {
			m := &c.Second.Contests[i]
			if len(m.Subtitle.Value) > 0 {
				m.Title = model.Say(model.Plain(titles(*m)[0]))
				m.Subtitle = model.Stated[model.Text]{}
				joined = true
			}
		}
		return joined
	}),
	within("members of combined precincts keyed beside them", func(_ *rand.Rand, c *County) bool {
		s, any := c.Second, false
		for i, p := range c.Primary.Precincts {
			if p.Kind != "precinct" || len(p.Members) > 0 || s.precinct(c.Primary.Keys.Precincts[i]) >= 0 {
				continue
			}
			s.Precincts = append(s.Precincts,
				model.Precinct{Name: model.Plain(c.precinctWords(c.Primary.Keys.Precincts[i])[wordAt(c.Shape.PrecinctBy)])})
			s.Keys.Precincts = append(s.Keys.Precincts, c.Primary.Keys.Precincts[i])
			any = true
		}
		return any
	}),
}

// wordAt is where in County.precinctWords the primary's word for a precinct
// stands that the keyer uses, where the second entry has none yet.
func wordAt(by PrecinctBy) int {
	switch by {
	case ByNumber:
		return 0
	case ByName:
		return 1
	}
	return 3 // behind the identifier
}

// permuteChoices puts choice j of a contest at perm[j].
func (s *Side) permuteChoices(contest int, perm []int) {
	c := &s.Contests[contest]
	choices, keys := slices.Clone(c.Choices), slices.Clone(s.Keys.Choices[contest])
	origins := slices.Clone(s.Origins.Contests[contest].Choices)
	for j, at := range perm {
		c.Choices[at], s.Keys.Choices[contest][at] = choices[j], keys[j]
		s.Origins.Contests[contest].Choices[at] = origins[j]
	}
	s.eachOrder(contest, func(order []int) []int {
		for i := range order {
			order[i] = perm[order[i]]
		}
		return order
	})
}

// eachAlone gives every precinct a style of its own. It returns false where that
// is so already.
func (s *Side) eachAlone() bool {
	changed := false
	for i := range s.Styles {
		for len(s.Styles[i].Precincts) > 1 {
			s.part(i, s.Styles[i].Precincts[:1])
			changed = true
		}
	}
	return changed
}

// shuffle puts the lists of the election into another order.
func (s *Side) shuffle(r *rand.Rand) {
	e := s.Election
	at := func(n int) []int { return r.Perm(n) }
	parties, districts, precincts := at(len(e.Parties)), at(len(e.Districts)), at(len(e.Precincts))
	contests, sites, units, styles := at(len(e.Contests)), at(len(e.Sites)), at(len(e.Units)), at(len(e.Styles))
	to := func(list, perm []int, sorted bool) []int {
		var out []int
		for _, i := range list {
			out = append(out, perm[i])
		}
		if sorted {
			slices.Sort(out)
		}
		return out
	}
	for i := range e.Districts {
		e.Districts[i].Precincts = to(e.Districts[i].Precincts, precincts, true)
	}
	for i := range e.Precincts {
		p := &e.Precincts[i]
		p.Members = to(p.Members, precincts, true)
		for k := range p.Sites.Value {
			p.Sites.Value[k].Site = sites[p.Sites.Value[k].Site]
		}
	}
	for i := range e.Contests {
		c := &e.Contests[i]
		c.PrimaryParties.Value = to(c.PrimaryParties.Value, parties, false)
		if c.District.Known {
			c.District.Value = districts[c.District.Value]
		}
		for j := range c.Choices {
			c.Choices[j].Lines.Value = to(c.Choices[j].Lines.Value, parties, false)
		}
	}
	for i := range e.Styles {
		st := &e.Styles[i]
		st.Parties, st.Precincts = to(st.Parties, parties, false), to(st.Precincts, precincts, true)
		for k := range st.Content {
			st.Content[k].Contest = contests[st.Content[k].Contest]
		}
	}
	for i := range e.Units {
		u := &e.Units[i]
		u.Precincts.Value = to(u.Precincts.Value, precincts, true)
		if u.Site.Known {
			u.Site.Value = sites[u.Site.Value]
		}
	}
	k, o := &s.Keys, &e.Origins
	e.Parties, k.Parties, o.Parties = permuted(e.Parties, parties), permuted(k.Parties, parties),
		permuted(o.Parties, parties)
	e.Districts, k.Districts, o.Districts = permuted(e.Districts, districts), permuted(k.Districts, districts),
		permuted(o.Districts, districts)
	e.Precincts, k.Precincts, o.Precincts = permuted(e.Precincts, precincts), permuted(k.Precincts, precincts),
		permuted(o.Precincts, precincts)
	e.Contests, k.Contests, o.Contests = permuted(e.Contests, contests), permuted(k.Contests, contests),
		permuted(o.Contests, contests)
	k.Choices = permuted(k.Choices, contests)
	e.Styles, k.Styles, o.Styles = permuted(e.Styles, styles), permuted(k.Styles, styles), permuted(o.Styles, styles)
	e.Sites, k.Sites, o.Sites = permuted(e.Sites, sites), permuted(k.Sites, sites), permuted(o.Sites, sites)
	e.Units, k.Units, o.Units = permuted(e.Units, units), permuted(k.Units, units), permuted(o.Units, units)
}

// permuted puts element i of the list at perm[i]. Lists of origins may be
// shorter: those stay as they are, and were empty.
func permuted[T any](list []T, perm []int) []T {
	if len(list) != len(perm) {
		return list
	}
	out := make([]T, len(list))
	for i, at := range perm {
		out[at] = list[i]
	}
	return out
}

// translate changes every text of the election.
func (s *Side) translate(change func(model.Text) model.Text) {
	e := s.Election
	stated := func(t *model.Stated[model.Text]) {
		if t.Known && len(t.Value) > 0 {
			t.Value = change(t.Value)
		}
	}
	for _, t := range []*model.Stated[model.Text]{&e.Facts.Name, &e.Facts.Jurisdiction} {
		stated(t)
	}
	for i := range e.Parties {
		stated(&e.Parties[i].Name)
		stated(&e.Parties[i].Abbreviation)
	}
	for i := range e.Precincts {
		e.Precincts[i].Name = change(e.Precincts[i].Name)
	}
	for i := range e.Sites {
		e.Sites[i].Name = change(e.Sites[i].Name)
	}
	for i := range e.Contests {
		c := &e.Contests[i]
		for _, t := range []*model.Stated[model.Text]{&c.Title, &c.Subtitle, &c.Text, &c.Summary} {
			stated(t)
		}
		for j := range c.Choices {
			stated(&c.Choices[j].Name)
		}
	}
	for i := range e.Styles {
		for k := range e.Styles[i].Content {
			h := &e.Styles[i].Content[k].Headings
			for n := range h.Value {
				h.Value[n] = change(h.Value[n])
			}
		}
	}
}

// spell changes the spelling of every text, in every language.
func (s *Side) spell(change func(string) string) {
	s.translate(func(t model.Text) model.Text {
		out := slices.Clone(t)
		for i := range out {
			out[i].Words = change(out[i].Words)
		}
		return out
	})
	for i := range s.Contests {
		name := &s.Contests[i].Name
		if name.Known {
			name.Value = model.Plain(change(name.Value.In("")))
		}
	}
}

// Change makes the change in a copy of the county; ok is false where the county has no
// place for it.
func (v *Variant) Change(c *County) (primary, second *model.Election, ok bool, err error) {
	return v.change(rand.New(rand.NewPCG(c.Seed, digest(v.Name))), c.Clone())
}
