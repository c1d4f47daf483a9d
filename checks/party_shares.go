package checks

import (
	"maps"
	"slices"

	"counterproof/model"
)

// lines gives, for each name of a choice of a side, the parties that it stands for:
// its lines, and the parties whose primary the contest belongs to. It is kept from
// comparison to comparison and follows single contests that change.
type lines struct {
	// of counts, by name and party, the choices that say so.
	of map[string][]lineCount
	// was are the parties of the names that changed since the comparison before.
	was map[string][]int
}

type lineCount struct{ party, choices int }

func newLines() lines { return lines{of: map[string][]lineCount{}} }

// again is the same for the next comparison, which owns it from then on.
func (l *lines) again() lines { return lines{of: l.of, was: map[string][]int{}} }

// parties lists the parties that a name stands for.
func (l *lines) parties(name string) []int {
	out := make([]int, 0, len(l.of[name]))
	for _, c := range l.of[name] {
		out = append(out, c.party)
	}
	return out
}

func (l *lines) add(c *model.Contest)  { l.change(c, 1) }
func (l *lines) drop(c *model.Contest) { l.change(c, -1) }

func (l *lines) change(c *model.Contest, by int) {
	for i := range c.Choices {
		name := plain(c.Choices[i].Name)
		if name == "" {
			continue
		}
		if _, noted := l.was[name]; l.was != nil && !noted {
			l.was[name] = l.parties(name)
		}
		list := l.of[name]
		for _, parties := range [][]int{c.Choices[i].Lines.Value, c.PrimaryParties.Value} {
			for _, p := range parties {
				at := slices.IndexFunc(list, func(c lineCount) bool { return c.party == p })
				if at < 0 {
					list, at = append(list, lineCount{party: p}), len(list)
				}
				list[at].choices += by
			}
		}
		list = slices.DeleteFunc(list, func(c lineCount) bool { return c.choices == 0 })
		if len(list) == 0 {
			delete(l.of, name)
			continue
		}
		l.of[name] = list
	}
}

// partyShares count, for each pair of parties, the names of choices that stand for
// both, and for each party of either side the names that stand for it.
type partyShares struct {
	both            map[[2]int]int
	primary, second []int
}

func countShares(p, s *view) partyShares {
	c := partyShares{map[[2]int]int{}, make([]int, len(p.Parties)), make([]int, len(s.Parties))}
	for name := range p.lines.of {
		c.count(p.lines.parties(name), s.lines.parties(name), 1)
	}
	for name := range s.lines.of {
		if _, both := p.lines.of[name]; !both {
			c.count(nil, s.lines.parties(name), 1)
		}
	}
	return c
}

func (c *partyShares) count(primary, second []int, by int) {
	for _, a := range primary {
		c.primary[a] += by
		for _, b := range second {
			c.both[[2]int{a, b}] += by
		}
	}
	for _, b := range second {
		c.second[b] += by
	}
}

// again counts for the next comparison, in which only the names changed that the lines
// of the sides noted.
func (c *partyShares) again(p, s *view) partyShares {
	if len(p.lines.was)+len(s.lines.was) == 0 {
		return *c
	}
	now := partyShares{maps.Clone(c.both), slices.Clone(c.primary), slices.Clone(c.second)}
	names := map[string]bool{}
	for _, l := range []*lines{&p.lines, &s.lines} {
		for name := range l.was {
			names[name] = true
		}
	}
	before := func(l *lines, name string) []int {
		if was, changed := l.was[name]; changed {
			return was
		}
		return l.parties(name)
	}
	for name := range names {
		now.count(before(&p.lines, name), before(&s.lines, name), -1)
		now.count(p.lines.parties(name), s.lines.parties(name), 1)
	}
	return now
}
