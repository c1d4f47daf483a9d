package deck

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"counterproof/model"
	"counterproof/model/results"
)

// Count counts a deck by what the second entry states, as README.md says. Contests that cannot be
// counted are in Key.Left. The tallies come by precinct, style and place on the ballot, those alone
// that a ballot of the deck holds; each is of the whole deck (OfUnit gives those of a unit). Count
// takes time in proportion to the ballots with their contests. It is an error if the deck is another
// election's, or too large (mostCounts, mostContests).
func Count(e *model.Election, d *Deck, rules Rules) (*Key, error) {
	if err := rules.check(); err != nil {
		return nil, err
	}
	n := newCounting(e, rules)
	for i := range d.Ballots {
		b := &d.Ballots[i]
		if err := n.belongs(b); err != nil {
			return nil, err
		}
		n.held += len(n.face(b.Style).contests)
	}
	for i := range d.Ballots {
		b := &d.Ballots[i]
		if n.held > mostContests {
			return nil, errTooLarge
		}
		tallies, err := n.tallies(block{b.Precinct, b.Style})
		if err != nil {
			return nil, err
		}
		n.ballot(b, tallies)
	}
	return n.key(), nil
}

// mostCounts is how many counts a key has at most, so that its rows can be written and read again,
// mostContests how many contests all ballots hold together. A key of 5,000 precincts with 30 contests
// has some 2 million, and its deck some 6 million contests.
const (
	mostCounts   = results.MaxRows
	mostContests = 1 << 30
)

// others is how many things besides votes a tally counts: ballots, overvotes …
const others = 5

var errTooLarge = errors.New("the deck is too large for one answer key; count the ballots of fewer precincts at a time")

// counting is the work of Count.
type counting struct {
	e        *model.Election
	rules    Rules
	contests []contest
	faces    map[int]*face // by style
	blocks   map[block][]Tally
	// counts are those of the key so far, held the contests on all ballots, and the choices that
	// straight-party marks were looked for in.
	counts, held int
	// seen is, for each choice of the contest that is counted, the last time that its person was marked.
	seen []int
	now  int
}

// block is the tallies of the ballots of one style in one precinct.
type block struct{ precinct, style int }

// contest is what counting needs of a contest.
type contest struct {
	method  method
	voteFor int
	// person is the first choice of each choice's person.
	person []int
	// straight is set for a straight-party contest: the party of each choice, -1 where it was not keyed.
	straight []int
	// primary numbers the party whose primary it is, -1 for no party's.
	primary int
	// on is true where a ballot of the deck holds it; left says why it is not counted.
	on   bool
	left string
}

func newCounting(e *model.Election, rules Rules) *counting {
	n := &counting{e: e, rules: rules, contests: make([]contest, len(e.Contests)), faces: map[int]*face{},
		blocks: map[block][]Tally{}}
	primaries := map[string]int{}
	most := 0
	for c := range e.Contests {
		of := &e.Contests[c]
		k := &n.contests[c]
		k.method, k.left = methodOf(of)
		k.voteFor, k.person, k.primary = voteFor(of), persons(of), -1
		if of.Kind.Value == model.KindParty {
			k.straight = straightParties(e, of)
		}
		if parties := slices.Sorted(slices.Values(of.PrimaryParties.Value)); len(parties) > 0 {
			name := fmt.Sprint(parties)
			if _, ok := primaries[name]; !ok {
				primaries[name] = len(primaries)
			}
			k.primary = primaries[name]
		}
		most = max(most, len(of.Choices))
	}
	n.seen = make([]int, most)
	return n
}

// persons are, for each choice, the first choice of the same person.
func persons(c *model.Contest) []int {
	out := make([]int, len(c.Choices))
	first := map[string]int{}
	for j := range c.Choices {
		out[j] = j
		person := c.Choices[j].Person
		if person == "" || c.Choices[j].WriteIn {
			continue
		}
		if _, ok := first[person]; !ok {
			first[person] = j
		}
		out[j] = first[person]
	}
	return out
}

// severalLines reports whether a person has several positions.
func (c *contest) severalLines() bool { return c.people() < len(c.person) }

// people is how many different people, or other choices, there are to mark.
func (c *contest) people() int {
	n := 0
	for j, p := range c.person {
		if p == j {
			n++
		}
	}
	return n
}

// tally is an empty one of a contest.
func (c *contest) tally(of int) Tally {
	t := Tally{Contest: of, Votes: make([]int, len(c.person))}
	for rank := 2; c.method == ranked && rank <= c.voteFor; rank++ {
		t.Ranks = append(t.Ranks, make([]int, len(c.person)))
	}
	return t
}

// face is a style: its contests, each once, and where each is among them.
type face struct {
	contests []int
	at       map[int]int
	// straight are the places of straight-party contests; open is true where it holds the primary
	// contests of several parties.
	straight []int
	open     bool
	// marks are those of the ballot that is counted, by place.
	marks [][]Mark
}

func (n *counting) face(style int) *face {
	if f := n.faces[style]; f != nil {
		return f
	}
	f := &face{at: map[int]int{}}
	primary := -1
	for _, p := range n.e.Styles[style].Content {
		if _, twice := f.at[p.Contest]; twice {
			continue
		}
		k := &n.contests[p.Contest]
		if k.straight != nil {
			f.straight = append(f.straight, len(f.contests))
		}
		f.open = f.open || k.primary >= 0 && primary >= 0 && k.primary != primary
		primary = max(primary, k.primary)
		f.at[p.Contest] = len(f.contests)
		f.contests = append(f.contests, p.Contest)
	}
	f.marks = make([][]Mark, len(f.contests))
	n.faces[style] = f
	return f
}

// belongs says why a ballot cannot be one of this election.
func (n *counting) belongs(b *Ballot) error {
	if b.Precinct < 0 || b.Precinct >= len(n.e.Precincts) || b.Style < 0 || b.Style >= len(n.e.Styles) {
		return fmt.Errorf("ballot %d of the deck is of another election; make the deck of this second entry", b.Number)
	}
	f := n.face(b.Style)
	for _, m := range b.Marks {
		_, on := f.at[m.Contest]
		if !on || m.Choice < 0 || m.Choice >= len(n.e.Contests[m.Contest].Choices) || m.Votes < 1 ||
			n.contests[m.Contest].method == ranked && m.Votes > n.contests[m.Contest].voteFor {
			return fmt.Errorf("ballot %d of the deck has a mark that its style has no place for; make the deck of this "+
				"second entry", b.Number)
		}
	}
	return nil
}

// tallies are those of a block, made when its first ballot comes.
func (n *counting) tallies(of block) ([]Tally, error) {
	tallies, ok := n.blocks[of]
	if ok {
		return tallies, nil
	}
	f := n.face(of.style)
	need := 0
	for _, c := range f.contests {
		need += n.contests[c].counts()
	}
	if n.counts += need + others*len(f.contests); n.counts > mostCounts {
		return nil, errTooLarge
	}
	tallies = make([]Tally, len(f.contests))
	room := make([]int, need)
	take := func(k int) (part []int) {
		part, room = room[:k:k], room[k:]
		return part
	}
	for i, c := range f.contests {
		k := &n.contests[c]
		k.on = true
		tallies[i] = Tally{Unit: -1, Precinct: of.precinct, Style: of.style, Contest: c}
		if k.method == unknown {
			continue
		}
		tallies[i].Votes = take(len(k.person))
		for rank := 2; k.method == ranked && rank <= k.voteFor; rank++ {
			tallies[i].Ranks = append(tallies[i].Ranks, take(len(k.person)))
		}
	}
	n.blocks[of] = tallies
	return tallies, nil
}

// counts is how many votes of a contest are counted, rank by rank.
func (c *contest) counts() int {
	switch c.method {
	case unknown:
		return 0
	case ranked:
		return len(c.person) * c.voteFor
	}
	return len(c.person)
}

// ballot counts one ballot.
func (n *counting) ballot(b *Ballot, tallies []Tally) {
	f := n.face(b.Style)
	n.sort(f, b)
	party := n.straightParty(f)
	chosen := n.chosenPrimary(f)
	for i, c := range f.contests {
		t, k := &tallies[i], &n.contests[c]
		t.Ballots++
		switch {
		case k.method == unknown:
		case k.primary >= 0 && f.open && chosen.decides(k, t, len(f.marks[i]) > 0):
		default:
			n.inContest(t, c, f.marks[i], party)
		}
	}
}

// sort puts the marks of a ballot with their contests.
func (n *counting) sort(f *face, b *Ballot) {
	for i := range f.marks {
		f.marks[i] = f.marks[i][:0]
	}
	for _, m := range b.Marks {
		i := f.at[m.Contest]
		f.marks[i] = append(f.marks[i], m)
	}
}

// inContest counts the marks of one ballot in a contest. party is that of its straight-party mark.
func (n *counting) inContest(t *Tally, c int, marks []Mark, party int) {
	switch k := &n.contests[c]; k.method {
	case ranked:
		n.unfilled(c, marks, party)
		k.countRanks(t, marks)
	case cumulative:
		n.unfilled(c, marks, party)
		k.countCumulative(t, marks)
	default:
		n.countMarks(t, k, n.filled(c, n.firstMarks(k, marks), party))
	}
}

// leave says that a contest is not counted, and why.
func (n *counting) leave(c int, why string) {
	if n.contests[c].left == "" {
		n.contests[c].left = why
	}
}

// key puts the tallies in order.
func (n *counting) key() *Key {
	k := &Key{Rules: n.rules}
	blocks := make([]block, 0, len(n.blocks))
	for b := range n.blocks {
		blocks = append(blocks, b)
	}
	slices.SortFunc(blocks, func(x, y block) int {
		return cmp.Or(cmp.Compare(x.precinct, y.precinct), cmp.Compare(x.style, y.style))
	})
	for _, b := range blocks {
		f := n.face(b.style)
		k.straight, k.open = k.straight || len(f.straight) > 0, k.open || f.open
		for _, t := range n.blocks[b] {
			if n.contests[t.Contest].left == "" {
				k.Tallies = append(k.Tallies, t)
			}
		}
	}
	for c := range n.contests {
		if n.contests[c].on && n.contests[c].left != "" {
			k.Left = append(k.Left, Left{Contest: c, Why: n.contests[c].left})
		}
	}
	return k
}
