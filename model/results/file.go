package results

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/files"
)

// File is a file of results: what messages call it, and how it is opened, once for each reading.
type File struct {
	Name string
	Open func() (io.ReadCloser, error)
}

// Path is the file at a path.
func Path(path string) File {
	return File{path, func() (io.ReadCloser, error) {
		f, err := files.Open(path)
		if err != nil {
			return nil, err // no typed nil
		}
		return f, nil
	}}
}

// Bytes is a file in memory.
func Bytes(name string, data []byte) File {
	return File{name, func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }}
}

// Results are what one file of results says.
type Results struct {
	// Name is the file's; Format names how it is written ("SP 1500-103 version 1, XML").
	Name, Format string
	// SHA256 is the digest of its bytes, in hexadecimal digits.
	SHA256 string
	// Election is what the file says of the election, in part: its contests, choices, precincts and
	// units. It is nil where Counts name things as the second entry does.
	Election *model.Election
	// Tallies are the counts, in terms of Election.
	Tallies []Tally
	// Counts are those of a table, in the words of the second entry.
	Counts []Count
	// Ballots are the cast vote records, one by one; nil where there are none, or more than
	// MaxBallots.
	Ballots []Ballot
	// Records is how many cast vote records there are.
	Records int
	// Notes say what a person should know of how the file was read, each a sentence.
	Notes []string
}

// Tally is what a machine counted in one contest in one area. What is not stated was not said.
type Tally struct {
	// Unit is an index into Election.Units; -1 where the count names none.
	Unit int
	// Precincts are the area, ascending; nil where the count names none.
	Precincts []int
	Contest   int
	// Votes are by choice, in a ranked contest the first choices; Ranks[r] those at rank r+2.
	Votes []model.Stated[int]
	Ranks [][]model.Stated[int]
	// Ballots hold the contest. Overvotes and Undervotes are in votes.
	Ballots, Overvotes, Undervotes model.Stated[int]
	// Line is where it begins; 0 where it stands in many places.
	Line int
}

// MaxBallots is how many cast vote records of one file are kept one by one. No test deck comes near it.
const MaxBallots = 1 << 18

// Ballot is one cast vote record, in terms of Results.Election.
type Ballot struct {
	// Number is printed on the ballot (BallotPrePrintedId, else BallotSheetId); empty where none is.
	Number string
	Line   int
	// Precinct and Unit are -1 where the record names none.
	Precinct, Unit int
	// Style and Party are what the record calls them; they may be empty.
	Style, Party string
	// Votes are those in each contest that the record lists. Equal ones are shared.
	Votes []*Votes
}

// Votes are what a record credits in one contest, after the rules of the contest.
type Votes struct {
	Contest int
	// Choices are the votes by choice; in a ranked contest, the first choices. Ranks[r] are the
	// choices at rank r+2.
	Choices []int
	Ranks   [][]int
	// Overvotes and Undervotes are in votes, as the record states them.
	Overvotes, Undervotes model.Stated[int]
	// Unsettled says that the record leaves open whether a mark counts: it is not counted.
	Unsettled bool
	// Marked says that the record lists a mark in the contest, counted or not.
	Marked bool
}

// unreadable is the error of a file that cannot be opened.
func unreadable(f File, err error) error {
	var said *files.Error
	if errors.As(err, &said) {
		return &cdf.Error{File: f.Name, Fault: said.Fault, Remedy: said.Remedy, Err: err}
	}
	return &cdf.Error{File: f.Name, Fault: "cannot be read", Remedy: "check the file and its place", Err: err}
}

func plural(n int, one, many string) string {
	return humanize.Comma(int64(n)) + " " + english.PluralWord(n, one, many)
}

// maxHeld is how many bytes of counts and tables are held at once.
const maxHeld = 1 << 30

// read reads the whole file, and returns its digest.
func (f File) read() (data []byte, digest string, err error) {
	in, err := f.Open()
	if err != nil {
		return nil, "", err
	}
	defer in.Close()
	data, err = io.ReadAll(io.LimitReader(in, maxHeld+1))
	if err == nil && len(data) > maxHeld {
		err = &files.Error{Fault: "the file is larger than 1 GiB", Remedy: "give the counts in several files"}
	}
	return data, digestOf(data), err
}

func digestOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
