package deck

import (
	"fmt"
	"slices"

	"counterproof/model"
)

// otherVoteFor are other numbers of votes allowed.
func (w *comparison) otherVoteFor(g *gap) (out []guess) {
	if w.opts.Deck == nil {
		return nil
	}
	choices := len(w.e.Contests[g.contest].Choices)
	own := w.count.contests[g.contest].voteFor
	for n := 1; n <= min(choices+1, own+5); n++ {
		if n == own {
			continue
		}
		other := w.countingFor(g.contest, n)
		text := fmt.Sprintf("The contest is counted as vote for %d, not for %d.", n, own)
		c := Explanation{WrongVoteFor, text, g.contest, -1, -1, nil}
		out = append(out, guess{Explanation: c, variants: func(g *gap) []figures {
			return w.recount(other, g, func(_ *Ballot, marks []Mark) []Mark { return marks })
		}})
	}
	return out
}

// countingFor counts as if a contest allowed another number of votes.
func (w *comparison) countingFor(contest, n int) *counting {
	key := [2]int{contest, n}
	if w.voteFor[key] == nil {
		if w.voteFor == nil || len(w.voteFor) > 100 {
			w.voteFor = map[[2]int]*counting{}
		}
		w.voteFor[key] = newCounting(withVoteFor(w.e, contest, n), w.opts.Rules)
	}
	return w.voteFor[key]
}

// withVoteFor is an election in which a contest allows another number of votes.
func withVoteFor(e *model.Election, contest, n int) *model.Election {
	out := *e
	out.Contests = slices.Clone(e.Contests)
	out.Contests[contest].VoteFor = model.Say(n)
	return &out
}
