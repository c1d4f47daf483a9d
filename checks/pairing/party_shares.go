package pairing

import (
	"slices"

	"counterproof/model"
)

// lines maps each name of a choice to its parties: its lines, and the parties of the primary that
// the contest belongs to.
type lines map[string][]int

func (l lines) add(c *model.Contest) {
	for i := range c.Choices {
		name := Plain(c.Choices[i].Name)
		if name == "" {
			continue
		}
		list := l[name]
		for _, parties := range [][]int{c.Choices[i].Lines.Value, c.PrimaryParties.Value} {
			for _, p := range parties {
				if !slices.Contains(list, p) {
					list = append(list, p)
				}
			}
		}
		if len(list) > 0 {
			l[name] = list
		}
	}
}

// partyShares counts, for each pair of parties, the names of choices that belong to both, and for
// each party of either side the names that belong to it.
type partyShares struct {
	both            map[[2]int]int
	primary, second []int
}

func countShares(p, s *Side) partyShares {
	c := partyShares{map[[2]int]int{}, make([]int, len(p.Parties)), make([]int, len(s.Parties))}
	for name, list := range p.lines {
		c.count(list, s.lines[name])
	}
	for name, list := range s.lines {
		if _, both := p.lines[name]; !both {
			c.count(nil, list)
		}
	}
	return c
}

func (c *partyShares) count(primary, second []int) {
	for _, a := range primary {
		c.primary[a]++
		for _, b := range second {
			c.both[[2]int{a, b}]++
		}
	}
	for _, b := range second {
		c.second[b]++
	}
}
