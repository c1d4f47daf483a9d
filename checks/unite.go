package checks

import (
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
)

// unite adds to one keyer's entry what only another keyed.
func unite(a, b *model.Election, opts Options) *model.Election {
	pg := pairing.OfKeyers(a, b, opts.Language)
	u := uniting{into: a.Clone(), from: b}
	e := u.into
	o := &e.Origins
	fill := func(list *[]model.Origin, n int) {
		for len(*list) < n {
			*list = append(*list, model.Origin{})
		}
	}
	fill(&o.Parties, len(e.Parties))
	fill(&o.Precincts, len(e.Precincts))
	fill(&o.Styles, len(e.Styles))
	fill(&o.Sites, len(e.Sites))
	fill(&o.Units, len(e.Units))
	for len(o.Contests) < len(e.Contests) {
		o.Contests = append(o.Contests, model.ContestOrigin{})
	}

	u.parties = make([]int, len(b.Parties))
	for i, p := range b.Parties {
		if u.parties[i] = pg.Parties.ToPrimary[i]; u.parties[i] < 0 {
			u.parties[i] = len(e.Parties)
			e.Parties, o.Parties = append(e.Parties, p), append(o.Parties, b.Origins.Party(i))
			continue
		}
		into := &e.Parties[u.parties[i]]
		supplyText(&into.Name, p.Name)
		supplyText(&into.Abbreviation, p.Abbreviation)
		supply(&into.Order, p.Order)
	}
	u.sites = make([]int, len(b.Sites))
	for i, s := range b.Sites {
		if u.sites[i] = pg.Sites.ToPrimary[i]; u.sites[i] < 0 {
			u.sites[i] = len(e.Sites)
			e.Sites, o.Sites = append(e.Sites, s), append(o.Sites, b.Origins.Site(i))
		}
	}
	u.precincts = make([]int, len(b.Precincts))
	for i, p := range b.Precincts {
		sites := p.Sites
		if sites.Known {
			sites.Value = slices.Clone(sites.Value)
			for k := range sites.Value {
				sites.Value[k].Site = u.sites[sites.Value[k].Site]
			}
		}
		if u.precincts[i] = pg.Precincts.ToPrimary[i]; u.precincts[i] >= 0 {
			supply(&e.Precincts[u.precincts[i]].Sites, sites)
			continue
		}
		u.precincts[i] = len(e.Precincts)
		p.Sites = sites
		e.Precincts, o.Precincts = append(e.Precincts, p), append(o.Precincts, b.Origins.Precinct(i))
	}
	u.uniteContests(pg)
	u.uniteStyles()
	for i, unit := range b.Units {
		unit.Precincts.Value = renumbered(unit.Precincts.Value, u.precincts)
		if unit.Site.Known {
			unit.Site.Value = u.sites[unit.Site.Value]
		}
		if at := pg.Units.ToPrimary[i]; at >= 0 {
			supply(&e.Units[at].Site, unit.Site)
			supply(&e.Units[at].Use, unit.Use)
			supply(&e.Units[at].Precincts, unit.Precincts)
			continue
		}
		e.Units, o.Units = append(e.Units, unit), append(o.Units, b.Origins.Unit(i))
	}
	supplyText(&e.Facts.Name, b.Facts.Name)
	for _, tag := range b.Origins.Languages {
		if !slices.Contains(o.Languages, tag) {
			o.Languages = append(slices.Clip(o.Languages), tag)
		}
	}
	supply(&e.Facts.Date, b.Facts.Date)
	supply(&e.Facts.Jurisdiction, b.Facts.Jurisdiction)
	return e
}

// uniting is one entry being added to another. The lists say, for each thing of
// the added entry, what it is in the whole.
type uniting struct {
	into, from                          *model.Election
	parties, sites, precincts, contests []int
	// choices gives, by contest of the added entry, each choice's place in the whole.
	choices [][]int
}

// supply fills in what was not stated.
func supply[T any](into *model.Stated[T], from model.Stated[T]) {
	if !into.Known {
		*into = from
	}
}

// supplyText fills in the languages in which a text was not stated.
func supplyText(into *model.Stated[model.Text], from model.Stated[model.Text]) {
	if !into.Known {
		*into = from
		return
	}
	for _, p := range from.Value {
		if p.Language != "" && !into.Value.Has(p.Language) {
			into.Value = append(slices.Clip(into.Value), p)
		}
	}
}

// renumbered gives a sorted list of things their numbers in the whole.
func renumbered(list, numbers []int) []int {
	if list == nil {
		return nil
	}
	out := make([]int, len(list))
	for i, n := range list {
		out[i] = numbers[n]
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (u *uniting) lines(lines model.Stated[[]int]) model.Stated[[]int] {
	if lines.Known {
		value := make([]int, len(lines.Value))
		for i, p := range lines.Value {
			value[i] = u.parties[p]
		}
		lines.Value = value
	}
	return lines
}

func (u *uniting) uniteContests(pg *pairing.Pairing) {
	e, b := u.into, u.from
	u.contests, u.choices = make([]int, len(b.Contests)), make([][]int, len(b.Contests))
	pairs := map[int]*pairing.ContestPair{}
	for k := range pg.Contests.Pairs {
		if m := &pg.Contests.Pairs[k]; !m.Variant {
			pairs[m.Second] = m
		}
	}
	for i := range b.Contests {
		c := b.Contests[i].Clone()
		c.PrimaryParties = u.lines(c.PrimaryParties)
		for k := range c.Choices {
			c.Choices[k].Lines = u.lines(c.Choices[k].Lines)
		}
		u.choices[i] = pairing.Filled(len(c.Choices))
		pair := pairs[i]
		if pair == nil {
			u.contests[i] = len(e.Contests)
			for k := range c.Choices {
				u.choices[i][k] = k
			}
			e.Contests, e.Origins.Contests = append(e.Contests, c), append(e.Origins.Contests, b.Origins.Contest(i))
			continue
		}
		u.contests[i] = pair.Primary
		into, origin := &e.Contests[pair.Primary], &e.Origins.Contests[pair.Primary]
		supplyText(&into.Title, c.Title)
		supplyText(&into.Subtitle, c.Subtitle)
		supply(&into.Kind, c.Kind)
		supply(&into.VoteFor, c.VoteFor)
		supply(&into.PrimaryParties, c.PrimaryParties)
		supplyText(&into.Text, c.Text)
		supply(&into.Variation, c.Variation)
		if origin.Source == "" {
			origin.Source = b.Origins.Contest(i).Source
		}
		if len(into.Choices) == 0 {
			// One keyed the title, another the choices.
			into.Choices, origin.Choices = c.Choices, b.Origins.Contest(i).Choices
			for k := range c.Choices {
				u.choices[i][k] = k
			}
			continue
		}
		for k := range c.Choices {
			if at := pair.Choices.ToPrimary[k]; at >= 0 {
				u.choices[i][k] = at
				supply(&into.Choices[at].Lines, c.Choices[k].Lines)
				supplyText(&into.Choices[at].Name, c.Choices[k].Name)
			}
		}
	}
}

// uniteStyles adds the ballots of the precincts whose ballot the whole does not
// have yet.
func (u *uniting) uniteStyles() {
	e, b := u.into, u.from
	type ballot struct {
		precinct int
		party    int // -1 for every voter
	}
	parties := func(list []int) []int {
		if len(list) == 0 {
			return []int{-1}
		}
		return list
	}
	have := map[ballot]bool{}
	whole := len(e.Styles) // the ballots that the whole has already
	for _, st := range e.Styles {
		for _, p := range st.Precincts {
			for _, party := range parties(st.Parties) {
				have[ballot{p, party}] = true
			}
		}
	}
	for i, st := range b.Styles {
		st = st.Clone()
		st.Parties = renumbered(st.Parties, u.parties)
		of := renumbered(st.Precincts, u.precincts)
		for k := range e.Styles[:whole] {
			if into := &e.Styles[k]; len(into.Precincts) > 0 && slices.Equal(into.Parties, st.Parties) &&
				!slices.ContainsFunc(into.Precincts, func(p int) bool { return !slices.Contains(of, p) }) {
				u.supplyHeadings(into, &st)
			}
		}
		left := st.Precincts[:0]
		for _, p := range st.Precincts {
			if p = u.precincts[p]; slices.ContainsFunc(parties(st.Parties), func(party int) bool {
				return !have[ballot{p,
					party}]
			}) {
				left = append(left, p)
			}
		}
		if len(left) == 0 && len(st.Precincts) > 0 {
			continue
		}
		slices.Sort(left)
		st.Precincts = slices.Compact(left)
		for k := range st.Content {
			placed := &st.Content[k]
			choices := u.choices[placed.Contest]
			placed.Contest = u.contests[placed.Contest]
			if placed.Order.Known {
				order := make([]int, 0, len(placed.Order.Value))
				for _, c := range placed.Order.Value {
					if at := choices[c]; at >= 0 {
						order = append(order, at)
					}
				}
				placed.Order.Value = order
			}
		}
		e.Styles, e.Origins.Styles = append(e.Styles, st), append(e.Origins.Styles, b.Origins.Style(i))
	}
}

// supplyHeadings fills in the languages in which the headings of a ballot were not stated. The other
// ballot is of the entry that is being added.
func (u *uniting) supplyHeadings(into, from *model.Style) {
	fill := func(into *model.Stated[[]model.Text], from model.Stated[[]model.Text]) {
		switch {
		case !into.Known:
			*into = from
		case len(into.Value) == len(from.Value):
			for k := range into.Value {
				h := model.Stated[model.Text]{Known: true, Value: into.Value[k]}
				supplyText(&h, model.Stated[model.Text]{Known: true, Value: from.Value[k]})
				into.Value[k] = h.Value
			}
		}
	}
	for i := range into.Content {
		at := slices.IndexFunc(from.Content, func(p model.Placement) bool {
			return u.contests[p.Contest] == into.Content[i].Contest
		})
		if at >= 0 {
			fill(&into.Content[i].Headings, from.Content[at].Headings)
		}
	}
	fill(&into.Closing, from.Closing)
}
