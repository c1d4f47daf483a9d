package results

import "io"

var deckTable = table[Mark]{
	line: func(m *Mark) *int { return &m.Line },
	columns: []column[Mark]{
		number("ballot", 1, false, "the number of a ballot", func(m *Mark) *int { return &m.Ballot }),
		words("precinct", false, func(m *Mark) *string { return &m.Precinct }),
		words("style", true, func(m *Mark) *string { return &m.Style }),
		words("party", true, func(m *Mark) *string { return &m.Party }),
		words("contest", false, func(m *Mark) *string { return &m.Contest }),
		number("position", 1, true, "a position", func(m *Mark) *int { return &m.Position }),
		number("mark", 1, true, "a mark", func(m *Mark) *int { return &m.Votes }),
	},
}

// ReadDeck reads deck.csv. file is what errors call it; they are of type *Error. data may be changed.
func ReadDeck(file string, data []byte) ([]Mark, error) {
	rows, err := deckTable.read(file, data, checkMark)
	if err == nil && len(rows) == 0 {
		return nil, fault(Place{File: file}, "", "it has one row for each mark on each test ballot",
			"the deck holds no ballot")
	}
	return rows, err
}

func checkMark(m *Mark, at Place) *Error {
	const blank = "a blank ballot is one row whose contest, position and mark are empty"
	switch {
	case m.Precinct == "":
		return fault(at, "precinct", "write the precinct as the second entry has it", "the row names no precinct")
	case m.Contest == "" && (m.Position > 0 || m.Votes > 0):
		return fault(at, "contest", "write the contest's code from contests.csv; "+blank, "the row names no contest")
	case m.Contest != "" && m.Position == 0:
		return fault(at, "position", "write the position of the choice; "+blank, "the row names no position")
	case m.Contest != "" && m.Votes == 0:
		return fault(at, "mark", "write 1, or the rank or the number of votes that is marked; "+blank, "the row has no mark")
	}
	return nil
}

// WriteDeck writes deck.csv.
func WriteDeck(w io.Writer, marks []Mark) error { return deckTable.write(w, marks) }
