package deck

import (
	"fmt"
	"slices"

	"counterproof/checks/pairing"
)

// Cast vote records do not say on which party line a position of a person stands (SP 1500-103 has the
// candidate's own party alone). Positions of one name are then taken in ballot order, unless the export
// tells them apart by their identifiers.

// unclear is the name of positions of a contest that the results do not tell apart; empty if there are none.
func (m *translator) unclear(contest int) string {
	p := m.pg.Primary
	choices := p.Compared[contest].Choices
	for j := range choices {
		for k := range j {
			if !choices[j].WriteIn && !choices[k].WriteIn && p.Choice(contest, j) == p.Choice(contest, k) &&
				slices.Equal(choices[j].Lines.Value, choices[k].Lines.Value) {
				return p.Choice(contest, j)
			}
		}
	}
	return ""
}

// tellApart pairs the choices of a contest whose positions are unclear as the export's choices with their
// identifiers are paired, if each has one and no two the same.
func (m *translator) tellApart(contest int, pg *pairing.Pairing, of int, to []int) {
	own, export := m.pg.Primary, pg.Primary
	at := map[string]int{}
	for l := range export.Contests[of].Choices {
		at[export.Origins.Choice(of, l).ID] = l
	}
	choices := slices.Clone(m.choices[contest])
	seen := map[int]bool{}
	for k := range choices {
		if own.Contests[contest].Choices[k].WriteIn {
			continue
		}
		l, ok := at[own.Origins.Choice(contest, k).ID]
		if !ok || l >= len(to) || to[l] < 0 || seen[to[l]] || own.Choice(contest, k) != export.Choice(of, l) {
			return
		}
		seen[to[l]] = true
		choices[k] = to[l]
	}
	m.choices[contest] = choices
	m.apart[contest] = true
}

// noteUnclear says of which contests the results do not tell the positions of a person apart.
func (m *translator) noteUnclear() {
	for i, c := range m.contests {
		if c < 0 || m.apart[i] {
			continue
		}
		if name := m.unclear(i); name != "" {
			m.notes = append(m.notes, fmt.Sprintf("The results do not say on which party line each position of “%s” stands "+
				"(%s): they are taken in ballot order. With the export at hand they are told apart.", name, m.pg.Second.Title(c)))
		}
	}
}
