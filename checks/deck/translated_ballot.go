package deck

import (
	"counterproof/model"
	"counterproof/model/results"
)

// votedBallot is a cast vote record: what it credits by contest.
type votedBallot struct {
	number    string
	line      int
	precincts []int // nil: the record names none that is known
	unit      int   // -1: none, or the key has no counts of units
	file      string
	votes     map[int]votes
}

// votes are what a ballot gives in a contest.
type votes struct {
	choices               []int
	ranks                 [][]int
	overvotes, undervotes model.Stated[int]
}

// ballot says what a record credits in terms of the second entry.
func (m *translator) ballot(b *results.Ballot) votedBallot {
	out := votedBallot{number: b.Number, line: b.Line, file: m.name, unit: -1, votes: map[int]votes{}}
	if b.Unit >= 0 && len(m.units) > 0 {
		out.unit = m.unit(b.Unit)
	}
	if b.Precinct >= 0 {
		out.precincts = m.precincts[b.Precinct]
	}
	for _, v := range b.Votes {
		c := m.contests[v.Contest]
		if c < 0 {
			continue
		}
		to, n := m.choices[v.Contest], len(m.e.Contests[c].Choices)
		moved := func(list []int) []int {
			choices := make([]int, n)
			for j, votes := range list {
				if j < len(to) && to[j] >= 0 {
					choices[to[j]] += votes
				}
			}
			return choices
		}
		w := votes{choices: moved(v.Choices), overvotes: v.Overvotes, undervotes: v.Undervotes}
		for _, rank := range v.Ranks {
			w.ranks = append(w.ranks, moved(rank))
		}
		out.votes[c] = w
	}
	return out
}
