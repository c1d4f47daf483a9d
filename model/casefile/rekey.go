package casefile

import (
	"slices"
	"strings"
)

// keptColumns are the columns of a contest that say nothing a ballot prints, and that an amendment
// leaves when it empties the contest.
var keptColumns = []string{"contest", "source", "variation"}

// emptyContest empties a contest and its choices, and the order of its choices on each ballot. It
// stays on the ballots that it was on.
func (k *Tables) emptyContest(contest int) {
	clear := func(t Table, row int, kept ...string) {
		for column, name := range schema[t].columns {
			if !slices.Contains(kept, name) {
				k.set(cell{row: int32(row), table: t, column: uint8(column)}, "")
			}
		}
	}
	clear(Contests, contest, keptColumns...)
	k.Each(Choices, func(row int, c []string) {
		if reference(c[0]) == contest {
			clear(Choices, row)
		}
	})
	k.Each(Placements, func(row int, c []string) {
		if reference(c[2]) == contest {
			clear(Placements, row, "face", "position", "contest", "heading", "heading[]")
		}
	})
}

// Untyped is a contest that an open amendment emptied, and what was not keyed again yet.
type Untyped struct {
	Contest Row
	// Title is its title as it was sealed, with its subtitle.
	Title string
	// Lacks names what was keyed before the amendment and is not keyed now.
	Lacks []string
}

// Untyped lists the contests that were emptied by open amendments and are not keyed again whole. The
// ballots are not sealed before they are: a contest that goes is taken off its ballots.
func (c *Case) Untyped() []Untyped {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.untyped()
}

func (s *State) untyped() (out []Untyped) {
	done := map[Row]bool{}
	for _, a := range s.OpenAmendments() {
		for _, r := range a.Terms.Contests {
			if !a.Terms.Rekey || r.Source != 0 || done[r] || len(s.before) == 0 {
				continue
			}
			done[r] = true
			if lacks := lacking(s.before[0], s.entries[0], r.Row); len(lacks) > 0 {
				title := s.before[0].get(Contests, r.Row, 1) + " " + strings.Trim(s.before[0].get(Contests, r.Row, 2), "-")
				out = append(out, Untyped{r, strings.TrimSpace(title), lacks})
			}
		}
	}
	return out
}

// lacking names what a contest said and does not say now.
func lacking(before, now *Tables, contest int) (lacks []string) {
	placed := func(k *Tables) (rows []int) {
		k.Each(Placements, func(row int, c []string) {
			if reference(c[2]) == contest {
				rows = append(rows, row)
			}
		})
		return rows
	}
	here := placed(now)
	if len(here) == 0 && now.get(Contests, contest, 1) == "" {
		return nil // taken off the ballots
	}
	for column, name := range schema[Contests].columns {
		if !slices.Contains(keptColumns, name) && before.get(Contests, contest, column) != "" &&
			now.get(Contests, contest, column) == "" {
			lacks = append(lacks, columnWords(name))
		}
	}
	choices := func(k *Tables) (names, lines int, bare string) {
		k.Each(Choices, func(row int, c []string) {
			if reference(c[0]) != contest {
				return
			}
			names++
			switch {
			case c[3] != "":
				lines++
			case c[4] == "" && bare == "":
				bare = c[2]
			}
		})
		return names, lines, bare
	}
	had, hadLines, _ := choices(before)
	has, _, bare := choices(now)
	switch {
	case had > 0 && has == 0:
		lacks = append(lacks, "its choices")
	case hadLines > 0 && bare != "":
		lacks = append(lacks, "the party of "+bare)
	}
	for _, row := range here {
		if before.get(Placements, row, 4) != "" && now.get(Placements, row, 4) == "" {
			return append(lacks, "the order of its choices on each face")
		}
	}
	return lacks
}

// columnWords names a column for people.
func columnWords(column string) string {
	name, further := strings.CutSuffix(column, "[]")
	name = strings.ReplaceAll(name, "_", " ")
	if further {
		name += " in the further languages"
	}
	return name
}

// Again returns the rows that choices of a name had in a contest before it was emptied by an
// amendment, in ballot order: keyed again, a choice keeps its row, and what was decided about it
// stays with it. It tells nothing to somebody who does not know the name.
func (k *Keying) Again(contest int, name string) []int { return k.entry.keyAgain(contest, name) }

func (c *Case) keyAgain(contest int, name string) (out []int) {
	c.view.RLock()
	defer c.view.RUnlock()
	s := c.state
	open := slices.ContainsFunc(s.OpenAmendments(), func(a Act[Amendment]) bool {
		return a.Terms.Rekey && slices.Contains(a.Terms.Contests, Row{0, Contests, contest})
	})
	if !open || len(s.before) == 0 {
		return nil
	}
	before := s.before[0]
	before.Each(Choices, func(row int, cells []string) {
		if reference(cells[0]) == contest && strings.TrimSpace(cells[2]) == strings.TrimSpace(name) {
			out = append(out, row)
		}
	})
	slices.SortStableFunc(out, func(a, b int) int {
		switch x, y := before.Position(Choices, a), before.Position(Choices, b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return out
}
