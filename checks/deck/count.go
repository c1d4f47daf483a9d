package deck

import (
	"cmp"
	"fmt"
	"slices"

	"counterproof/model"
)

// Count counts a deck by what the second entry states. Contests that cannot be counted are in
// Key.Left. The tallies come by precinct, style and place on the ballot, those alone that a ballot of
// the deck holds; each is of the whole deck (OfUnit gives those of a unit). Count takes time in
// proportion to the ballots with their contests. It is an error if the deck is another election's.
func Count(e *model.Election, d *Deck, rules Rules) (*Key, error) {
	n := &counting{e: e, rules: rules, contests: make([]contest, len(e.Contests)), faces: map[int]*face{},
		blocks: map[block][]Tally{}}
	for c := range e.Contests {
		n.contests[c] = n.contest(c)
		n.seen = append(n.seen, make([]int, max(0, len(e.Contests[c].Choices)-len(n.seen)))...)
	}
	for i := range d.Ballots {
		if err := n.belongs(&d.Ballots[i]); err != nil {
			return nil, err
		}
		n.ballot(&d.Ballots[i])
	}
	return n.key(), nil
}

// counting is the work of Count.
type counting struct {
	e        *model.Election
	rules    Rules
	contests []contest
	faces    map[int]*face // by style
	blocks   map[block][]Tally
	// seen is, for each person of the contest that is counted, the last time that it was marked.
	seen []int
	now  int
}

// block is the tallies of the ballots of one style in one precinct.
type block struct{ precinct, style int }

// contest is what counting needs of a contest.
type contest struct {
	method  method
	why     string
	voteFor int
	// person numbers who stands at each choice: two choices of one person have one number.
	person []int
	used   bool
}

// face is a style: its contests, each once, and where each is among them.
type face struct {
	contests []int
	at       map[int]int
	marks    [][]Mark // of the ballot that is counted, by contest
}

func (n *counting) contest(c int) contest {
	of := &n.e.Contests[c]
	m, why := methodOf(of)
	out := contest{method: m, why: why, voteFor: voteFor(of), person: make([]int, len(of.Choices))}
	persons := map[string]int{}
	for j := range of.Choices {
		out.person[j] = j
		if p := of.Choices[j].Person; p != "" && !of.Choices[j].WriteIn {
			if first, ok := persons[p]; ok {
				out.person[j] = first
			} else {
				persons[p] = j
			}
		}
	}
	return out
}

func (n *counting) face(style int) *face {
	f := n.faces[style]
	if f == nil {
		f = &face{at: map[int]int{}}
		for _, p := range n.e.Styles[style].Content {
			if _, twice := f.at[p.Contest]; !twice {
				f.at[p.Contest] = len(f.contests)
				f.contests = append(f.contests, p.Contest)
			}
		}
		f.marks = make([][]Mark, len(f.contests))
		n.faces[style] = f
	}
	return f
}

// belongs says why a ballot cannot be one of this election.
func (n *counting) belongs(b *Ballot) error {
	if b.Precinct < 0 || b.Precinct >= len(n.e.Precincts) || b.Style < 0 || b.Style >= len(n.e.Styles) {
		return fmt.Errorf("ballot %d of the deck is of another election; make the deck of this second entry", b.Number)
	}
	f := n.face(b.Style)
	for _, m := range b.Marks {
		if _, ok := f.at[m.Contest]; !ok || m.Choice < 0 || m.Choice >= len(n.e.Contests[m.Contest].Choices) || m.Votes < 1 {
			return fmt.Errorf("ballot %d of the deck has a mark that its style does not have; make the deck of this second "+
				"entry", b.Number)
		}
	}
	return nil
}

func (n *counting) tallies(of block, f *face) []Tally {
	tallies, ok := n.blocks[of]
	if ok {
		return tallies
	}
	tallies = make([]Tally, len(f.contests))
	choices := 0
	for _, c := range f.contests {
		choices += len(n.contests[c].person)
		n.contests[c].used = true
	}
	votes := make([]int, choices)
	for i, c := range f.contests {
		k := len(n.contests[c].person)
		tallies[i] = Tally{Unit: -1, Precinct: of.precinct, Style: of.style, Contest: c, Votes: votes[:k:k]}
		votes = votes[k:]
	}
	n.blocks[of] = tallies
	return tallies
}

func (n *counting) ballot(b *Ballot) {
	f := n.face(b.Style)
	tallies := n.tallies(block{b.Precinct, b.Style}, f)
	for i := range f.marks {
		f.marks[i] = f.marks[i][:0]
	}
	for _, m := range b.Marks {
		i := f.at[m.Contest]
		f.marks[i] = append(f.marks[i], m)
	}
	for i, c := range f.contests {
		t := &tallies[i]
		t.Ballots++
		switch n.contests[c].method {
		case nOfM:
			n.nOfM(t, &n.contests[c], f.marks[i])
		}
	}
}

// nOfM counts the marks of one ballot in a contest for so many votes. A person marked on several
// lines has one vote, on the line marked first.
func (n *counting) nOfM(t *Tally, c *contest, marks []Mark) {
	first := n.firstMarks(c, marks)
	if len(first) > c.voteFor {
		t.Overvotes += c.voteFor
		t.OvervotedBallots++
		return
	}
	for _, m := range first {
		t.Votes[m.Choice]++
	}
	undervoted(t, c.voteFor-len(first))
}

// firstMarks are the marks without those of a person who is marked before. They take the place of the marks.
func (n *counting) firstMarks(c *contest, marks []Mark) []Mark {
	n.now++
	first := marks[:0]
	for _, m := range marks {
		if at := &n.seen[c.person[m.Choice]]; *at != n.now {
			*at = n.now
			first = append(first, m)
		}
	}
	return first
}

func undervoted(t *Tally, votes int) {
	if votes > 0 {
		t.Undervotes += votes
		t.UndervotedBallots++
	}
}

// key puts the tallies in order.
func (n *counting) key() *Key {
	k := &Key{}
	blocks := make([]block, 0, len(n.blocks))
	for b := range n.blocks {
		blocks = append(blocks, b)
	}
	slices.SortFunc(blocks, func(x, y block) int {
		return cmp.Or(cmp.Compare(x.precinct, y.precinct), cmp.Compare(x.style, y.style))
	})
	for _, b := range blocks {
		for _, t := range n.blocks[b] {
			if n.contests[t.Contest].method != unknown {
				k.Tallies = append(k.Tallies, t)
			}
		}
	}
	for c := range n.contests {
		if n.contests[c].used && n.contests[c].method == unknown {
			k.Left = append(k.Left, Left{Contest: c, Why: n.contests[c].why})
		}
	}
	return k
}

// OfUnit are the tallies of a unit that is fed the ballots of the precincts in its header: those of
// the whole deck, with the unit. They share their votes with the key's.
func (k *Key) OfUnit(e *model.Election, unit int) []Tally {
	var out []Tally
	for _, t := range k.Tallies {
		if _, in := slices.BinarySearch(e.Units[unit].Precincts.Value, t.Precinct); in && t.Unit < 0 {
			t.Unit = unit
			out = append(out, t)
		}
	}
	return out
}
