package results

import (
	"bytes"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const deckHead = "ballot,precinct,style,party,contest,position,mark\n"

func TestADeck(t *testing.T) {
	got, err := ReadDeck("deck.csv", []byte("\ufeffmark;Position;contest;precinct;party;style;ballot\r\n"+
		"1;2;judge;1-01;DEM;7;1\r\n;;;1-01;;;002\r\n\r\n3;1;clerk;1-02;;;3\r\n"))
	require.NoError(t, err)
	assert.Equal(t, []Mark{
		{Ballot: 1, Precinct: "1-01", Style: "7", Party: "DEM", Contest: "judge", Position: 2, Votes: 1, Line: 2},
		{Ballot: 2, Precinct: "1-01", Line: 3},
		{Ballot: 3, Precinct: "1-02", Contest: "clerk", Position: 1, Votes: 3, Line: 5},
	}, got)
}

func TestADeckIsWrittenAsItIsRead(t *testing.T) {
	deck := "\ufeff" + deckHead + "1,\"Ward 1, north\",7,DEM,judge,2,1\n2,1-01,,,clerk,1,3\n"
	got, err := ReadDeck("deck.csv", []byte(deck))
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, WriteDeck(&out, got))
	assert.Equal(t, deck, out.String())
}

func TestFaultsOfADeck(t *testing.T) {
	for _, test := range []struct{ name, deck, says string }{
		{"nothing", "", "deck.csv: the file is empty; the first row names the columns"},
		{"no ballot", deckHead, "deck.csv: the deck holds no ballot; "},
		{"an unknown column", "ballot,precinct,weight\n",
			`deck.csv, line 1: "weight" is not a column of this file; the columns are ballot,`},
		{"a column twice", "ballot,ballot\n", "line 1, column ballot: the column is there twice"},
		{"a column that is missing", "ballot,precinct,contest,position\n", "line 1, column mark: the file lacks this column"},
		{"a value without a column", deckHead + "1,a,,,c,1,1,9\n", `line 2: the row holds a value, "9", in field 8`},
		{"no number", deckHead + ",a,,,c,1,1\n", `line 2, column ballot: "" is not the number of a ballot; write digits`},
		{"ballot 0", deckHead + "0,a,,,c,1,1\n", `column ballot: "0" is not the number of a ballot`},
		{"a negative ballot", deckHead + "-1,a,,,c,1,1\n", `column ballot: "-1" is not`},
		{"a huge ballot", deckHead + "1000000000,a,,,c,1,1\n", `column ballot: "1000000000" is not`},
		{"no precinct", deckHead + "1,,,,c,1,1\n", "column precinct: the row names no precinct"},
		{"no contest", deckHead + "1,a,,,,1,\n", "column contest: the row names no contest"},
		{"no position", deckHead + "1,a,,,c,,1\n", "column position: the row names no position"},
		{"no mark", deckHead + "1,a,,,c,1,\n", "column mark: the row has no mark"},
		{"a mark of words", deckHead + "1,a,,,c,1,X\n", `column mark: "X" is not a mark; write digits, from 1`},
		{"a negative mark", deckHead + "1,a,,,c,1,-1\n", `column mark: "-1" is not a mark`},
		{"a mark of 0", deckHead + "1,a,,,c,1,0\n", `column mark: "0" is not a mark`},
		{"not UTF-8", deckHead + "1,\xff,,,c,1,1\n", "line 2: the value"},
		{"a workbook", "PK\x03\x04", "this is a spreadsheet workbook, not CSV"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := ReadDeck("deck.csv", []byte(test.deck))
			require.ErrorContains(t, err, test.says)
			var e *Error
			require.ErrorAs(t, err, &e)
			assert.NotContains(t, err.Error(), "\n")
		})
	}
}

const keyHead = "precinct,party,contest,position,choice,count\n"

func TestAKey(t *testing.T) {
	got, err := ReadKey("key.csv", []byte("count,unit,"+strings.TrimSuffix(keyHead, ",count\n")+"\n"+
		"3,S-1,1-01,,judge,02,Ada Roe,\n4,S-1,1-01,,judge,Overvotes,,\n5,,1-01,DEM,judge,2@1,,\n0,,1-01,,judge,2@3,,\n"))
	require.NoError(t, err)
	assert.Equal(t, []Count{
		{Unit: "S-1", Precinct: "1-01", Contest: "judge", Position: "2", Choice: "Ada Roe", Count: 3, Line: 2},
		{Unit: "S-1", Precinct: "1-01", Contest: "judge", Position: Overvotes, Count: 4, Line: 3},
		{Precinct: "1-01", Party: "DEM", Contest: "judge", Position: "2", Count: 5, Line: 4},
		{Precinct: "1-01", Contest: "judge", Position: "2@3", Line: 5},
	}, got)
	for i := range got {
		got[i].Line = 0
	}
	var out bytes.Buffer
	require.NoError(t, WriteKey(&out, got))
	again, err := ReadKey("key.csv", out.Bytes())
	require.NoError(t, err)
	for i := range again {
		again[i].Line = 0
	}
	assert.Equal(t, got, again)
}

func TestFaultsOfAKey(t *testing.T) {
	for _, test := range []struct{ name, key, says string }{
		{"no count", keyHead, "key.csv: the key holds no count"},
		{"an empty count", keyHead + "a,,c,1,,\n",
			`line 2, column count: "" is not a count; write digits, from 0 to 999999999`},
		{"a negative count", keyHead + "a,,c,1,,-4\n", `line 2, column count: "-4" is not a count`},
		{"a huge count", keyHead + "a,,c,1,,99999999999999999999\n", `column count: "99999999999999999999" is not a count`},
		{"a count with a point", keyHead + "a,,c,1,,1.0\n", `column count: "1.0" is not a count`},
		{"position 0", keyHead + "a,,c,0,,1\n", `column position: "0" is nothing that is counted; write a position (2), a`},
		{"rank 0", keyHead + "a,,c,2@0,,1\n", `column position: "2@0" is nothing`},
		{"a rank of words", keyHead + "a,,c,2@first,,1\n", `column position: "2@first" is nothing`},
		{"no position", keyHead + "a,,c,,,1\n", `column position: "" is nothing`},
		{"no precinct", keyHead + ",,c,1,,1\n", "column precinct: the row names no precinct"},
		{"no contest", keyHead + "a,,,1,,1\n", "column contest: the row names no contest"},
		{"counted twice", keyHead + "a,,c,1,Ada,1\na,,c,2,,1\na,,c,1@1,,3\n",
			"line 4, column position: the row counts the same as line 2; remove one of them"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := ReadKey("key.csv", []byte(test.key))
			require.ErrorContains(t, err, test.says)
			assert.NotContains(t, err.Error(), "\n")
		})
	}
}

// Whatever the bytes, there are rows or one line that says why not; and rows are read again as they were written.
func FuzzReadDeckAndKey(f *testing.F) {
	f.Add([]byte(deckHead + "1,a,7,DEM,c,1,1\n2,a,,,,,\n"))
	f.Add([]byte("\ufeff" + keyHead + "a,DEM,c,2@3,Ada,1\na,,c,overvotes,,0\n"))
	f.Add([]byte("sep=;\nballot;precinct;contest;position;mark\n1;\"a\nb\";c;1;1\n"))
	if nist, err := os.ReadFile("../../testdata/nist/gen-03/deck.csv"); err == nil {
		f.Add(nist)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		marks, err := ReadDeck("deck.csv", bytes.Clone(data))
		again(t, marks, err, WriteDeck, ReadDeck, func(m *Mark) { m.Line = 0 })
		counts, err := ReadKey("key.csv", bytes.Clone(data))
		again(t, counts, err, WriteKey, ReadKey, func(c *Count) { c.Line = 0 })
	})
}

func again[R any](t *testing.T, rows []R, err error, write func(w io.Writer, rows []R) error,
	read func(string, []byte) ([]R, error), unplaced func(*R)) {
	t.Helper()
	if err != nil {
		assert.NotContains(t, err.Error(), "\n")
		return
	}
	var out bytes.Buffer
	require.NoError(t, write(&out, rows))
	same, err := read("again.csv", out.Bytes())
	require.NoError(t, err)
	for i := range rows {
		unplaced(&rows[i])
	}
	for i := range same {
		unplaced(&same[i])
	}
	assert.Equal(t, rows, same)
}
