package deck

import (
	"fmt"
	"math/rand/v2"
)

// pool is the ballots of a style that no precinct has yet.
type pool struct {
	*designer
	layout *layout
	rand   *rand.Rand
	left   [][]Mark
	counts []Tally // of one ballot
	sets   int     // that were dealt
	more   []int   // votes beside those of the sets, for the strongest position of each contest
}

// deal adds a whole set of ballots.
func (p *pool) deal() {
	p.left = append(p.left, p.designer.deal(p.layout, p.rand)...)
	p.sets++
}

// next takes a ballot. The pool deals whole sets alone, so that totals keep their order.
func (p *pool) next() []Mark {
	if len(p.left) == 0 {
		p.deal()
	}
	marks := p.left[0]
	p.left = p.left[1:]
	return marks
}

// give gives each precinct of the style its share, and more until no other precinct counts the same.
// The last precinct gets what is left, and then ballots made for it.
func (p *pool) give() error {
	of := p.layout.of
	if len(p.layout.slots) == 0 { // nothing is counted: blank ballots, all alike
		for _, precinct := range of.precincts {
			if err := p.add(precinct, nil); err != nil {
				return err
			}
		}
		return nil
	}
	share := max(1, len(p.left)/len(of.precincts))
	for i, precinct := range of.precincts {
		var sum uint64
		last := i == len(of.precincts)-1
		for n := 0; n < share || last && len(p.left) > 0 || p.taken(of, precinct, sum); n++ {
			var marks []Mark
			if last && len(p.left) == 0 {
				marks = p.tuning()
			}
			if marks == nil {
				marks = p.next()
			}
			sum += p.sum(marks)
			if err := p.add(precinct, marks); err != nil {
				return err
			}
		}
		p.used[sum] = true
		p.sums[precinct] += sum
		if of.last[precinct] {
			p.usedPrecincts[p.sums[precinct]] = true
		}
	}
	return nil
}

// add puts a ballot into the deck.
func (p *pool) add(precinct int, marks []Mark) error {
	if p.marks += max(1, len(marks)); p.marks > mostMarks {
		return fmt.Errorf("the deck would have more than %d marks; design it for a unit, a precinct or a style", mostMarks)
	}
	p.ballots = append(p.ballots, Ballot{Precinct: precinct, Style: p.layout.of.style, Marks: marks})
	return nil
}

// taken reports whether another precinct counts the same.
func (d *designer) taken(of *styleScope, precinct int, sum uint64) bool {
	return d.used[sum] || of.last[precinct] && d.usedPrecincts[d.sums[precinct]+sum]
}

// tuning is a ballot that tells a precinct from others of the same totals: it votes for the strongest
// position in some contests. So positions keep their order, and no two contests get the same totals. It
// is nil where none was found.
func (p *pool) tuning() []Mark {
	for range tuningsTried {
		var marks []Mark
		at := p.layout.slots[p.rand.IntN(len(p.layout.slots))]
		var in []int
		for i, c := range p.layout.of.contests {
			x := p.contests[c]
			if x != nil && x.straight == nil && p.layout.admits(x, at) && p.rand.IntN(2) == 0 {
				marks = append(marks, Mark{c, top(x.votes), 1})
				in = append(in, i)
				p.more[i]++
			}
		}
		if len(marks) > 0 && p.unlike() {
			return marks
		}
		for _, i := range in {
			p.more[i]--
		}
	}
	return nil
}

// tuningsTried bounds the search for a ballot.
const tuningsTried = 50

// unlike reports whether all contests of the style have other totals, with and without straight-party
// votes.
func (p *pool) unlike() bool {
	seen := map[uint64]bool{}
	for i, c := range p.layout.of.contests {
		x := p.contests[c]
		if x == nil {
			continue
		}
		key := func(votes []int) uint64 {
			out := make([]int, len(votes))
			for j, v := range votes {
				out[j] = v * p.sets
			}
			out[top(x.votes)] += p.more[i]
			return keyOf(out)
		}
		marked, counted := key(x.votes), key(x.counted())
		if seen[marked] || seen[counted] {
			return false
		}
		seen[marked], seen[counted] = true, true
	}
	return true
}

// sum stands for what a ballot counts for whom: the sums of two precincts are equal where they count
// the same, and else but for one case in 2^64.
func (p *pool) sum(marks []Mark) uint64 {
	for i := range p.counts {
		t := &p.counts[i]
		clear(t.Votes)
		for _, r := range t.Ranks {
			clear(r)
		}
	}
	p.counting.ballot(&Ballot{Style: p.layout.of.style, Marks: marks}, p.counts)
	var h uint64
	for i := range p.counts {
		t := &p.counts[i]
		for j := range t.Votes {
			h += (&view{ballots: 1}).choiceSums(t, j).total * mix(uint64(t.Contest)<<32+uint64(j))
		}
	}
	return h
}
