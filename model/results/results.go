// Package results reads and writes test decks, their answer keys, and what machines counted:
// deck.csv and key.csv, counts (SP 1500-100), cast vote records (SP 1500-103) and tables.
//
// Rows name things as the sheets of the second entry do: by precinct label, by the short code of
// a contest and by the position of a choice. What they mean, checks/deck says.
package results

// Mark is a row of deck.csv: one mark on one test ballot. A blank ballot is one row whose
// Contest is empty and whose Position and Votes are 0.
type Mark struct {
	// Ballot is the number of the ballot in the deck, which runs through the whole deck.
	Ballot int
	// Precinct is its label. Style and Party, of a closed primary, may be empty.
	Precinct, Style, Party string
	// Contest is the short code of the sheets, Position that of its choice, counted from 1.
	Contest  string
	Position int
	// Votes is 1, a rank in a ranked contest, or a number of votes in a cumulative one.
	Votes int
	// Line is where the row stands, counted from 1; 0 where it was not read.
	Line int
}

// Count is a row of key.csv: one expected count, or one that a machine gave.
type Count struct {
	// Unit and Style may be empty: then the count is of all units, of all styles.
	Unit, Style              string
	Precinct, Party, Contest string
	// Position is that of a choice ("2"), of a choice at a further rank ("2@3"), or one of the
	// other things that are counted (Ballots, Overvotes …).
	Position string
	// Choice is what is printed there, for people.
	Choice string
	Count  int
	// Line is where the row stands, counted from 1; 0 where it was not read.
	Line int
}

// What Count.Position counts besides votes. Overvotes and undervotes are in votes.
const (
	Ballots           = "ballots"
	Overvotes         = "overvotes"
	Undervotes        = "undervotes"
	OvervotedBallots  = "overvoted-ballots"
	UndervotedBallots = "undervoted-ballots"
)
