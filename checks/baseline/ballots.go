package baseline

import (
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// contest is the contents of a contest, independent of any ballot.
type contest struct {
	fields  fields
	choices map[string]fields
	order   []string // of the choices, as the file lists them
}

// placement is a contest on a ballot.
type placement struct {
	id       string
	contest  *contest
	headings value // printed directly above it
	order    []string
}

// ballot is a ballot face as printed.
type ballot struct {
	fields  fields       // label, closing
	content []*placement // shared among ballots, never modified
	// place maps a contest to its index in content, and under holds the headings that apply to it.
	// Only long ballots have them; see index.
	place  map[string]int
	under  []value
	signed string // see signature
}

// index prepares a ballot for at, above and before. Its content must not change afterwards.
func (b *ballot) index() *ballot {
	b.under = make([]value, len(b.content))
	if len(b.content) >= longBallot {
		b.place = make(map[string]int, len(b.content))
	}
	last := value{}
	for i := range b.content {
		q := b.content[i]
		if _, ok := b.place[q.id]; !ok && b.place != nil {
			b.place[q.id] = i
		}
		if stateOf(q.headings) != "" || last.list == nil {
			last = q.headings
		}
		b.under[i] = last
	}
	return b
}

// placeOf returns the index of a contest on a ballot, -1 if it is not there.
func (b *ballot) placeOf(id string) int {
	if b.place == nil {
		return slices.IndexFunc(b.content, func(p *placement) bool { return p.id == id })
	}
	if i, ok := b.place[id]; ok {
		return i
	}
	return -1
}

func (b *ballot) at(id string) *placement {
	if i := b.placeOf(id); i >= 0 {
		return b.content[i]
	}
	return nil
}

// ids returns the contests on a ballot, in order.
func (b *ballot) ids() []string {
	out := make([]string, len(b.content))
	for i := range b.content {
		out[i] = b.content[i].id
	}
	return out
}

// face identifies a ballot: the precinct that gets it, and the parties whose voters get it.
type face struct{ precinct, voters string }

// ballotValues lays out the ballots of each precinct.
func (n *Named) ballotValues(v *Values, put func(finding.Thing, string, string) fields) {
	e := n.side.Election
	contests := make([]*contest, len(e.Contests))
	versions := map[string]int{}
	for _, id := range n.contests {
		versions[id]++
	}
	for i := range e.Contests {
		contests[i] = n.contestValues(i)
		contests[i].fields.set(finding.Versions, one(fmt.Sprint(versions[n.contests[i]])))
		t := thing{finding.Contest, n.contests[i]}
		v.called[t] = n.side.Title(i)
		for j := range e.Contests[i].Choices {
			v.called[thing{finding.Choice, key(n.contests[i], n.choices[i][j])}] = n.side.Choice(i, j)
		}
	}
	on := make([]bool, len(e.Contests))
	made := map[string]*ballot{}
	lay := func(styles []int) *ballot {
		k := fmt.Sprint(styles)
		if made[k] == nil {
			made[k] = n.layOut(styles, contests)
		}
		return made[k]
	}
	for i := range e.Precincts {
		from := pairing.Carriers(n.side, i)
		if len(e.Precincts[i].Members) > 0 && n.carriedByMembers(i) {
			continue // its members get its ballots
		}
		voters := map[string][]int{}
		for _, c := range from {
			for _, s := range n.side.StylesOf[c] {
				k := n.voters(s)
				voters[k] = append(voters[k], s)
			}
		}
		for k, styles := range voters {
			v.ballots[face{n.precincts[i], k}] = lay(styles)
		}
	}
	for i := range e.Styles {
		for _, p := range e.Styles[i].Content {
			on[p.Contest] = on[p.Contest] || len(e.Styles[i].Precincts) > 0
		}
		if len(e.Styles[i].Precincts) == 0 {
			label := plain(e.Styles[i].Label.Value)
			put(unused, label, label)
		}
	}
	for i := range e.Contests {
		if on[i] {
			v.on[n.contests[i]] = true
			if v.first[n.contests[i]] == nil {
				v.first[n.contests[i]] = contests[i]
			}
		}
	}
	for i := range e.Contests {
		if !v.on[n.contests[i]] {
			v.loose[n.contests[i]] = contests[i]
		}
	}
}

// carriedByMembers is true if every member of a precinct gets the precinct's own ballots, or if the
// precinct has none of its own.
func (n *Named) carriedByMembers(i int) bool {
	if len(n.side.StylesOf[i]) == 0 {
		return true
	}
	return !slices.ContainsFunc(n.side.Precincts[i].Members, func(m int) bool {
		return !slices.Contains(pairing.Carriers(n.side, m), i)
	})
}

func (n *Named) voters(style int) string {
	var list []string
	for _, p := range n.side.Styles[style].Parties {
		list = append(list, n.parties[p])
	}
	return key(sorted(list)...)
}

// contestValues returns the contents of contest i.
func (n *Named) contestValues(i int) *contest {
	m := &n.side.Contests[i]
	c := &contest{fields: fields{}, choices: map[string]fields{}}
	f := c.fields
	f.stated(finding.Title, m.Title)
	f.stated(Subtitle, m.Subtitle)
	f.stated(WorkName, m.Name)
	f.stated(finding.Text, m.Text)
	f.stated(Summary, m.Summary)
	n.held(f, n.side.Origins.Contest(i).Held)
	if m.Kind.Known {
		f.set(finding.Kind, one(string(m.Kind.Value)))
	}
	if m.Variation.Known {
		f.set(Variation, one(m.Variation.Value))
	}
	if m.VoteFor.Known {
		f.set(finding.VoteFor, one(fmt.Sprint(m.VoteFor.Value)))
	}
	if m.PrimaryParties.Known {
		f.set(finding.PrimaryParties, setOf(n.partyList(m.PrimaryParties.Value)))
	}
	if m.District.Known {
		f.set(District, one(n.districts[m.District.Value]))
	}
	if m.Rotates.Known {
		f.set(Rotates, one(fmt.Sprint(m.Rotates.Value)))
	}
	people, sets := map[string][]string{}, map[string]value{}
	for j := range m.Choices {
		if p := m.Choices[j].Person; p != "" {
			people[p] = append(people[p], n.choices[i][j])
		}
	}
	for j := range m.Choices {
		ch, id := &m.Choices[j], n.choices[i][j]
		g := fields{}
		g.stated(finding.Name, ch.Name)
		n.held(g, n.side.Origins.Choice(i, j).Held)
		if ch.WriteIn {
			g.set(finding.WriteIn, one("yes"))
		}
		if ch.Lines.Known {
			g.set(finding.Lines, setOf(n.partyList(ch.Lines.Value)))
		}
		if with := people[ch.Person]; ch.Person != "" && len(with) > 1 {
			if _, ok := sets[ch.Person]; !ok {
				sets[ch.Person] = setOf(with)
			}
			g.set(finding.Person, sets[ch.Person])
		}
		c.choices[id] = g
		c.order = append(c.order, id)
	}
	return c
}

func (n *Named) partyList(list []int) []string {
	out := make([]string, len(list))
	for i, p := range list {
		out[i] = n.parties[p]
	}
	return out
}

// layOut returns the ballot that the styles of one precinct print.
func (n *Named) layOut(styles []int, contests []*contest) *ballot {
	b := &ballot{fields: fields{}}
	if n.seen == nil {
		n.seen = map[string]int{}
	}
	clear(n.seen)
	var labels []string
	var held []model.Held
	for _, s := range styles {
		held = append(held, n.side.Origins.Style(s).Held...)
		st := &n.side.Styles[s]
		if st.Label.Known {
			labels = append(labels, plain(st.Label.Value))
		}
		if st.Closing.Known {
			b.fields.set(Closing, one(headingWords(st.Closing.Value)))
		}
		for _, p := range st.Content {
			at := placement{id: n.contests[p.Contest], contest: contests[p.Contest]}
			if n.seen[at.id]++; n.seen[at.id] > 1 {
				at.id = fmt.Sprint(at.id, twice, n.seen[at.id])
			}
			if p.Headings.Known {
				at.headings = one(headingWords(p.Headings.Value))
			}
			order := &at.contest.order
			if p.Order.Known {
				order = n.orderOf(p.Contest, at.contest, p.Order.Value)
			}
			at.order = *order
			b.content = append(b.content, n.shared(at, order))
		}
	}
	slices.SortStableFunc(held, func(x, y model.Held) int { return strings.Compare(x.Member, y.Member) })
	n.held(b.fields, held)
	if len(labels) > 0 {
		b.fields.set(finding.Label, one(names(sorted(labels))))
	}
	return b.index()
}

// shared returns one placement for all that are equal.
func (n *Named) shared(p placement, order *[]string) *placement {
	k := placementKey{p.id, p.contest, stateOf(p.headings), p.headings.list == nil, order}
	if n.placements == nil {
		n.placements = map[placementKey]*placement{}
	}
	if n.placements[k] == nil {
		n.placements[k] = &p
	}
	return n.placements[k]
}

type placementKey struct {
	id       string
	contest  *contest
	headings string
	unstated bool
	order    *[]string // one pointer for all equal orders
}

// orderOf returns the printed order of a contest's choices; equal orders share one pointer.
func (n *Named) orderOf(contest int, c *contest, order []int) *[]string {
	said := n.said[:0]
	for _, i := range order {
		said = binary.AppendVarint(said, int64(i))
	}
	n.said = said
	k := orderKey{contest, string(said)}
	if known, ok := n.orders[k]; ok {
		return known
	}
	named := n.printedOrder(contest, order)
	out := &named
	if slices.Equal(named, c.order) {
		out = &c.order
	}
	if n.orders == nil {
		n.orders = map[orderKey]*[]string{}
	}
	n.orders[k] = out
	return out
}

type orderKey struct {
	contest int
	order   string
}

// printedOrder names choices in the order in which a ballot prints them. Write-in positions are
// interchangeable, so they are numbered. A choice that is listed twice gets two names.
func (n *Named) printedOrder(contest int, order []int) []string {
	out := make([]string, 0, len(order))
	seen := map[string]int{}
	for _, j := range order {
		id := n.choices[contest][j]
		if n.side.Contests[contest].Choices[j].WriteIn {
			seen[writeIn]++
			out = append(out, fmt.Sprint(writeIn, seen[writeIn]))
			continue
		}
		if seen[id]++; seen[id] > 1 {
			id = fmt.Sprint(id, again, seen[id])
		}
		out = append(out, id)
	}
	return out
}

// choiceOf returns the name of the choice that an element of an order stands for.
func choiceOf(listed string) string {
	id, _, _ := strings.Cut(listed, again)
	return id
}

// otherLanguages returns the headings of a list in languages other than the given one.
func otherLanguages(list []string, language string) string {
	var out []string
	for _, h := range list {
		for _, part := range strings.Split(h, "\x1f") {
			if tag, _, _ := strings.Cut(part, "\x1e"); tag != language && tag != "" {
				out = append(out, part)
			}
		}
	}
	return key(out...)
}

// headingWords joins headings in all their languages into one text.
func headingWords(list []model.Text) string {
	var out []string
	for _, h := range list {
		for _, p := range h {
			out = append(out, strings.ToLower(p.Language)+"\x1e"+plain(p.Words))
		}
	}
	return key(out...)
}

const (
	// writeIn is the prefix of the name of a write-in position; its number follows.
	writeIn = "write-in "
	// twice separates a contest's name from a number, where a ballot prints the contest more than
	// once.
	twice = "\x1ftwice "
	// again separates a choice's name from a number, where a ballot lists the choice more than
	// once.
	again = "\x1fagain "
)
