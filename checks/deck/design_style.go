package deck

import (
	"fmt"
	"math/rand/v2"
	"slices"
)

// slot is a ballot that is not marked yet: for the contests of one primary, or of all; or for a
// straight-party vote.
type slot struct {
	primary  int // -1 for nobody's
	straight bool
}

// layout is which slots a style has, and which of its contests may be marked where.
type layout struct {
	of    *styleScope
	open  bool // holds the contests of several primaries
	slots []slot
	// must and may are the slots in which each contest of the style is marked on any account, with the
	// first ballots of its set, and those in which it may be.
	must, may [][]int
}

// style designs the ballots of a style, and gives them to its precincts.
func (d *designer) style(of *styleScope) error {
	l := d.layout(of)
	r := d.random(of.style)
	before := len(d.ballots)
	pool := &pool{deal: func() [][]Mark { return d.deal(l, r) }, votes: len(l.slots) > 0}
	pool.ballots = append(pool.deal(), d.extras(l)...)
	if err := d.give(of, pool); err != nil {
		return err
	}
	report := StyleDesign{Style: of.style, Ballots: len(d.ballots) - before, Precincts: len(of.precincts)}
	report.Least, report.Contest = d.least(l)
	d.reports = append(d.reports, report)
	return nil
}

// layout finds the slots: as many as the longest contest of each primary needs, and those of
// straight-party votes.
func (d *designer) layout(of *styleScope) *layout {
	l := &layout{of: of, must: make([][]int, len(of.contests)), may: make([][]int, len(of.contests))}
	need := map[int]int{}
	var primaries []int
	alone, common := 0, 0
	for _, c := range of.contests {
		x := d.contests[c]
		if x == nil {
			continue
		}
		alone = max(alone, x.alone)
		if x.primary < 0 {
			common = max(common, len(x.ballots)-x.alone)
			continue
		}
		if need[x.primary] == 0 {
			primaries = append(primaries, x.primary)
		}
		need[x.primary] = max(need[x.primary], len(x.ballots))
	}
	l.open = len(primaries) > 1
	for _, p := range primaries {
		for range need[p] {
			l.slots = append(l.slots, slot{primary: p})
		}
	}
	for len(l.slots) < common {
		l.slots = append(l.slots, slot{primary: -1})
	}
	for range alone {
		l.slots = append(l.slots, slot{primary: -1, straight: true})
	}
	for i, c := range of.contests {
		if x := d.contests[c]; x != nil {
			d.place(l, i, x)
		}
	}
	return l
}

// place finds the slots of a contest. The first of its primary, or of all, is marked in full; so are
// the first slots of a straight-party contest, in it and in the contests in which its votes could
// count; and those for one party alone in contests that they would leave uncounted.
func (d *designer) place(l *layout, i int, c *designed) {
	first := 1
	switch {
	case c.straight != nil:
		first = len(c.ballots) - c.alone
	case c.full > 0:
		first = max(1, d.beside)
	}
	for at, s := range l.slots {
		switch {
		case s.straight && c.never, !s.straight && l.admits(c, s) && first > 0:
			l.must[i] = append(l.must[i], at)
			first--
		case s.straight == (c.straight != nil) && l.admits(c, s):
			l.may[i] = append(l.may[i], at)
		}
	}
}

// admits reports whether a contest may be marked beside those of a primary.
func (l *layout) admits(c *designed, s slot) bool {
	return !l.open || c.primary < 0 || s.primary == c.primary
}

// deal marks the slots once: each contest in other ones of its slots, but that one ballot is marked
// in full wherever it may be.
func (d *designer) deal(l *layout, r *rand.Rand) [][]Mark {
	out := make([][]Mark, len(l.slots))
	for i, c := range l.of.contests {
		if d.contests[c] == nil {
			continue
		}
		must, may, ballots := l.must[i], slices.Clone(l.may[i]), slices.Clone(d.contests[c].ballots)
		r.Shuffle(len(may), func(x, y int) { may[x], may[y] = may[y], may[x] })
		r.Shuffle(min(len(must), len(ballots)), func(x, y int) { ballots[x], ballots[y] = ballots[y], ballots[x] })
		for at, slot := range append(slices.Clip(must), may...)[:len(ballots)] {
			out[slot] = append(out[slot], ballots[at]...)
		}
	}
	return out
}

// extras are the over-voted ballot (one for each party of an open primary), one with marks in the
// contests of two parties, and a blank one.
func (d *designer) extras(l *layout) [][]Mark {
	var out [][]Mark
	at := map[int]int{} // the over-voted ballot of each party
	var crossed []Mark
	parties := map[int]bool{}
	for _, c := range l.of.contests {
		x := d.contests[c]
		if x == nil {
			continue
		}
		primary := -1
		if l.open && x.primary >= 0 {
			primary = x.primary
			if !parties[primary] && len(parties) < 2 && d.options.Rules.OpenPrimary != EachContest {
				parties[primary] = true
				crossed = append(crossed, Mark{c, top(x.votes), 1})
			}
		}
		if x.over == nil {
			continue
		}
		if _, ok := at[primary]; !ok {
			at[primary] = len(out)
			out = append(out, nil)
		}
		out[at[primary]] = append(out[at[primary]], x.over...)
	}
	if len(crossed) > 1 {
		out = append(out, crossed)
	}
	return append(out, nil)
}

func top(votes []int) int {
	best := 0
	for j, v := range votes {
		if v > votes[best] {
			best = j
		}
	}
	return best
}

// least is how many ballots any deck needs on this style: in an open primary as many as all parties
// need together.
func (d *designer) least(l *layout) (ballots, contest int) {
	need := map[int]int{}
	ballots, contest = 0, -1
	for _, c := range l.of.contests {
		x := d.contests[c]
		if x == nil {
			continue
		}
		n := x.least()
		if contest < 0 || n > d.contests[contest].least() {
			contest = c
		}
		primary := -1
		if l.open {
			primary = x.primary
		}
		need[primary] = max(need[primary], n)
	}
	for primary, n := range need {
		if primary >= 0 {
			ballots += n
		}
	}
	return max(ballots, need[-1]), contest
}

// pool is the ballots of a style that no precinct has yet.
type pool struct {
	ballots [][]Mark
	deal    func() [][]Mark
	votes   bool // false where no contest is counted: then ballots are blank
}

func (p *pool) next() []Mark {
	if len(p.ballots) == 0 && !p.votes {
		return nil
	}
	if len(p.ballots) == 0 {
		p.ballots = p.deal()
	}
	b := p.ballots[0]
	p.ballots = p.ballots[1:]
	return b
}

// give gives each precinct its share, and more until no other precinct counts the same. The pool
// deals whole sets alone, so that totals keep their proportions; the last precinct gets what is left.
func (d *designer) give(of *styleScope, p *pool) error {
	share := max(1, len(p.ballots)/len(of.precincts))
	for i, precinct := range of.precincts {
		var sum uint64
		take := func() error {
			marks := p.next()
			sum += d.sum(marks)
			if d.marks += max(1, len(marks)); d.marks > mostMarks {
				return fmt.Errorf("the deck would have more than %d marks; design it for a unit, a precinct or a style", mostMarks)
			}
			d.ballots = append(d.ballots, Ballot{Precinct: precinct, Style: of.style, Marks: marks})
			return nil
		}
		last := i == len(of.precincts)-1
		for n := 0; n < share || last && len(p.ballots) > 0 || p.votes && d.taken(of, precinct, sum); n++ {
			if err := take(); err != nil {
				return err
			}
		}
		d.used[sum] = true
		d.sums[precinct] += sum
		if of.last[precinct] {
			d.usedPrecincts[d.sums[precinct]] = true
		}
	}
	return nil
}

// taken reports whether another precinct counts the same.
func (d *designer) taken(of *styleScope, precinct int, sum uint64) bool {
	return d.used[sum] || of.last[precinct] && d.usedPrecincts[d.sums[precinct]+sum]
}

// sum stands for what a ballot counts for whom: the sums of two precincts are equal where they count
// the same, and else but for one case in 2^64.
func (d *designer) sum(marks []Mark) uint64 {
	var h uint64
	primaries := map[int]bool{}
	for from := 0; from < len(marks); {
		c := d.contests[marks[from].Contest]
		to := from
		for to < len(marks) && marks[to].Contest == c.index {
			to++
		}
		if c.primary >= 0 {
			primaries[c.primary] = true
		}
		h += c.sum(marks[from:to])
		from = to
	}
	if len(primaries) > 1 { // the marks of several parties, which count for nobody
		return 0
	}
	return h
}

// sum stands for the votes that marks in this contest are: 0 for an over-vote.
func (c *designed) sum(marks []Mark) uint64 {
	var h uint64
	votes := 0
	for _, m := range marks {
		n := uint64(m.Votes)
		switch {
		case c.method != ranked:
			votes += m.Votes
		case m.Votes == 1:
			votes += c.voteFor
			n = mix(n)
		default:
			n = mix(n)
		}
		h += n * mix(uint64(m.Contest)<<32+uint64(m.Choice))
	}
	if votes > c.voteFor {
		return 0
	}
	return h
}
