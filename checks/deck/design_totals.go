package deck

import (
	"math/rand/v2"
	"slices"
)

// totals gives the positions of a contest votes that all differ. The first answers take the fewest
// votes: 1 to k for k positions, in each order. Further ones take more, one at a time, and no answer
// comes twice.
//
// Every style of a contest gets a multiple of the same votes. Then no exchange or rotation of
// positions, on whichever styles, leaves the contest's totals as they are: by the rearrangement
// inequality, the product of the votes with any other order of themselves is less than with their own.
type totals struct {
	start []int // the order that the answers begin with
	more  int   // votes beyond the fewest
	sets  [][]int
	set   int // in sets
	order int // which order of the set
}

// ordersTried is how many orders of one set of votes are used at most.
const ordersTried = 5040

// newTotals begins with an order in which those positions have more votes that get more in other ways
// (nil for none), so that their sums differ too. Else the lines of one person share strong and weak
// places: nobody can be marked on more ballots than there are.
func newTotals(person, others []int, r *rand.Rand) *totals {
	start := byTurns(person, r)
	if others != nil {
		slices.SortStableFunc(start, func(x, y int) int { return others[x] - others[y] })
	}
	return &totals{start: start, sets: [][]int{nil}}
}

// byTurns puts positions in an order in which people take turns, every second turn backwards.
func byTurns(person []int, r *rand.Rand) []int {
	lines := map[int][]int{}
	var people []int
	for _, j := range r.Perm(len(person)) {
		if lines[person[j]] == nil {
			people = append(people, person[j])
		}
		lines[person[j]] = append(lines[person[j]], j)
	}
	var order []int
	for turn := 0; len(order) < len(person); turn++ {
		for _, p := range people {
			if turn < len(lines[p]) {
				order = append(order, lines[p][turn])
			}
		}
		slices.Reverse(people)
	}
	return order
}

// next returns the next answer: the votes of each position.
func (t *totals) next() []int {
	k := len(t.start)
	if t.order == ordersTried || t.order == factorial(k) {
		t.order = 0
		t.set++
	}
	for t.set == len(t.sets) {
		t.more++
		t.set, t.sets = 0, partitions(t.more, k)
	}
	votes := make([]int, k)
	for i, at := range permutation(t.order, k) {
		votes[t.start[at]] = i + 1
		if extra := t.sets[t.set]; i >= k-len(extra) { // the most goes to the highest, so that all differ
			votes[t.start[at]] += extra[k-1-i]
		}
	}
	t.order++
	return votes
}

// factorial of n, at most ordersTried.
func factorial(n int) int {
	f := 1
	for i := 2; i <= n && f < ordersTried; i++ {
		f *= i
	}
	return min(f, ordersTried)
}

// permutation is the n-th order of k things; those of small numbers differ in the last things alone.
func permutation(n, k int) []int {
	left := make([]int, k)
	for i := range left {
		left[i] = i
	}
	for i := 0; i < k; i++ {
		at := 0
		if k-i <= 8 { // 8! is more than ordersTried
			f := 1
			for j := 2; j < k-i; j++ {
				f *= j
			}
			at = n / f
			n %= f
		}
		x := left[i+at]
		copy(left[i+1:i+at+1], left[i:i+at])
		left[i] = x
	}
	return left
}

// partitions are the ways to write n as a sum of at most so many numbers, each way with the largest first.
func partitions(n, parts int) [][]int {
	var out [][]int
	var grow func(head []int, left, largest int)
	grow = func(head []int, left, largest int) {
		if left == 0 {
			out = append(out, slices.Clone(head))
			return
		}
		if len(head) == parts {
			return
		}
		for x := min(left, largest); x > 0 && len(out) < ordersTried; x-- {
			grow(append(head, x), left-x, x)
		}
	}
	grow(nil, n, n)
	return out
}
