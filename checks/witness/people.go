package witness

import (
	"slices"

	"counterproof/checks/assignment"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// person is a candidate of a contest in either entry: all positions that carry the name.
type person struct {
	primary, second []int // choices of each side
	slots           [][2]int
}

// people are the candidates of a contest; write-in positions are none.
func (x *examiner) people(u unit) (out []*person) {
	byName := [2]map[string]*person{{}, {}}
	add := func(i, j int) {
		var p *person
		names := [2]string{}
		if j >= 0 {
			names[1] = x.pg.Second.Choice(u.si, j)
			p = byName[1][names[1]]
		}
		if i >= 0 {
			names[0] = x.pg.Primary.Choice(u.pi, i)
			if j < 0 {
				p = byName[0][names[0]]
			}
		}
		if p == nil {
			p = &person{}
			out = append(out, p)
		}
		p.slots = append(p.slots, [2]int{i, j})
		if i >= 0 {
			byName[0][names[0]], p.primary = p, append(p.primary, i)
		}
		if j >= 0 {
			byName[1][names[1]], p.second = p, append(p.second, j)
		}
	}
	if u.si >= 0 {
		for j, c := range x.pg.Second.Compared[u.si].Choices {
			i := -1
			if u.pi >= 0 {
				i = u.pair.Choices.ToPrimary[j]
			}
			if !c.WriteIn {
				add(i, j)
			}
		}
	}
	if u.pi >= 0 {
		for i, c := range x.pg.Primary.Compared[u.pi].Choices {
			if !c.WriteIn && (u.si < 0 || u.pair.Choices.ToSecond[i] < 0) {
				add(i, -1)
			}
		}
	}
	return out
}

// names are what a person is called in each entry; empty where it lacks them.
func (x *examiner) names(u unit, p *person) (names [2]string) {
	if len(p.primary) > 0 {
		names[0] = x.pg.Primary.Choice(u.pi, p.primary[0])
	}
	if len(p.second) > 0 {
		names[1] = x.pg.Second.Choice(u.si, p.second[0])
	}
	return names
}

// listedPerson is a candidate of a certified list: its rows of one name.
type listedPerson struct {
	*model.ListedChoice
	lines model.Stated[[]string]
}

func listedPeople(c *model.ListedContest) (out []listedPerson) {
	at := map[string]int{}
	for i := range c.Choices {
		choice := &c.Choices[i]
		key := plain(choice.Name.Rules, choice.Name.Read)
		n, ok := at[key]
		if !ok {
			at[key] = len(out)
			out = append(out, listedPerson{choice, choice.Lines})
			continue
		}
		p := &out[n]
		p.lines.Known = p.lines.Known && choice.Lines.Known
		p.lines.Value = append(slices.Clone(p.lines.Value), choice.Lines.Value...)
	}
	return out
}

// matches are who is whose counterpart in a list: listed by person, -1 for none.
type matches struct {
	listed []listedPerson
	of     []int // by person: its index in listed
	to     []int // by listed: its person
}

// matchPeople finds the candidates of a list among those of the entries: the same name as it is read,
// then nearly the same, and at last the only one left on either side.
func (x *examiner) matchPeople(c *model.ListedContest, u unit, people []*person) matches {
	m := matches{listed: listedPeople(c), of: pairing.Filled(len(people))}
	m.to = pairing.Filled(len(m.listed))
	names := make([][2]string, len(people))
	for n, p := range people {
		names[n] = x.names(u, p)
	}
	pair := func(weight func(l, n int) float64) {
		var rows, cols []int
		for l, n := range m.to {
			if n < 0 {
				rows = append(rows, l)
			}
		}
		for n, l := range m.of {
			if l < 0 {
				cols = append(cols, n)
			}
		}
		if len(rows)*len(cols) > most {
			return
		}
		for r, k := range assignment.Best(len(rows), len(cols), func(r, k int) float64 { return weight(rows[r], cols[k]) }) {
			if k >= 0 {
				m.to[rows[r]], m.of[cols[k]] = cols[k], rows[r]
			}
		}
	}
	exact := map[string][]int{} // so that long lists are no work
	for n := range people {
		for _, name := range names[n] {
			if name != "" && !slices.Contains(exact[name], n) {
				exact[name] = append(exact[name], n)
			}
		}
	}
	for l := range m.listed {
		if at := exact[wording.Normal(m.listed[l].Name.Read)]; len(at) == 1 && m.of[at[0]] < 0 {
			m.to[l], m.of[at[0]] = at[0], l
		}
	}
	pair(func(l, n int) (w float64) {
		for _, name := range names[n] {
			if name != "" && agrees(m.listed[l].Name, name) {
				w++
			}
		}
		return w
	})
	pair(func(l, n int) float64 {
		best, read := 0.0, plain(m.listed[l].Name.Rules, m.listed[l].Name.Read)
		for _, name := range names[n] {
			if name != "" {
				best = max(best, pairing.NameSimilarity(wording.Fold(read), wording.Fold(plain(m.listed[l].Name.Rules, name))))
			}
		}
		if best < pairing.NameThreshold {
			return 0
		}
		return best
	})
	if one, other := lone(m.to), lone(m.of); one >= 0 && other >= 0 {
		m.to[one], m.of[other] = other, one
	}
	return m
}

// lone is the only element without a counterpart, -1 if there is none or more than one.
func lone(to []int) int {
	at := slices.Index(to, -1)
	if at < 0 || slices.Contains(to[at+1:], -1) {
		return -1
	}
	return at
}
