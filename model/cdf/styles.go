package cdf

import (
	"slices"

	"counterproof/model"
)

func anyHeader(content []ordered) bool {
	return slices.ContainsFunc(content, func(o ordered) bool { return o.is == isOrderedHeader })
}

// styles reads the ballot styles of the chosen elections.
func (b *builder) styles() *Error {
	var united []model.Style
	var origins []model.Origin
	for n, i := range b.chosen {
		e := b.w.report.elections[i]
		styles := make([]model.Style, len(e.styles))
		from := make([]model.Origin, len(e.styles))
		for j := range e.styles {
			b.takeLost()
			styles[j] = b.style(&e.styles[j])
			lost := b.takeLost()
			from[j] = b.origin(str{at: e.styles[j].at}, e.styles[j].codes, b.styleHeld(&e.styles[j]))
			from[j].Lost = lost
			e.styles[j].content = nil
		}
		if n == 0 {
			united, origins = styles, from
			continue
		}
		var ok bool
		if united, origins, ok = uniteElections(united, origins, styles, from, len(b.out.Precincts)); !ok {
			return b.w.fault(e.at, "Election", "the ballots of the elections give too many together",
				"read the elections one at a time")
		}
	}
	b.out.Styles = united
	b.out.Origins.Styles = origins
	return nil
}

func (b *builder) style(s *style) model.Style {
	var m model.Style
	who := referrer{"BallotStyle", "at line " + decimal(int(s.at.line))}
	if labels := s.codes.values(); len(labels) > 0 {
		m.Label = model.Say(labels[0])
		who.name = quote(labels[0])
	}
	for _, id := range s.units.list() {
		if t, ok := b.refer(who, "GpUnitIds", id, s.units.at, fits(isUnit)); ok && b.precinctOf[t.index] >= 0 {
			m.Precincts = append(m.Precincts, b.precinctOf[t.index])
		}
	}
	slices.Sort(m.Precincts)
	m.Precincts = slices.Compact(m.Precincts)
	if parties := b.partyList(who, "PartyIds", s.parties); len(parties) > 0 {
		m.Parties = parties
	}
	c := content{b: b, who: who, out: make([]model.Placement, 0, countContests(s.content))}
	c.read(s.content)
	m.Content = c.out
	if b.headed {
		m.Closing = model.Say(c.take())
	}
	return m
}

func countContests(list []ordered) int {
	n := 0
	for i := range list {
		if list[i].is == isOrderedContest {
			n++
		}
		if h := list[i].heading; h != nil {
			n += countContests(h.under)
		}
	}
	return n
}

// content flattens the ordered content of a style: a heading goes with the first
// contest under or after it, the outermost heading first.
type content struct {
	b        *builder
	who      referrer
	headings []model.Text // not yet followed by a contest
	out      []model.Placement
}

func (c *content) take() []model.Text {
	h := c.headings
	c.headings = nil
	if h == nil {
		return noHeadings
	}
	return h
}

var noHeadings = []model.Text{}

func (c *content) read(list []ordered) {
	for i := range list {
		switch o := &list[i]; o.is {
		case isOrderedHeader:
			h := o.asHeading()
			if t, ok := c.b.refer(c.who, "HeaderId", h.id.word(), h.id.at, fits(isHeader)); ok {
				c.b.usedHeaders[t.index] = true
				if name := c.b.w.report.headers[t.index].name; !name.blank() {
					c.headings = append(c.headings, name.text)
				}
			}
			c.read(h.under)
		case isOrderedContest:
			on := c.b.contest(c.who, o.contest)
			if on == nil {
				continue
			}
			p := model.Placement{Contest: on.contest, Order: c.b.order(c.who, on, o.selections)}
			if c.b.headed {
				p.Headings = model.Say(c.take())
			}
			c.out = append(c.out, p)
		}
	}
}

// ballotContest is a contest that ballots hold.
type ballotContest struct {
	is      thing
	contest int    // its index
	order   *order // the one resolved last; mostly it is wanted again
}

// contest resolves a ContestId; nil where it does not lead to a contest that is read.
func (b *builder) contest(who referrer, id str) *ballotContest {
	if p := b.placed[id.v]; p != nil {
		return p
	}
	t, ok := b.refer(who, "ContestId", id.word(), id.at, fits(isContest))
	if !ok {
		return nil
	}
	first := b.firstContest[t.election]
	if first < 0 {
		b.dangle(who, "ContestId", id, t.class+" of another election")
		return nil
	}
	p := &ballotContest{is: t, contest: first + t.index}
	b.placed[id.v] = p
	return p
}

type orderKey struct {
	contest int
	list    string
}

// order is a resolved list of selections; ballots share it.
type order struct {
	list    string
	indexes []int
	bad     []string // what is not in the contest
}

// order resolves OrderedContestSelectionIds. What it lists is kept as it stands,
// also where it is only a part of the choices or lists one twice.
func (b *builder) order(who referrer, on *ballotContest, list refs) model.Stated[[]int] {
	if list.v == "" {
		return model.Stated[[]int]{}
	}
	o := on.order
	if o == nil || o.list != list.v {
		o = b.orders[orderKey{on.contest, list.v}]
	}
	if o == nil {
		o = &order{list: list.v}
		for _, id := range list.list() {
			t, ok := b.w.ids[id]
			if ok && t.is == isSelection && t.index == on.is.index && t.election == on.is.election {
				o.indexes = append(o.indexes, t.sub)
			} else {
				o.bad = append(o.bad, id)
			}
		}
		b.orders[orderKey{on.contest, list.v}] = o
	}
	on.order = o
	for _, id := range o.bad {
		found := ""
		if t, ok := b.w.ids[id]; ok {
			found = t.class
			if t.is == isSelection {
				found += " of another contest"
			}
		}
		b.dangle(who, "OrderedContestSelectionIds", str{id, list.at}, found)
	}
	if len(o.indexes) == 0 {
		return model.Stated[[]int]{}
	}
	return model.Say(o.indexes)
}
