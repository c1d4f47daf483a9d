package difference

import (
	"maps"
	"slices"

	"counterproof/checks/pairing"
)

// DoubledChoice is a name that a contest of the export lists twice, on the same lines or with one
// line in common.
type DoubledChoice struct {
	Contest, Other, Choice int
	SameLines              bool
	Line                   int // the common line, if the lines are not all the same
}

// findDoubled lists them by contest.
func findDoubled(pg *pairing.Pairing) [][]DoubledChoice {
	doubled := make([][]DoubledChoice, len(pg.Primary.Compared))
	for ci := range pg.Primary.Compared {
		doubled[ci] = doubledIn(pg, ci)
	}
	return doubled
}

func doubledIn(pg *pairing.Pairing, contest int) []DoubledChoice {
	var out []DoubledChoice
	list := pg.Primary.Compared[contest].Choices
	byName := map[string][]int{}
	for i := range list {
		if name := pairing.Plain(list[i].Name); name != "" && !list[i].WriteIn {
			byName[name] = append(byName[name], i)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		same := byName[name]
		if len(same) < 2 || len(same) > 64 || keyedAsTwoPersons(pg, contest, same) {
			continue
		}
		for x := 1; x < len(same); x++ {
			for y := range x {
				i, j := same[y], same[x]
				a, b := pg.PartyKeys(pg.Primary, list[i].Lines.Value), pg.PartyKeys(pg.Primary, list[j].Lines.Value)
				d := DoubledChoice{Contest: contest, Other: i, Choice: j, SameLines: slices.Equal(a, b), Line: -1}
				for _, l := range list[j].Lines.Value {
					if slices.Contains(list[i].Lines.Value, l) {
						d.Line = l
					}
				}
				if d.SameLines || d.Line >= 0 {
					out = append(out, d)
				}
			}
		}
	}
	return out
}

// keyedAsTwoPersons reports whether the second entry says that positions with one name are
// different people.
func keyedAsTwoPersons(pg *pairing.Pairing, contest int, choices []int) bool {
	k := pg.MainPair(contest)
	if k < 0 {
		return false
	}
	m := &pg.Contests.Pairs[k]
	persons := map[string]bool{}
	for _, i := range choices {
		if j := m.Choices.ToSecond[i]; j >= 0 {
			persons[pg.Second.Compared[m.Second].Choices[j].Person] = true
		}
	}
	return len(persons) > 1
}
