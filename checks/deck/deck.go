// Package deck designs test decks, counts them, says what they cannot see, and holds a machine's
// results against the answer key. Deck and key come from the second entry alone, never from the
// configuration under test.
package deck

// Deck is a test deck of one election, in terms of that election.
type Deck struct {
	Ballots []Ballot
}

// Ballot is one marked test ballot.
type Ballot struct {
	// Number is its number in the deck.
	Number int
	// Precinct and Style are indexes into the election's lists.
	Precinct, Style int
	// Marks are in the order of deck.csv: where a person is marked on several lines, the first
	// counts. Nothing marked is a blank ballot.
	Marks []Mark
}

// Mark is one mark: an index of a contest, one of its choices, and what is marked there: 1, a rank
// in a ranked contest, a number of votes in a cumulative one.
type Mark struct{ Contest, Choice, Votes int }

// Key is an answer key: what a deck must count.
type Key struct {
	// Rules are those by which it was counted.
	Rules   Rules
	Tallies []Tally
	// Left are the contests that are not counted, each with the reason.
	Left []Left
	// straight and open are true where the deck has ballots with a straight-party contest, and ballots
	// of an open primary: then the rules matter.
	straight, open bool
}

// Tally is what the ballots of one precinct must count in one contest on one style, in votes
// unless said otherwise.
type Tally struct {
	// Unit is an index into the election's units, -1 for the whole deck.
	Unit                     int
	Precinct, Style, Contest int
	// Ballots hold the contest; the others are as in key.csv.
	Ballots, Overvotes, Undervotes, OvervotedBallots, UndervotedBallots int
	// Votes are those of each choice, in a ranked contest the first choices. Ranks[r] are those of
	// each choice at rank r+2.
	Votes []int
	Ranks [][]int
}

// Left is a contest that is not counted, and why, as a sentence.
type Left struct {
	Contest int
	Why     string
}
