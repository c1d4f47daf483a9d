package deck

import (
	"math/rand/v2"
	"slices"
)

// designed is a contest of a design.
type designed struct {
	contest
	index int
	// votes are those of each position, in one set of the ballots of a style.
	votes []int
	// ballots are the marks that give the votes, the first ballot's in full.
	ballots [][]Mark
	// over are marks that are more than may be marked; nil where that cannot be.
	over []Mark
	// filled are the votes that straight-party votes give each position; nil for none.
	filled []int
	// full is how many ballots of a set are marked in full at least: those with a straight-party vote.
	// never is true where such a vote would leave the contest uncounted.
	full  int
	never bool
	// alone is how many of the last ballots of a straight-party contest are marked nowhere else.
	alone int
}

// least is the fewest ballots on which the totals of all positions differ. A ballot has at most
// vote-for votes to give, in a ranked contest one first choice.
func (c *designed) least() int {
	k := len(c.person)
	if c.method == ranked {
		return k * (k + 1) / 2
	}
	return (k*(k+1)/2-1)/c.voteFor + 1
}

// fill makes the ballots of the votes.
func (c *designed) fill() {
	switch c.method {
	case ranked:
		c.ballots = c.rankedBallots()
	case cumulative:
		c.ballots = c.cumulativeBallots()
	default:
		c.ballots = c.plainBallots()
	}
	c.over = c.overvote()
}

// plainBallots marks on each ballot those people who have the most votes left, as many as one may
// mark. That takes the fewest ballots on which nobody is marked twice (longest remaining first).
func (c *designed) plainBallots() [][]Mark {
	left := slices.Clone(c.votes)
	of := make([]int, len(left)) // what is left of each person
	sum := 0
	for j, v := range left {
		of[c.person[j]] += v
		sum += v
	}
	people := make([]int, 0, len(of))
	for j := range of {
		if c.person[j] == j {
			people = append(people, j)
		}
	}
	var out [][]Mark
	for sum > 0 {
		slices.SortStableFunc(people, func(x, y int) int { return of[y] - of[x] })
		var marks []Mark
		for _, p := range people[:min(len(people), c.voteFor)] {
			if of[p] == 0 {
				break
			}
			j := c.mostOf(left, p)
			left[j]--
			of[p]--
			sum--
			marks = append(marks, Mark{c.index, j, 1})
		}
		out = append(out, marks)
	}
	return out
}

// mostOf is the position of a person that has the most votes left.
func (c *designed) mostOf(left []int, person int) int {
	best := person
	for j := person; j < len(left); j++ {
		if c.person[j] == person && left[j] > left[best] {
			best = j
		}
	}
	return best
}

// raise adds votes until so many ballots are marked in full, at least one: to the strongest position
// of a cumulative contest, else to each position, so that they differ as before.
func (c *designed) raise() {
	full, sum := max(1, c.full), 0
	for _, v := range c.votes {
		sum += v
	}
	if c.method == cumulative {
		c.votes[top(c.votes)] += max(0, full*c.voteFor-sum)
		return
	}
	if c.full == 0 { // the first ballot is
		return
	}
	gives := 1
	if c.method == nOfM {
		gives = min(c.voteFor, c.people())
	}
	for more := max(0, full*gives-sum) / len(c.votes); ; more = 1 {
		for j := range c.votes {
			c.votes[j] += more
		}
		if c.fill(); c.inFull() >= full {
			return
		}
	}
}

// cumulativeBallots gives away all votes of a ballot before the next.
func (c *designed) cumulativeBallots() [][]Mark {
	var out [][]Mark
	var marks []Mark
	room := c.voteFor
	for j, v := range c.votes {
		for v > 0 {
			n := min(v, room)
			marks = append(marks, Mark{c.index, j, n})
			v, room = v-n, room-n
			if room == 0 {
				out, marks, room = append(out, marks), nil, c.voteFor
			}
		}
	}
	if marks != nil {
		out = append(out, marks)
	}
	return out
}

// rankedBallots has as many first choices as votes; the further ranks go to the next stronger
// position, and from the strongest to the weakest, so that the totals at each rank differ too.
func (c *designed) rankedBallots() [][]Mark {
	order := make([]int, len(c.votes)) // weakest first
	for j := range order {
		order[j] = j
	}
	slices.SortFunc(order, func(x, y int) int { return c.votes[x] - c.votes[y] })
	var out [][]Mark
	for at, first := range order {
		var marks []Mark
		ranked := map[int]bool{}
		for i := 0; i < len(order) && len(marks) < c.voteFor; i++ {
			j := order[(at+i)%len(order)]
			if !ranked[c.person[j]] {
				ranked[c.person[j]] = true
				marks = append(marks, Mark{c.index, j, len(marks) + 1})
			}
		}
		for range c.votes[first] {
			out = append(out, marks)
		}
	}
	return out
}

// overvote marks one more than may be marked, in a ranked contest two first choices.
func (c *designed) overvote() []Mark {
	most := c.voteFor
	switch c.method {
	case ranked:
		most = 1
	case cumulative:
		if len(c.person) < 2 { // its column of ovals holds no more votes than one may give
			return nil
		}
		return []Mark{{c.index, 0, c.voteFor}, {c.index, 1, 1}}
	}
	var people []int // those first whom straight-party votes do not fill: else the two may make up for each other
	for j, p := range c.person {
		if p == j {
			people = append(people, j)
		}
	}
	if c.filled != nil {
		slices.SortStableFunc(people, func(x, y int) int { return c.filled[x] - c.filled[y] })
	}
	if len(people) <= most {
		return nil
	}
	var marks []Mark
	for _, j := range people[:most+1] {
		marks = append(marks, Mark{c.index, j, 1})
	}
	return marks
}

// hidesOver reports whether the over-vote marks those whom straight-party votes fill, each as often.
func (c *designed) hidesOver() bool {
	if c.filled == nil {
		return false
	}
	left := slices.Clone(c.filled)
	for _, m := range c.over {
		left[m.Choice]--
	}
	return !slices.ContainsFunc(left, func(n int) bool { return n != 0 })
}

// choose looks for votes that all differ and have the same strongest position with what straight-party
// votes add, and that are not those of another contest, which used knows. So many answers are left out
// from the start.
func (c *designed) choose(r *rand.Rand, skip int, used func() bool) {
	t := newTotals(c.person, c.filled, r)
	for range skip {
		t.next()
	}
	for range answersTried {
		c.votes = t.next()
		c.raise()
		if counted := c.counted(); distinct(counted) && top(counted) == top(c.votes) && !used() {
			break
		}
	}
	c.fill()
}

// inFull is how many ballots of a set are marked in full, or for all people where they are fewer. They
// come first.
func (c *designed) inFull() int {
	full := c.voteFor
	if c.method == nOfM {
		full = min(full, c.people())
	}
	for i, marks := range c.ballots {
		votes := 0
		for _, m := range marks {
			votes += m.Votes
		}
		if c.method != ranked && votes < full {
			return i
		}
	}
	return len(c.ballots)
}

// answersTried bounds the search for votes: thousands of contests on one ballot are no ballot.
const answersTried = 2000

// counted are the votes with those of straight-party votes.
func (c *designed) counted() []int {
	out := slices.Clone(c.votes)
	for j, v := range c.filled {
		out[j] += v
	}
	return out
}

func distinct(votes []int) bool {
	sorted := slices.Sorted(slices.Values(votes))
	return len(slices.Compact(sorted)) == len(votes)
}
