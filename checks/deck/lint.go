package deck

import (
	"cmp"
	"fmt"
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
)

// BlindKind is what keeps a deck from seeing a fault.
type BlindKind string

// The kinds, worst first.
const (
	// BlindUncounted: a contest that the second entry does not say how to count.
	BlindUncounted BlindKind = "not-counted"
	// BlindNoBallot: styles, or precincts, of which the deck holds no ballot.
	BlindNoBallot BlindKind = "no-ballot"
	// BlindNoVote: positions that no ballot of a style votes for.
	BlindNoVote BlindKind = "no-vote"
	// BlindPositions: positions of a contest whose exchange leaves the contest's totals as they are.
	BlindPositions BlindKind = "same-positions"
	// BlindContests: contests whose exchange does.
	BlindContests BlindKind = "same-contests"
	// BlindPrecincts: precincts whose exchange leaves the totals of each precinct as they are.
	BlindPrecincts BlindKind = "same-precincts"
	// BlindHigher: contests in which a card that lets people vote for more leaves all votes as they are.
	BlindHigher BlindKind = "higher-vote-for"
	// BlindLower: contests in which one that lets them vote for fewer does.
	BlindLower BlindKind = "lower-vote-for"
)

var blindKinds = []BlindKind{BlindUncounted, BlindNoBallot, BlindNoVote, BlindPositions, BlindContests, BlindPrecincts,
	BlindHigher, BlindLower}

// Blind is one thing that a deck cannot see.
type Blind struct {
	Kind BlindKind
	// Grade is finding.MustFix where nothing that the key counts would differ; finding.Confirm where
	// the votes of the whole deck would not, but those by precinct would, or overvotes and
	// undervotes, which not every machine prints; finding.Note where no deck can see it.
	Grade finding.Grade
	// Contests are those that it is about; none where it is about whole ballots.
	Contests []int
	// Choices are those of Contests[0], of which any two may be exchanged, or that have no vote. All
	// is true where they are all that it has: then a shift by one, the last to the first, does not
	// show either.
	Choices []int
	All     bool
	// Together is true where it is an exchange on all styles at once: on one alone it would show.
	Together bool
	// Marks is true where only an exchange of the marks does not show, and Totals where only one of the
	// totals does not: straight-party marks, or a person's several lines, make marks and votes differ.
	Marks, Totals bool
	// VoteFor is, for each of Contests, the highest or lowest other number that does not show; those
	// between it and the contest's own do not show either.
	VoteFor []int
	// Styles and Precincts are where it is, ascending. For BlindPrecincts, Styles is empty where the
	// precincts count the same on all their ballots.
	Styles, Precincts []int
	// Why says why a contest is not counted; for BlindNoBallot, of which parties' ballots it is.
	Why string
}

// Lint says what a deck cannot see in an election, worst first: each exchange of two positions of a
// contest, of two contests of as many positions, of two precincts, and each other vote-for (1 to the
// number of positions) that would leave the votes of all choices as they are, on one style or on all;
// each position without a vote; and what has no ballot. Of the options, Precincts and Styles say which
// ballots of the deck are looked at: those that a unit is fed, say. It is an error if the deck cannot be
// counted.
func Lint(e *model.Election, d *Deck, options Options) ([]Blind, error) {
	scope := designer{e: e, options: options}
	if err := scope.scope(); err != nil {
		return nil, err
	}
	d = d.Part(options)
	key, err := Count(e, d, options.Rules)
	if err != nil {
		return nil, err
	}
	l := &linter{e: e, rules: options.Rules, deck: d, key: key, counting: newCounting(e, options.Rules),
		left: map[int]bool{}, precincts: map[int][]int{}, work: mostWork, at: map[string]int{}}
	for _, left := range key.Left {
		l.left[left.Contest] = true
		l.found = append(l.found, Blind{Kind: BlindUncounted, Grade: finding.MustFix, Contests: []int{left.Contest},
			Why: left.Why})
	}
	l.missing(scope.styles)
	l.collect()
	l.positions()
	l.contests()
	l.samePrecincts()
	l.voteFor()
	return l.sorted(), nil
}

// Part is the ballots of the precincts and styles of the options.
func (d *Deck) Part(options Options) *Deck {
	precincts, styles := setOf(options.Precincts), setOf(options.Styles)
	if precincts == nil && styles == nil {
		return d
	}
	out := &Deck{}
	for _, b := range d.Ballots {
		if (precincts == nil || precincts[b.Precinct]) && (styles == nil || styles[b.Style]) {
			out.Ballots = append(out.Ballots, b)
		}
	}
	return out
}

// mostWork bounds what Lint does where votes must be counted anew for each fault: in contests on which
// straight-party marks, or marks for one person on several lines, have an effect. What is left then
// is judged by the totals alone.
const mostWork = 100_000_000

// linter is the work of Lint.
type linter struct {
	e        *model.Election
	rules    Rules
	deck     *Deck
	key      *Key
	counting *counting
	left     map[int]bool
	// only are the contests that are looked at; nil for all.
	only map[int]bool
	// precincts are those in the scope, by style, of styles that have ballots.
	precincts map[int][]int
	cells     [][]cell // by contest, then by style
	work      int
	found     []Blind
	at        map[string]int // in found, by what is the same on several styles
}

// missing finds what has no ballot. What is on its ballots alone is not named again.
func (l *linter) missing(scope []styleScope) {
	has := map[block]bool{}
	styles := map[int]bool{}
	for i := range l.deck.Ballots {
		b := &l.deck.Ballots[i]
		has[block{b.Precinct, b.Style}], styles[b.Style] = true, true
	}
	none := Blind{Kind: BlindNoBallot, Grade: finding.MustFix}
	without := map[string][]int{} // precincts, by the parties of the ballot
	for _, s := range scope {
		if !styles[s.style] {
			none.Styles = append(none.Styles, s.style)
			none.Precincts = append(none.Precincts, s.precincts...)
			continue
		}
		l.precincts[s.style] = s.precincts
		parties := partyCodes(l.e, l.e.Styles[s.style].Parties)
		for _, p := range s.precincts {
			if !has[block{p, s.style}] {
				without[parties] = append(without[parties], p)
			}
		}
	}
	if none.Styles != nil {
		l.found = append(l.found, none)
	}
	for parties, precincts := range without {
		l.found = append(l.found, Blind{Kind: BlindNoBallot, Grade: finding.MustFix, Precincts: precincts, Why: parties})
	}
}

// add notes a thing that cannot be seen on a style, with the other styles where it is the same.
func (l *linter) add(style int, b Blind) {
	key := fmt.Sprint(b.Kind, b.Grade, b.Marks, b.Totals, b.Contests, b.Choices)
	if i, ok := l.at[key]; ok {
		l.found[i].Styles = append(l.found[i].Styles, style)
		l.found[i].Precincts = append(l.found[i].Precincts, l.precincts[style]...)
		return
	}
	l.at[key] = len(l.found)
	b.Styles, b.Precincts = []int{style}, slices.Clone(l.precincts[style])
	l.found = append(l.found, b)
}

// sorted are the findings, worst first: by grade, by cause, and those of many precincts before others.
func (l *linter) sorted() []Blind {
	grades := []finding.Grade{finding.MustFix, finding.Confirm, finding.Note}
	for i := range l.found {
		f := &l.found[i]
		slices.Sort(f.Styles)
		slices.Sort(f.Precincts)
		f.Styles, f.Precincts = slices.Compact(f.Styles), slices.Compact(f.Precincts)
	}
	slices.SortStableFunc(l.found, func(x, y Blind) int {
		return cmp.Or(cmp.Compare(slices.Index(grades, x.Grade), slices.Index(grades, y.Grade)),
			cmp.Compare(slices.Index(blindKinds, x.Kind), slices.Index(blindKinds, y.Kind)),
			cmp.Compare(len(y.Precincts), len(x.Precincts)), slices.Compare(x.Contests, y.Contests),
			slices.Compare(x.Choices, y.Choices), slices.Compare(x.Precincts, y.Precincts), cmp.Compare(x.Why, y.Why),
			slices.Compare(x.Styles, y.Styles))
	})
	return l.found
}
