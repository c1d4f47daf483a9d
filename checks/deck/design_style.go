package deck

import (
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
	p := &pool{designer: d, layout: l, rand: r, more: make([]int, len(of.contests))}
	for _, c := range of.contests {
		p.counts = append(p.counts, d.counting.contests[c].tally(c))
	}
	for range dealsTried {
		p.left, p.sets = nil, 0
		if p.deal(); !d.fillsMarked() || d.sees(of, p.left, of.contests) {
			break
		}
	}
	p.left = append(p.left, d.extras(l)...)
	if err := p.give(); err != nil {
		return err
	}
	report := StyleDesign{Style: of.style, Ballots: len(d.ballots) - before, Precincts: len(of.precincts)}
	report.Least, report.Contest = d.least(l)
	d.reports = append(d.reports, report)
	return nil
}

// dealsTried is how many sets are tried where marks of straight parties and of people on several lines
// make up for each other.
const dealsTried = 20

// fillsMarked reports whether a straight-party mark may add to marks in a contest: then it matters which
// of its ballots are marked for a party.
func (d *designer) fillsMarked() bool {
	r := d.options.Rules.StraightParty
	return d.beside > 0 && (r == "" || r == FillRemaining)
}

// sees reports whether every exchange of two positions shows on these ballots, in those of the contests
// in which an exchange of marks may do more than exchange votes: for several votes, with people on
// several lines. In others the totals say so.
func (d *designer) sees(of *styleScope, ballots [][]Mark, contests []int) bool {
	l := &linter{e: d.e, rules: d.options.Rules, deck: &Deck{}, counting: d.counting, only: map[int]bool{}, work: mostWork}
	for _, c := range contests {
		if x := d.contests[c]; x != nil && x.method == nOfM && x.voteFor > 1 && x.severalLines() {
			l.only[c] = true
		}
	}
	if len(l.only) == 0 {
		return true
	}
	for _, marks := range ballots {
		l.deck.Ballots = append(l.deck.Ballots, Ballot{Precinct: of.precincts[0], Style: of.style, Marks: marks})
	}
	l.collect()
	for c := range l.only {
		for i := range l.cells[c] {
			if s := &l.cells[c][i]; s.mixed && len(l.sameMarks(c, s)) > 0 {
				return false
			}
		}
	}
	return true
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
	type turn struct {
		slots   []int
		ballots [][]Mark
	}
	turns := make([]turn, len(l.of.contests))
	size := make([]int, len(l.slots))
	for i, c := range l.of.contests {
		if d.contests[c] == nil {
			continue
		}
		must, may, ballots := l.must[i], slices.Clone(l.may[i]), slices.Clone(d.contests[c].ballots)
		r.Shuffle(len(may), func(x, y int) { may[x], may[y] = may[y], may[x] })
		r.Shuffle(min(len(must), len(ballots)), func(x, y int) { ballots[x], ballots[y] = ballots[y], ballots[x] })
		turns[i] = turn{append(slices.Clip(must), may...)[:len(ballots)], ballots}
		for at, slot := range turns[i].slots {
			size[slot] += len(ballots[at])
		}
	}
	out := make([][]Mark, len(l.slots))
	for slot, n := range size { // decks are large: no room is left over
		out[slot] = make([]Mark, 0, n)
	}
	for _, t := range turns {
		for at, slot := range t.slots {
			out[slot] = append(out[slot], t.ballots[at]...)
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
	var again []Mark // where a vote-for one higher would lose what it gains
	for _, c := range l.of.contests {
		if x := d.contests[c]; x != nil && x.over != nil && x.hidesOver() {
			again = append(again, x.over...)
		}
	}
	if again != nil {
		out = append(out, again)
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
