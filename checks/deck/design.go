package deck

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"counterproof/model"
)

// Options are for whom a deck is designed, and how its ballots are counted.
type Options struct {
	// Precincts and Styles are indexes into the election's lists: the deck is for these alone. Nil
	// for all. A unit's deck is for the precincts in its card header.
	Precincts, Styles []int
	// EachUnit makes the part of each voting unit, the ballots of the precincts in its card header, a
	// deck by itself: for machines that are fed only those.
	EachUnit bool
	// Seed gives another deck of the same quality; the same seed gives the same deck.
	Seed uint64
	// Rules are those by which the deck will be counted.
	Rules Rules
}

// Design is a designed deck, how near it comes to the fewest ballots, and what it cannot do.
type Design struct {
	Deck   Deck
	Styles []StyleDesign
	Limits []Limit
}

// StyleDesign says how many ballots a style has in a deck, or in the part of the same units.
type StyleDesign struct {
	Style int
	// Ballots are those of the deck, Precincts those that get at least one.
	Ballots, Precincts int
	// Least is how many ballots any deck needs in which the totals of all positions differ, and
	// Contest the one that needs most; -1 where no contest is counted. k positions take at least
	// k(k+1)/2 votes, and a ballot gives vote-for of them.
	Least, Contest int
}

// Limit is what no deck can do in a contest, and why, as a sentence.
type Limit struct {
	Contest int
	Why     string
}

// The largest contest for which a deck is designed, and the largest deck. Both are far beyond what
// people mark by hand (from memory: 135 candidates in California's recall of 2003).
const (
	mostPositions = 150
	mostMarks     = 25_000_000
)

// Make designs a deck. In each contest of each style every position is marked, the totals of any two
// positions differ, and there is an over-vote; each style has a blank ballot and one that is marked
// in full; each precinct has a ballot of each of its styles, and no two precincts count the same.
// Make does not shrink what it found: it is greedy. An error says that there is nothing to design for, or
// that the deck would be too large.
func Make(e *model.Election, options Options) (*Design, error) {
	d, err := design(e, options, nil)
	if err != nil {
		return nil, err
	}
	key, err := Count(e, &d.Deck, options.Rules)
	if err != nil || len(key.Left) == 0 {
		return d, err
	}
	left := map[int]string{} // what tells nothing must tell no precincts apart either
	for _, l := range key.Left {
		left[l.Contest] = l.Why
	}
	return design(e, options, left)
}

// design designs a deck. Contests that are left are not marked.
func design(e *model.Election, options Options, left map[int]string) (*Design, error) {
	d := &designer{e: e, left: left, options: options, contests: make([]*designed, len(e.Contests)),
		used: map[uint64]bool{0: true}, usedPrecincts: map[uint64]bool{0: true}, sums: map[int]uint64{}}
	if err := d.scope(); err != nil {
		return nil, err
	}
	d.nominate()
	if err := d.addStraight(); err != nil {
		return nil, err
	}
	d.chooseTotals()
	for i := range d.styles {
		if err := d.style(&d.styles[i]); err != nil {
			return nil, err
		}
	}
	return d.design(), nil
}

// designer is the work of Make.
type designer struct {
	e        *model.Election
	options  Options
	left     map[int]string
	counting *counting
	contests []*designed // nil where it is on no ballot, or not counted
	styles   []styleScope
	limits   []Limit
	// beside is how many ballots for a party are marked in full elsewhere.
	beside  int
	ballots []Ballot
	reports []StyleDesign
	marks   int
	// used are the counts of a precinct on one style, as sums of numbers that stand for one vote
	// each; usedPrecincts those of a precinct on all its styles; sums those of a precinct so far.
	used, usedPrecincts map[uint64]bool
	sums                map[int]uint64
}

// styleScope is a style of the design.
type styleScope struct {
	style     int
	precincts []int
	contests  []int        // each once, in ballot order
	last      map[int]bool // precincts that have no later style in the design
}

// scope finds the styles and precincts of the design.
func (d *designer) scope() error {
	precincts, styles := setOf(d.options.Precincts), setOf(d.options.Styles)
	last := map[int]int{} // the last style of each precinct
	units := d.units()
	for s := range d.e.Styles {
		if styles != nil && !styles[s] {
			continue
		}
		var contests []int
		seen := map[int]bool{}
		for _, at := range d.e.Styles[s].Content {
			if !seen[at.Contest] {
				seen[at.Contest] = true
				contests = append(contests, at.Contest)
			}
		}
		parts := map[string]int{} // in d.styles, by units
		for _, p := range d.e.Styles[s].Precincts {
			if len(contests) == 0 || precincts != nil && !precincts[p] {
				continue
			}
			i, ok := parts[units[p]]
			if !ok {
				i = len(d.styles)
				parts[units[p]] = i
				d.styles = append(d.styles, styleScope{style: s, contests: contests, last: map[int]bool{}})
			}
			d.styles[i].precincts = append(d.styles[i].precincts, p)
			last[p] = i
		}
	}
	for p, i := range last {
		d.styles[i].last[p] = true
	}
	if len(d.styles) == 0 {
		return fmt.Errorf("no precinct here gets a ballot; key the ballots, or choose another unit, precinct or style")
	}
	return nil
}

// units are those that are fed the ballots of each precinct, where the deck is to have a part for each
// unit. Precincts of the same units share a part, which is a deck by itself: so is what several parts
// make together, as positions have one order of strength.
func (d *designer) units() map[int]string {
	units := map[int]string{}
	if d.options.EachUnit {
		for u := range d.e.Units {
			for _, p := range d.e.Units[u].Precincts.Value {
				units[p] += fmt.Sprint(u, " ")
			}
		}
	}
	return units
}

func setOf(list []int) map[int]bool {
	if list == nil {
		return nil
	}
	set := map[int]bool{}
	for _, x := range list {
		set[x] = true
	}
	return set
}

// nominate finds the contests of the design, and what cannot be met in them.
func (d *designer) nominate() {
	d.counting = newCounting(d.e, d.options.Rules)
	seen := make([]bool, len(d.e.Contests))
	for _, s := range d.styles {
		for _, c := range s.contests {
			seen[c] = true
		}
	}
	for c := range d.e.Contests {
		if !seen[c] {
			continue
		}
		of := &designed{contest: d.counting.contests[c], index: c}
		if why, ok := d.left[c]; ok {
			of.method, of.left = unknown, why
		}
		switch {
		case of.method == unknown:
			d.limits = append(d.limits, Limit{c, "It is not counted, and not marked: " + of.left + "."})
			continue
		case len(of.person) > mostPositions:
			why := fmt.Sprintf("It is not marked: it has %d positions, more than the %d for which a deck is designed.",
				len(of.person), mostPositions)
			d.limits = append(d.limits, Limit{c, why})
			continue
		}
		d.contests[c] = of
	}
}

// chooseTotals gives each contest its totals: other ones than those of the contests of as many
// positions beside which it stands on a ballot, so that an exchange of two contests shows.
func (d *designer) chooseTotals() {
	on := make([][]int, len(d.contests)) // styles in d.styles
	for i, s := range d.styles {
		for _, c := range s.contests {
			on[c] = append(on[c], i)
		}
	}
	used := make([]map[uint64]bool, len(d.styles))
	alike := make([]map[int]int, len(d.styles)) // contests by number of positions
	for i := range used {
		used[i], alike[i] = map[uint64]bool{}, map[int]int{}
	}
	use := func(of *designed) {
		for _, i := range on[of.index] {
			used[i][keyOf(of.votes)], used[i][keyOf(of.counted())] = true, true
		}
		d.say(of)
	}
	for _, of := range d.contests {
		if of != nil && of.straight != nil {
			use(of)
		}
	}
	for c, of := range d.contests {
		if of == nil || of.straight != nil {
			continue
		}
		skip := 0
		for _, i := range on[c] {
			skip = max(skip, alike[i][len(of.person)])
			alike[i][len(of.person)]++
		}
		of.choose(rand.New(rand.NewPCG(d.options.Seed, uint64(len(of.person)))), skip, func() bool {
			marked, counted := keyOf(of.votes), keyOf(of.counted())
			if slices.ContainsFunc(on[c], func(i int) bool { return used[i][marked] || used[i][counted] }) {
				return true
			}
			of.fill()
			return !d.sees(&d.styles[on[c][0]], of.ballots, []int{c})
		})
		use(of)
	}
}

// random is a source of order for one thing of the design.
func (d *designer) random(of int) *rand.Rand {
	return rand.New(rand.NewPCG(d.options.Seed, 1<<32+uint64(of)))
}

// say notes what no deck can do in a contest.
func (d *designer) say(c *designed) {
	switch {
	case len(c.person) == 1:
		d.limits = append(d.limits, Limit{c.index, "It has one position alone: nothing can be exchanged there, and no " +
			"ballot can be over-voted."})
	case c.over == nil:
		why := fmt.Sprintf("No ballot can be over-voted: one may vote for %d, and there are %d to vote for.", c.voteFor,
			c.people())
		d.limits = append(d.limits, Limit{c.index, why})
	}
}

// keyOf is a number for votes in order; other votes have another but for one case in 2^64.
func keyOf(votes []int) uint64 {
	h := uint64(len(votes))
	for j, v := range votes {
		h += uint64(v) * mix(uint64(j)+1)
	}
	return h
}

// mix spreads the bits of a number (SplitMix64, Steele, Lea and Flood 2014).
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// design numbers the ballots, precinct by precinct.
func (d *designer) design() *Design {
	slices.SortStableFunc(d.ballots, func(x, y Ballot) int { return x.Precinct - y.Precinct })
	for i := range d.ballots {
		d.ballots[i].Number = i + 1
	}
	slices.SortStableFunc(d.limits, func(x, y Limit) int { return x.Contest - y.Contest })
	return &Design{Deck: Deck{Ballots: d.ballots}, Styles: d.reports, Limits: d.limits}
}
