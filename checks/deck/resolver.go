package deck

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/results"
)

// Of is the deck whose marks these are, in terms of the second entry. The ballots come in the order
// of their first rows. An error is a *results.Error that calls the file deck.csv: a precinct, style,
// contest or position that the entry does not have, a contest that is not on the ballot, a mark that
// cannot be made there.
func Of(second *model.Election, marks []results.Mark) (*Deck, error) {
	r := newResolver(second)
	d := &Deck{}
	index := map[int]int{}
	lines := map[int]int{} // the first row of each ballot
	for i := range marks {
		m := &marks[i]
		precinct, style, err := r.ballot(m)
		if err != nil {
			return nil, err
		}
		at, ok := index[m.Ballot]
		if !ok {
			at = len(d.Ballots)
			index[m.Ballot], lines[m.Ballot] = at, m.Line
			d.Ballots = append(d.Ballots, Ballot{Number: m.Ballot, Precinct: precinct, Style: style})
		}
		b := &d.Ballots[at]
		switch {
		case b.Precinct != precinct || b.Style != style:
			return nil, wrong(m, "ballot", "give each ballot its own number, or correct the precinct, style or party",
				"ballot %d is another precinct's, or of another style, on line %d", m.Ballot, lines[m.Ballot])
		case ok && (m.Contest == "" || len(b.Marks) == 0):
			return nil, wrong(m, "ballot", "a blank ballot has one row alone; number each ballot once",
				"ballot %d is blank on one line and not on another: see line %d", m.Ballot, lines[m.Ballot])
		case m.Contest == "":
			continue
		}
		mark, err := r.mark(m, style)
		if err != nil {
			return nil, err
		}
		b.Marks = append(b.Marks, mark)
	}
	return d, markedTwice(d, marks)
}

func wrong(m *results.Mark, column, remedy, format string, values ...any) error {
	return &results.Error{Place: results.Place{File: "deck.csv", Line: m.Line}, Column: column,
		Fault: fmt.Sprintf(format, values...), Remedy: remedy}
}

// resolver finds the things of an election by what deck.csv calls them.
type resolver struct {
	e         *model.Election
	precincts map[string]int
	contests  map[string]int
	styles    [][]int // of each precinct
	positions []map[int]int
	holds     []map[int]bool // by style: the contests that it holds
	ballots   map[ballotKey]ballotOf
}

type ballotKey struct{ precinct, style, party string }

type ballotOf struct{ precinct, style int }

func newResolver(e *model.Election) *resolver {
	r := &resolver{e: e, precincts: map[string]int{}, contests: map[string]int{}, styles: make([][]int, len(e.Precincts)),
		positions: make([]map[int]int, len(e.Contests)), holds: make([]map[int]bool, len(e.Styles)),
		ballots: map[ballotKey]ballotOf{}}
	for p := range e.Precincts {
		r.precincts[canonical(precinctLabel(e, p))] = p
	}
	for c := range e.Contests {
		r.contests[canonical(ContestCode(e, c))] = c
	}
	for s := range e.Styles {
		for _, p := range e.Styles[s].Precincts {
			r.styles[p] = append(r.styles[p], s)
		}
	}
	return r
}

// ballot finds the precinct and the style of a ballot.
func (r *resolver) ballot(m *results.Mark) (precinct, style int, err error) {
	key := ballotKey{m.Precinct, m.Style, m.Party}
	if found, ok := r.ballots[key]; ok {
		return found.precinct, found.style, nil
	}
	precinct, ok := r.precincts[canonical(m.Precinct)]
	if !ok {
		return 0, 0, wrong(m, "precinct", "write it as precincts.csv has it", "%.80q is not among the precincts", m.Precinct)
	}
	given := slices.DeleteFunc(slices.Clone(r.styles[precinct]), func(s int) bool {
		style := &r.e.Styles[s]
		return m.Style != "" && canonical(m.Style) != canonical(style.Label.Value) ||
			m.Party != "" && !r.ofParty(style.Parties, m.Party)
	})
	what := fmt.Sprintf("precinct %.80q", m.Precinct)
	switch {
	case len(r.styles[precinct]) == 0:
		return 0, 0, wrong(m, "precinct", "key the ballot of the precinct", "%s gets no ballot in the second entry", what)
	case len(given) == 0:
		return 0, 0, wrong(m, "style",
			"write style and party as ballots.csv has them; the party is empty but in a closed primary",
			"%s gets no ballot of style %.80q and party %.80q", what, m.Style, m.Party)
	case len(given) > 1:
		return 0, 0, wrong(m, "style", "say which by the style or the party",
			"%s gets %d ballots of style %.80q and party %.80q", what, len(given), m.Style, m.Party)
	}
	r.ballots[key] = ballotOf{precinct, given[0]}
	return precinct, given[0], nil
}

// ofParty reports whether a cell names the parties of a style, or one of them, by code or name.
func (r *resolver) ofParty(parties []int, cell string) bool {
	if len(parties) > 0 && canonical(cell) == canonical(partyCodes(r.e, parties)) {
		return true
	}
	return slices.ContainsFunc(parties, func(p int) bool {
		return strings.EqualFold(canonical(cell), canonical(partyCode(r.e, p))) ||
			canonical(cell) == canonical(r.e.Parties[p].Name.Value.In(""))
	})
}

// mark finds contest and choice of a mark on a ballot of a style.
func (r *resolver) mark(m *results.Mark, style int) (Mark, error) {
	c, ok := r.contests[canonical(m.Contest)]
	if !ok {
		return Mark{}, wrong(m, "contest", "write the code as contests.csv has it", "%.80q is not the code of a contest",
			m.Contest)
	}
	if !r.on(style, c) {
		return Mark{}, wrong(m, "contest", "correct the contest, or the precinct, style or party of the ballot",
			"contest %.80q is not on this ballot", m.Contest)
	}
	if r.positions[c] == nil {
		r.positions[c] = map[int]int{}
		for j, at := range positions(r.e, c) {
			r.positions[c][at] = j
		}
	}
	choice, ok := r.positions[c][m.Position]
	if !ok {
		return Mark{}, wrong(m, "position", "write the position as choices.csv has it", "contest %.80q has no position %d",
			m.Contest, m.Position)
	}
	if fault, remedy := impossible(&r.e.Contests[c], m.Votes); fault != "" {
		return Mark{}, wrong(m, "mark", remedy, "%s", fault)
	}
	return Mark{Contest: c, Choice: choice, Votes: m.Votes}, nil
}

// on reports whether a style holds a contest.
func (r *resolver) on(style, contest int) bool {
	if r.holds[style] == nil {
		r.holds[style] = map[int]bool{}
		for _, p := range r.e.Styles[style].Content {
			r.holds[style][p.Contest] = true
		}
	}
	return r.holds[style][contest]
}

// impossible says why nothing of the kind can be marked in a contest; empty where it can.
func impossible(c *model.Contest, votes int) (fault, remedy string) {
	switch method, _ := methodOf(c); {
	case method == nOfM && votes != 1:
		return fmt.Sprintf("the mark is %d in a contest that is neither ranked nor cumulative", votes), "write 1"
	case method == ranked && votes > voteFor(c):
		return fmt.Sprintf("the rank is %d in a contest with %d ranks", votes, voteFor(c)), "write a rank that the ballot has"
	}
	return "", ""
}

// markedTwice looks for rows that say the same.
func markedTwice(d *Deck, marks []results.Mark) error {
	var sorted []Mark
	for i := range d.Ballots {
		b := &d.Ballots[i]
		sorted = append(sorted[:0], b.Marks...)
		slices.SortFunc(sorted, compareMarks)
		for k := 1; k < len(sorted); k++ {
			if sorted[k] == sorted[k-1] {
				return saysTwice(b, sorted[k], marks)
			}
		}
	}
	return nil
}

func compareMarks(x, y Mark) int {
	return cmp.Or(cmp.Compare(x.Contest, y.Contest), cmp.Compare(x.Choice, y.Choice), cmp.Compare(x.Votes, y.Votes))
}

// saysTwice finds the rows that make one mark of a ballot.
func saysTwice(b *Ballot, twice Mark, marks []results.Mark) error {
	at, first := 0, 0
	for i := range marks {
		m := &marks[i]
		if m.Ballot != b.Number {
			continue
		}
		if same := b.Marks[at] == twice; same && first == 0 {
			first = m.Line
		} else if same {
			return wrong(m, "position", "remove one of them, or number each ballot once",
				"the row repeats line %d: ballot %d is marked there already", first, m.Ballot)
		}
		at++
	}
	return nil
}
