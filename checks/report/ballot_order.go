package report

import (
	"slices"

	"counterproof/model"
)

// BallotOrder returns the contests of an election in ballot order: a contest comes before another
// if it does on a ballot. Where ballots disagree or say nothing, what is printed first on an earlier
// ballot comes first. Contests on no ballot are last.
func BallotOrder(e *model.Election) []int {
	type step struct{ from, to int }
	seen := map[step]bool{}
	after := make([][]int, len(e.Contests))
	before := make([]int, len(e.Contests)) // how many contests still come before it
	for i := range e.Styles {
		content := e.Styles[i].Content
		for k := 1; k < len(content); k++ {
			s := step{content[k-1].Contest, content[k].Contest}
			if s.from != s.to && !seen[s] {
				seen[s] = true
				after[s.from] = append(after[s.from], s.to)
				before[s.to]++
			}
		}
	}
	order, done := make([]int, 0, len(e.Contests)), make([]bool, len(e.Contests))
	// take takes a contest that nothing is before, then those that only it kept waiting.
	take := func(first int) {
		for next := []int{first}; len(next) > 0; {
			c := next[len(next)-1]
			next = next[:len(next)-1]
			if done[c] {
				continue
			}
			done[c] = true
			order = append(order, c)
			for _, n := range slices.Backward(after[c]) {
				if before[n]--; before[n] == 0 {
					next = append(next, n)
				}
			}
		}
	}
	for _, forced := range []bool{false, true} { // forced: ballots disagree
		for i := range e.Styles {
			for _, p := range e.Styles[i].Content {
				if !done[p.Contest] && (forced || before[p.Contest] == 0) {
					take(p.Contest)
				}
			}
		}
	}
	for c := range e.Contests {
		if !done[c] {
			order = append(order, c)
		}
	}
	return order
}
