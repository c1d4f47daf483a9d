package results

import (
	"hash/maphash"
	"io"
	"strconv"
	"strings"
)

var keyTable = table[Count]{
	line: func(c *Count) *int { return &c.Line },
	columns: []column[Count]{
		words("unit", true, func(c *Count) *string { return &c.Unit }),
		words("precinct", false, func(c *Count) *string { return &c.Precinct }),
		words("style", true, func(c *Count) *string { return &c.Style }),
		words("party", false, func(c *Count) *string { return &c.Party }),
		words("contest", false, func(c *Count) *string { return &c.Contest }),
		{"position", false, func(c *Count, cell string) (wrong, remedy string) {
			at, ok := ReadPosition(cell)
			if !ok {
				return strconv.Quote(cut(cell)) + " is nothing that is counted",
					"write a position (2), a position at a rank (2@3), " + strings.Join(others, ", ")
			}
			c.Position = at.String()
			return "", ""
		}, func(c *Count) string { return c.Position }},
		words("choice", false, func(c *Count) *string { return &c.Choice }),
		number("count", 0, false, "a count", func(c *Count) *int { return &c.Count }),
	},
}

// others are what is counted besides votes.
var others = []string{Ballots, Overvotes, Undervotes, OvervotedBallots, UndervotedBallots}

// Position is what a row of key.csv counts.
type Position struct {
	// Of is the position of a choice, 0 where something else is counted.
	Of int
	// Rank is the rank at which it is counted; 1 where it is counted at no rank, or at the first.
	Rank int
	// Other is what else is counted: Ballots, Overvotes … It is empty for a choice.
	Other string
}

// String writes it as in key.csv.
func (p Position) String() string {
	switch {
	case p.Other != "":
		return p.Other
	case p.Rank > 1:
		return strconv.Itoa(p.Of) + "@" + strconv.Itoa(p.Rank)
	}
	return strconv.Itoa(p.Of)
}

// ReadPosition reads the position of a row of key.csv. A position at rank 1 (2@1) is the position (2).
func ReadPosition(cell string) (Position, bool) {
	word := strings.ToLower(cell)
	for _, other := range others {
		if word == other {
			return Position{Other: other}, true
		}
	}
	before, rank, ranked := strings.Cut(cell, "@")
	of, ok := readNumber(before)
	p := Position{Of: of, Rank: 1}
	if ranked {
		var is bool
		p.Rank, is = readNumber(rank)
		ok = ok && is
	}
	return p, ok && p.Of > 0 && p.Rank > 0
}

// ReadKey reads key.csv. file is what errors call it; they are of type *Error. One thing counted
// twice is an error. data may be changed.
func ReadKey(file string, data []byte) ([]Count, error) {
	rows, err := keyTable.read(file, data, checkCount)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, fault(Place{File: file}, "", "it has one row for each count", "the key holds no count")
	}
	return rows, countedTwice(file, rows)
}

// countedTwice looks for rows that count the same thing.
func countedTwice(file string, rows []Count) error {
	counted := func(i int) Count {
		c := rows[i]
		c.Choice, c.Count, c.Line = "", 0, 0
		return c
	}
	seed := maphash.MakeSeed()
	seen := make(map[uint64]int, len(rows))
	for i := range rows {
		digest := maphash.Comparable(seed, counted(i))
		first, twice := seen[digest]
		if twice && counted(first) == counted(i) {
			return fault(Place{File: file, Line: rows[i].Line}, "position",
				"remove one of them, or correct what it counts", "the row counts the same as line %d", rows[first].Line)
		}
		seen[digest] = i
	}
	return nil
}

func checkCount(c *Count, at Place) *Error {
	switch {
	case c.Precinct == "":
		return fault(at, "precinct", "write the precinct as the second entry has it", "the row names no precinct")
	case c.Contest == "":
		return fault(at, "contest", "write the contest's code from contests.csv", "the row names no contest")
	}
	return nil
}

// WriteKey writes key.csv.
func WriteKey(w io.Writer, counts []Count) error { return keyTable.write(w, counts) }

func cut(cell string) string {
	const most = 80
	if runes := []rune(cell); len(runes) > most {
		return string(runes[:most])
	}
	return cell
}
