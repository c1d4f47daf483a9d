package model

import (
	"maps"
	"slices"
)

// Clone returns a copy of the election that shares no list with it: whatever is
// done to one leaves the other as it was. What is nil stays nil.
func (e *Election) Clone() *Election {
	return &Election{
		Facts: Facts{
			Name:         cloneStatedText(e.Facts.Name),
			Date:         e.Facts.Date,
			Jurisdiction: cloneStatedText(e.Facts.Jurisdiction),
		},
		Parties: cloneEach(e.Parties, func(p Party) Party {
			return Party{Name: cloneStatedText(p.Name), Abbreviation: cloneStatedText(p.Abbreviation), Order: p.Order}
		}),
		Districts: cloneEach(e.Districts, func(d District) District {
			d.Name, d.Precincts = slices.Clone(d.Name), slices.Clone(d.Precincts)
			return d
		}),
		Precincts: cloneEach(e.Precincts, func(p Precinct) Precinct {
			p.Name, p.Members, p.Sites = slices.Clone(p.Name), slices.Clone(p.Members), cloneStated(p.Sites)
			return p
		}),
		Contests: cloneEach(e.Contests, Contest.Clone),
		Styles:   cloneEach(e.Styles, Style.Clone),
		Sites:    cloneEach(e.Sites, func(s Site) Site { return Site{Name: slices.Clone(s.Name)} }),
		Units: cloneEach(e.Units, func(u Unit) Unit {
			u.Precincts, u.Unknown = cloneStated(u.Precincts), slices.Clone(u.Unknown)
			return u
		}),
		Origins: e.Origins.clone(),
	}
}

// Clone returns a copy of the contest that shares no list with it.
func (c Contest) Clone() Contest {
	c.Title, c.Subtitle, c.Name = cloneStatedText(c.Title), cloneStatedText(c.Subtitle), cloneStatedText(c.Name)
	c.Text, c.Summary = cloneStatedText(c.Text), cloneStatedText(c.Summary)
	c.PrimaryParties = cloneStated(c.PrimaryParties)
	c.Choices = cloneEach(c.Choices, Choice.Clone)
	return c
}

// Clone returns a copy of the choice that shares no list with it.
func (c Choice) Clone() Choice {
	c.Name, c.Lines = cloneStatedText(c.Name), cloneStated(c.Lines)
	return c
}

// Clone returns a copy of the style that shares no list with it.
func (s Style) Clone() Style {
	s.Parties, s.Precincts = slices.Clone(s.Parties), slices.Clone(s.Precincts)
	s.Content = cloneEach(s.Content, Placement.Clone)
	s.Closing = cloneStatedTexts(s.Closing)
	return s
}

// Clone returns a copy of the placement that shares no list with it.
func (p Placement) Clone() Placement {
	p.Headings, p.Order = cloneStatedTexts(p.Headings), cloneStated(p.Order)
	return p
}

func (o *Origins) clone() Origins {
	origins := func(list []Origin) []Origin { return cloneEach(list, Origin.clone) }
	return Origins{
		Description: o.Description, Format: o.Format, ChoiceClass: o.ChoiceClass,
		Held:      slices.Clone(o.Held),
		Made:      slices.Clone(o.Made),
		Parties:   origins(o.Parties),
		Districts: origins(o.Districts),
		Precincts: origins(o.Precincts),
		Contests: cloneEach(o.Contests, func(c ContestOrigin) ContestOrigin {
			c.Origin = c.Origin.clone()
			c.Choices = cloneEach(c.Choices, func(ch ChoiceOrigin) ChoiceOrigin {
				ch.Origin = ch.Origin.clone()
				return ch
			})
			return c
		}),
		Styles: origins(o.Styles),
		Sites:  origins(o.Sites),
		Units:  origins(o.Units),
		Dangling: cloneEach(o.Dangling, func(d Dangling) Dangling {
			d.Others = slices.Clone(d.Others)
			return d
		}),
		Languages:    slices.Clone(o.Languages),
		FirstUnnamed: o.FirstUnnamed,
		Tables:       o.Tables,
		Notes:        slices.Clone(o.Notes),
		Uncompared:   maps.Clone(o.Uncompared),
	}
}

func (o Origin) clone() Origin {
	o.Codes, o.Held, o.Lost = slices.Clone(o.Codes), slices.Clone(o.Held), slices.Clone(o.Lost)
	return o
}

func cloneEach[T any](list []T, clone func(T) T) []T {
	if list == nil {
		return nil
	}
	out := make([]T, len(list))
	for i := range list {
		out[i] = clone(list[i])
	}
	return out
}

func cloneStated[T any](s Stated[[]T]) Stated[[]T] {
	s.Value = slices.Clone(s.Value)
	return s
}

func cloneStatedText(t Stated[Text]) Stated[Text] {
	t.Value = slices.Clone(t.Value)
	return t
}

func cloneStatedTexts(t Stated[[]Text]) Stated[[]Text] {
	t.Value = cloneEach(t.Value, func(x Text) Text { return slices.Clone(x) })
	return t
}
